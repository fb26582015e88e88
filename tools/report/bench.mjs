// Measures how fast a page loads and responds: node bench.mjs PAGE.html... (packages beside this file). Prints; asserts nothing.
import {createRequire} from "node:module";
import {mkdtempSync, rmSync, statSync} from "node:fs";
import {tmpdir} from "node:os";
import {basename, join, resolve} from "node:path";
import {pathToFileURL} from "node:url";

const require = createRequire(import.meta.url);
const {chromium} = require("playwright-core");
const SWITCHES = ["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
  "--disable-component-update", "--disable-sync", "--enable-unsafe-swiftshader"];
const RUNS = 5;

/** Changes that a reader makes; each is timed until the browser has drawn it. */
const CHANGES = {
  "another preset": {preset: 1},
  "all seats": {seats: "all"},
  "one ear": {ear: 0},
  "half of the channels": {channels: "half"},
  "another driver": {driver: 1}
};

const median = (values) => [...values].sort((a, b) => a - b)[values.length >> 1];

for (const page of process.argv.slice(2)) {
  const first = [], all = [], answers = {};
  for (let run = 0; run < RUNS; ++run) {
    const profile = mkdtempSync(join(tmpdir(), "report-bench-"));
    const browser = await chromium.launchPersistentContext(profile, {executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium", headless: true, args: SWITCHES, viewport: {width: 1280, height: 900}});
    const tab = await browser.newPage();
    await tab.goto(pathToFileURL(resolve(page)).href);
    await tab.waitForSelector("html[data-ready]");
    const painted = await tab.evaluate(() => cabinfieldPage.painted);
    first.push(painted.cabin);
    all.push(painted.all);
    await tab.waitForTimeout(1500);
    for (const [name, change] of Object.entries(CHANGES)) {
      const took = await tab.evaluate(async (change) => {
        const {model, chooser} = cabinfieldPage;
        const choice = {...change};
        if (choice.seats) choice.seats = model.seats.map((_, seat) => seat);
        if (choice.channels) choice.channels = model.channels.map((_, channel) => channel).filter((channel) => channel % 2 === 0);
        const start = performance.now();
        // Requested first, so that it runs before the redraw of views out of sight.
        const drawn = new Promise((done) => requestAnimationFrame(() => setTimeout(done, 0)));
        chooser.set(choice);
        const computed = performance.now() - start;
        await drawn;
        return [computed, performance.now() - start];
      }, change);
      (answers[name] ??= []).push(took);
    }
    await browser.close();
    rmSync(profile, {recursive: true, force: true});
  }
  console.log(`${basename(page)}: ${(statSync(page).size / 1e6).toFixed(1)} MB (goal: under 12 for the hatchback)`);
  console.log(`  first picture, cabin and checks: ${median(first).toFixed(0)} ms (goal: under 1000), ${first.map((ms) => ms.toFixed(0)).join(" ")}`);
  console.log(`  everything: ${median(all).toFixed(0)} ms (goal: under 3000)`);
  for (const [name, times] of Object.entries(answers))
    console.log(`  ${name}: ${median(times.map(([computed]) => computed)).toFixed(0)} ms computed, ${median(times.map(([, drawn]) => drawn)).toFixed(0)} ms drawn (goal: under 100)`);
}
