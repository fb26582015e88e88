// Drives Debian's browser with a fresh profile for each run, and records what a page writes to its console.
import {createRequire} from "node:module";
import {mkdtempSync, readFileSync, rmSync} from "node:fs";
import {tmpdir} from "node:os";
import {join} from "node:path";
import {pathToFileURL} from "node:url";

const [packages, folder] = [process.env.REPORT_PACKAGES, process.env.REPORT_FOLDER];
const require = createRequire(join(packages, "package.json"));
const {chromium} = require("playwright-core");

export const axeSource = readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");
export const inFolder = (name) => join(folder, name);
export const expected = JSON.parse(readFileSync(inFolder("expected.json"), "utf8"));

// For a machine without display or graphics card; the last switch renders WebGL on the processor.
const SWITCHES = ["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
  "--disable-component-update", "--disable-sync", "--enable-unsafe-swiftshader"];

export async function startBrowser() {
  const profile = mkdtempSync(join(tmpdir(), "report-"));
  const context = await chromium.launchPersistentContext(profile, {
    executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium", headless: true, args: SWITCHES, viewport: {width: 1280, height: 900}, acceptDownloads: true
  });
  return {
    context,
    /** Opens a page of the folder and waits until it is complete. */
    async open(name, {ready = true} = {}) {
      const page = await context.newPage();
      page.messages = [];
      page.requests = [];
      page.on("console", (message) => {
        // The software renderer warns about its own speed.
        if (!message.text().includes("GL Driver Message")) page.messages.push(`${message.type()}: ${message.text()}`);
      });
      page.on("pageerror", (error) => page.messages.push(`thrown: ${error.stack}`));
      page.on("request", (request) => page.requests.push(request.url()));
      await page.goto(pathToFileURL(inFolder(name)).href);
      if (ready) await page.waitForSelector("html[data-ready]", {timeout: 20000});
      else await page.waitForSelector("main.open", {timeout: 20000});
      return page;
    },
    async close() {
      await context.close();
      rmSync(profile, {recursive: true, force: true});
    }
  };
}
