// Tests the report in a real browser against what h5py reads from the same file.
//   REPORT_PACKAGES (with node_modules), REPORT_FOLDER (made by pages.py); node --test page_test.mjs
import assert from "node:assert/strict";
import {readFileSync} from "node:fs";
import {after, before, test} from "node:test";
import {axeSource, expected, inFolder, startBrowser} from "./browser.mjs";

const ALL = ["answer", "cabin", "response", "time", "share", "system", "settings", "how"];
/** Files without a scene that says which signal each channel takes. */
const WITHOUT_SETTINGS = ["synthetic", "hostile", "bare"];
const car = expected.hatchback;
let browser, hatchback;

before(async () => {
  browser = await startBrowser();
  hatchback = await browser.open("hatchback.html");
});
after(() => browser?.close());

/** Redraws views out of sight now, which would otherwise follow a little later. */
const settle = (page) => page.evaluate(() => cabinfieldPage.chooser.settle());
async function choose(page, label, text) {
  await page.getByLabel(label, {exact: true}).first().selectOption({label: text});
  await settle(page);
}
const close = (got, wanted, tolerance, what) => assert.ok(Math.abs(got - wanted) <= tolerance, `${what}: ${got}, h5py and numpy say ${wanted}`);
const plain = (text) => text.replace(/[\u2066-\u2069]/g, "").replace(/\u2212/g, "-");
/** Numbers as the page itself reads them. */
const read = (page, path, shape) => page.evaluate(([path, shape]) => Array.from(cabinfieldPage.model.file.numbers(path, shape)?.data ?? []), [path, shape]);

async function download(page, press) {
  const [file] = await Promise.all([page.waitForEvent("download"), press()]);
  return {name: file.suggestedFilename(), content: readFileSync(await file.path())};
}

/** Rows of the CSV of one chart of a section. */
async function csvOf(page, section, chart = 0) {
  const {content} = await download(page, () => page.locator(`#${section} .chart`).nth(chart).getByRole("button", {name: /CSV$/}).click());
  const cells = (line) => [...line.matchAll(/("(?:[^"]|"")*"|[^,]*)(?:,|$)/g)].map(([, cell]) => cell.replace(/^"|"$/g, "").replace(/""/g, '"'));
  return content.toString("utf8").split("\r\n\r\n").map((block) => block.trim().split("\r\n").map(cells));
}

for (const name of ["hatchback", "synthetic", "saloon", "people_carrier", "pickup", "box", "open", "hostile", "thinned", "bare"])
  test(`${name}: every section is shown, the console stays empty, and no network request is made`, async () => {
    const page = name === "hatchback" ? hatchback : await browser.open(`${name}.html`);
    const found = await page.$$eval("section.part", (parts) => parts.map((part) => part.id));
    const wanted = ALL.filter((section) => (section !== "share" || !WITHOUT_SETTINGS.includes(name) || found.includes("share")) && (section !== "system" || expected.planned.includes(name)));
    assert.deepEqual(found, wanted);
    for (const part of await page.$$("section.part")) assert.ok((await part.innerText()).length > 80, await part.getAttribute("id"));
    assert.equal(await page.locator(".problem").count(), 0);
    await page.waitForSelector(".view-3d canvas");
    assert.ok(await page.evaluate(() => document.querySelectorAll("#response svg.plot path[d]").length > 0), "curves");
    assert.deepEqual(page.messages, []);
    assert.deepEqual(page.requests.filter((url) => !/^(file|data|blob):/.test(url)), []);
    if (page !== hatchback) await page.close();
  });

test("every dataset has the values that h5py reads", async () => {
  assert.ok(Object.keys(car.datasets).length > 60);
  for (const [path, {shape, picks, least, most}] of Object.entries(car.datasets)) {
    const found = await hatchback.evaluate(([path, shape, at]) => {
      const {data} = cabinfieldPage.model.file.numbers(path, shape);
      let least = Infinity, most = -Infinity;
      for (const value of data) [least, most] = [Math.min(least, value), Math.max(most, value)];
      return {size: data.length, values: at.map((index) => data[index]), least, most};
    }, [path, shape, picks.map(([at]) => at)]);
    assert.equal(found.size, shape.reduce((product, extent) => product * extent, 1), path);
    assert.deepEqual(found.values, picks.map(([, value]) => value), path);
    assert.deepEqual([found.least, found.most], [least, most], path);
  }
  for (const path of ["/seat", "/channel", "/paths/reflection/surfaces", "/checks/words"])
    assert.deepEqual(await hatchback.evaluate((path) => cabinfieldPage.model.file.texts(path), path), car.texts[path].map((text) => text.trim()), path);
});

test("the summary counts the checks of the file", async () => {
  const rows = await hatchback.$$eval("#answer tbody tr", (rows) => rows.length);
  // The file lists safety cautions among the checks, under the name "caution"; the page lists them separately.
  const checks = car.texts["/checks/rule"].map((rule, row) => ({rule, outcome: car.outcomes[row]}));
  const judged = checks.filter(({rule}) => rule !== "caution"), tight = judged.filter(({outcome}) => outcome === "caution");
  assert.equal(rows, judged.length);
  assert.equal(await hatchback.locator("#answer .verdict.caution").count(), tight.length + (tight.length > 0 ? 1 : 0), "one for each, and one in the headline");
  assert.ok(await hatchback.locator("#answer .warnings li").count() >= checks.length - judged.length);
  assert.equal(await hatchback.locator("#answer .findings li").count(), 3);
  assert.equal(plain(await hatchback.locator("h1").innerText()), car.title);
});

test("levels, bands, arrivals and settings match the file", async () => {
  const page = await browser.open("hatchback.html");
  await choose(page, "Preset", car.names.preset[car.preset]);
  await choose(page, "Smoothing", "none");
  const [rows] = await csvOf(page, "response");
  const at = rows[0].findIndex((head) => head.startsWith("sum:"));
  assert.equal(rows.length - 1, car.frequency.length);
  rows.slice(1).forEach((row, index) => {
    close(Number(row[0]), car.frequency[index], 1e-5 * car.frequency[index], "frequency");
    close(Number(row[at]), car.sum_db[index], 1e-3, `sum at ${row[0]} Hz`);
  });

  const heads = await page.$$eval("#share table:first-of-type thead th", (cells) => cells.map((cell) => cell.textContent));
  const share = await page.$$eval("#share .scroll:first-of-type tbody tr", (rows) => rows.map((row) => [...row.children].map((cell) => cell.textContent)));
  for (const [middle, {sum, added}] of Object.entries(car.bands)) {
    const column = heads.indexOf(middle >= 1000 ? `${middle / 1000}k` : String(middle));
    const row = share.find(([name]) => name === car.names.channel[car.loudest]), sums = share.find(([name]) => name.startsWith("Sum"));
    close(Number(plain(sums[column])), sum, 0.51, `sum in the octave at ${middle} Hz`);
    if (!/[·>]/.test(row[column])) close(Number(plain(row[column])), added, 0.06, `added in the octave at ${middle} Hz`);
  }

  await choose(page, "Ear", "left ear");
  const order = await page.$$eval("#time table.arrival-order", (tables) => [...tables[0].querySelectorAll("tbody tr")].map((row) => [...row.children].map((cell) => cell.textContent)));
  const wanted = car.names.channel.map((name, channel) => ({name, channel})).filter(({channel}) => !car.mute[car.preset][channel])
    .map(({name, channel}) => {
      const undelayed = Math.min(...car.drives[channel].flatMap((drives, driver) => (drives ? [car.arrival[0][0][driver]] : [])));
      return {name, delayed: (undelayed + car.delay[car.preset][channel]) * 1000};
    }).sort((a, b) => a.delayed - b.delayed);
  assert.deepEqual(order.map(([name]) => name.replace(" (first)", "")), wanted.map(({name}) => name));
  order.forEach((row, index) => close(parseFloat(row[3]), wanted[index].delayed, 0.0051, `arrival of ${row[0]}`));

  const sheet = await page.$$eval(".sheet:not(.unchosen) tbody tr", (rows) => rows.map((row) => [...row.children].map((cell) => cell.textContent)));
  sheet.forEach((row, channel) => {
    if (car.mute[car.preset][channel]) return assert.equal(row[2], "muted");
    close(Number(plain(row[6])), car.gain[car.preset][channel], 0.051, `gain of ${row[0]}`);
    close(Number(row[7]), car.delay[car.preset][channel] * 1000, 0.0051, `delay of ${row[0]}`);
  });
  assert.match(sheet[0].join(" "), /2\.8 kHz, Linkwitz-Riley 24 dB\/oct/);
  assert.deepEqual(page.messages, []);
  await page.close();
});

test("an impulse response matches numpy's transform", async () => {
  const page = await browser.open("hatchback.html");
  await choose(page, "Preset", car.names.preset[car.preset]);
  await choose(page, "Ear", "left ear");
  const block = (await csvOf(page, "time")).find(([heads]) => heads.some((head) => head.startsWith(`${car.names.channel[car.loudest]}:`)));
  const at = block[0].findIndex((head) => head.startsWith(`${car.names.channel[car.loudest]}:`));
  const most = Math.max(...car.impulse.map(Math.abs));
  let seen = 0;
  for (const row of block.slice(1)) {
    const sample = Math.round((Number(row[0]) / 1000 - car.impulse_start) * 48000);
    if (sample < 0) continue;
    ++seen;
    close(Number(row[at]), car.impulse[sample], 1e-4 * most, `impulse response at ${row[0]} ms`);
  }
  assert.ok(seen > 400);
  await page.close();
});

test("paths: lengths match the file, and the drawn corners have the listed length", async () => {
  const page = await browser.open("saloon.html");
  const saloon = expected.saloon;
  let drawn = 0, listed = 0;
  for (const driver of [0, 1, 2])
    for (const seat of [0, 1]) {
      await page.evaluate(([driver, seat]) => cabinfieldPage.chooser.set({driver, seat, ear: 0}), [driver, seat]);
      await settle(page);
      const length = parseInt((await page.locator(".paths-table tbody tr").first().locator("td").first().innerText()).trim());
      close(length, saloon.length[seat][0][driver] * 1000, 5.01, "direct length, mm");
      const paths = await page.$$eval("#cabin .drawing", (drawings) => drawings.map((drawing) => [...drawing.querySelectorAll(".sound-paths polyline")].map((line) => line.getAttribute("points").split(" ").map((pair) => pair.split(",").map(Number)))));
      const listedLengths = await page.evaluate(([driver, seat]) => {
        const {model} = cabinfieldPage, setback = model.scene.setback_m(model.drivers[driver]);
        return model.reflections().filter((row) => row.driver === driver && row.seat === seat && row.ear === 0).map((row) => row.length_m - setback);
      }, [driver, seat]);
      listed += await page.locator(".paths-table tbody tr").count();
      // The plan has x and y, the side view x and z of the same corners; the direct path is selected and therefore last.
      const lengths = paths[0].map((path, index) => path.slice(1).reduce((sum, [x, y], at) => sum + Math.hypot(x - path[at][0], y - path[at][1], paths[1][index][at + 1][1] - paths[1][index][at][1]), 0));
      drawn += lengths.length;
      for (const long of lengths.slice(0, -1)) close(long, listedLengths.reduce((best, one) => (Math.abs(one - long) < Math.abs(best - long) ? one : best)), 1e-6, "drawn path, m");
    }
  assert.ok(drawn >= 0.99 * listed, `${drawn} of ${listed} paths are drawn`);
  await page.close();
});

test("every view follows a choice", async () => {
  const page = await browser.open("hatchback.html");
  const titles = () => page.$$eval("#response svg.plot", (plots) => plots.map((plot) => plot.querySelector("text").textContent));
  const curve = () => page.$eval("#response svg.plot path[data-line='sum']", (path) => path.getAttribute("d"));
  assert.equal((await titles()).length, 2);
  const before = await curve();
  await choose(page, "Preset", "kick_driver_only");
  assert.notEqual(await curve(), before);
  assert.match((await titles())[0], /kick_driver_only/);
  assert.equal(await page.locator(".sheet:not(.unchosen)").getAttribute("data-preset"), "kick_driver_only");
  assert.match(await page.locator("#time svg.plot").first().getAttribute("aria-label"), /kick_driver_only/);
  assert.match(await page.locator("#share caption").first().innerText(), /kick_driver_only/);
  const lines = () => page.$$eval("#response .chart:first-child path[data-line]", (paths) => paths.map((path) => path.dataset.line));
  assert.ok((await lines()).includes("kick_left_mid") && !(await lines()).includes("front_left_mid"), "muted channels are not drawn");

  await page.getByLabel("rear_left", {exact: true}).first().check();
  await settle(page);
  assert.equal((await titles()).length, 3);
  assert.equal(await page.locator("#share table").count(), 3);
  await page.getByLabel("passenger", {exact: true}).first().uncheck();
  await page.getByLabel("rear_left", {exact: true}).first().uncheck();
  await page.getByLabel("driver", {exact: true}).first().click();
  await settle(page);
  assert.equal((await titles()).length, 1, "the last seat stays selected");

  await page.locator(".channel-panel summary").click();
  await page.locator(".channel-panel").getByLabel(/^sub/).uncheck();
  await settle(page);
  assert.ok(!(await lines()).includes("sub"));
  assert.equal(await page.locator("#share .additions tbody th", {hasText: /^sub$/}).count(), 0);
  await page.locator(".channel-panel").getByRole("button", {name: "None"}).click();
  await settle(page);
  assert.deepEqual(await lines(), ["sum"]);
  await page.locator(".channel-panel").getByRole("button", {name: "All"}).click();
  await page.locator(".channel-panel summary").click();

  for (const [label, text] of [["Ear", "left ear"], ["Signal", "left input only"], ["Smoothing", "1/3 octave"]]) {
    const old = await curve();
    await choose(page, label, text);
    assert.notEqual(await curve(), old, label);
  }
  await choose(page, "Compare with the sum of", "as_drawn");
  assert.ok((await lines()).some((name) => name === "sum, as_drawn"));
  await page.getByLabel("phase", {exact: true}).check();
  assert.equal((await titles()).length, 2, "one phase chart for the one seat");

  const path = () => page.locator("#cabin .from-to").innerText();
  await page.locator("#cabin .drawing").first().locator(".marker[data-name='centre']").click();
  assert.match(await path(), /^centre to driver, left ear/);
  await page.locator("#cabin .drawing").nth(1).locator(".marker[data-name='rear_right']").click();
  assert.match(await path(), /^centre to rear_right/);
  await page.getByLabel("From speaker").selectOption({label: "sub"});
  assert.match(await path(), /blocked/);
  await page.getByLabel("From speaker").selectOption({label: "centre"});
  const length = () => page.locator(".paths-table tbody td").first().innerText();
  assert.match(await length(), / mm$/);
  await choose(page, "Units", "in");
  assert.match(await length(), / in$/);
  const selected = () => page.$eval("#cabin .drawing .sound-paths polyline:last-child", (line) => line.getAttribute("points"));
  const direct = await selected();
  await page.locator(".paths-table .row-pick").nth(1).click();
  assert.notEqual(await selected(), direct, "the path selected in the table is drawn last and highlighted");
  assert.deepEqual(page.messages, []);
  await page.close();
});

test("sound maps: the scale matches the file, and the map changes with frequency and source", async () => {
  const page = await browser.open("hatchback.html");
  const scale = () => page.locator("#cabin .map-scale").getAttribute("aria-label");
  const picture = () => page.$eval("#cabin .map-underlay", (image) => image.getAttribute("href"));
  await page.locator("#cabin").getByLabel("Map frequency", {exact: true}).selectOption({index: 1});
  const muted = car.mute[0].some((mute) => mute);
  const [, low, high] = /: (-?\d+) – (-?\d+) dB/.exec(await scale());
  assert.ok(!muted || Math.abs(high - Math.ceil(car.map.most)) <= 0, `${high} against ${car.map.most}`);
  close(Number(low), Math.max(Math.floor(car.map.least), high - 30), 0, "lower end of the scale");
  const first = await picture();
  await page.locator("#cabin").getByLabel("Map frequency", {exact: true}).selectOption({index: 0});
  const second = await picture();
  assert.notEqual(second, first);
  await page.getByLabel("Sound map of").selectOption({label: "sub alone"});
  assert.notEqual(await picture(), second);
  await page.getByLabel("Sound map of").selectOption({label: "none"});
  assert.equal(await page.locator("#cabin .map-underlay, #cabin .map-scale").count(), 0);
  await page.close();
});

test("the 3-D view rotates, zooms and selects a seat", async () => {
  const page = await browser.open("saloon.html");
  const frame = page.locator(".view-3d-frame");
  await page.waitForSelector(".view-3d canvas");
  await frame.scrollIntoViewIfNeeded();
  const labels = () => page.$$eval(".view-3d-labels span", (spans) => spans.map((span) => span.style.transform).join());
  const settled = async (act) => {
    const old = await labels();
    await act();
    await page.waitForFunction((old) => [...document.querySelectorAll(".view-3d-labels span")].map((span) => span.style.transform).join() !== old, old, {timeout: 3000});
  };
  await page.waitForFunction(() => document.querySelector(".view-3d-labels span")?.style.transform);
  await settled(() => page.locator(".view-3d-panel").getByRole("button", {name: "Top"}).click());
  await settled(() => frame.press("ArrowLeft"));
  await settled(() => page.locator(".view-3d-panel").getByRole("button", {name: "Zoom in"}).click());
  await settled(() => page.locator(".view-3d-panel").getByRole("button", {name: "Top"}).click());
  const box = await page.locator(".view-3d").boundingBox();
  const at = await page.$eval(".view-3d-labels .seat:not(.chosen)", (span) => ({name: span.textContent, at: /([\d.-]+)px, ([\d.-]+)px/.exec(span.style.transform).slice(1).map(Number)}));
  await page.mouse.click(box.x + at.at[0] - 8, box.y + at.at[1] + 8);
  await page.waitForFunction((name) => document.querySelector("#cabin .from-to").textContent.includes(` to ${name},`), at.name, {timeout: 3000});
  await page.close();
});

test("charts can be read, zoomed and saved", async () => {
  const page = await browser.open("saloon.html");
  const chart = page.locator("#response .chart").first(), plot = chart.locator("svg.plot");
  await plot.scrollIntoViewIfNeeded();
  const box = await plot.boundingBox();
  await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2);
  const entries = await chart.locator(".readout div").evaluateAll((divs) => divs.map((div) => [div.children[0].textContent, div.children[1].textContent]));
  assert.equal(entries[0][0], "Frequency, Hz");
  assert.ok(entries.length > 3 && entries.slice(1).every(([, value]) => Number.isFinite(Number(value))), JSON.stringify(entries));
  const ticks = () => plot.evaluate((svg) => [...svg.querySelectorAll("text[text-anchor='middle']")].map((text) => text.textContent));
  const wanted = ["10", "20", "50", "100", "200", "500", "1k", "2k", "5k", "10k"];
  assert.deepEqual((await ticks()).filter((tick) => wanted.includes(tick)), wanted);
  await page.mouse.move(box.x + box.width * 0.4, box.y + box.height / 2);
  await page.mouse.down();
  await page.mouse.move(box.x + box.width * 0.6, box.y + box.height / 2, {steps: 4});
  await page.mouse.up();
  assert.ok(!(await ticks()).includes("10k"), "zoomed");
  assert.ok((await ticks()).length >= 3);
  const second = page.locator("#response .chart").nth(1).locator("svg.plot");
  assert.deepEqual(await second.evaluate((svg) => [...svg.querySelectorAll("text[text-anchor='middle']")].map((text) => text.textContent)), await ticks(), "charts zoom together");
  await chart.getByRole("button", {name: /^Full range/}).click();
  assert.ok((await ticks()).includes("10k"));

  const drawing = await download(page, () => chart.getByRole("button", {name: /SVG$/}).click());
  const text = drawing.content.toString("utf8");
  assert.match(drawing.name, /\.svg$/);
  assert.ok(!text.includes("var(--"), "no colour refers to the page's style sheet");
  const parsed = await page.evaluate((text) => {
    const document = new DOMParser().parseFromString(text, "image/svg+xml");
    return {wrong: document.querySelector("parsererror")?.textContent ?? "", paths: document.querySelectorAll("path").length};
  }, text);
  assert.equal(parsed.wrong, "");
  assert.ok(parsed.paths > 3);
  const picture = await download(page, () => chart.getByRole("button", {name: /PNG$/}).click());
  assert.equal(picture.content.subarray(1, 4).toString(), "PNG");
  assert.ok(picture.content.readUInt32BE(16) > 1500, "resolution for printing");
  assert.deepEqual(page.messages, []);
  await page.close();
});

test("every control works from the keyboard", async () => {
  const page = await browser.open("saloon.html");
  await page.keyboard.press("Tab");
  assert.equal(await page.evaluate(() => document.activeElement.className), "skip");
  const seen = new Set();
  let stuck = 0, last = null;
  for (let press = 0; press < 160; ++press) {
    await page.keyboard.press("Tab");
    const here = await page.evaluate(() => {
      const at = document.activeElement;
      const number = [...document.querySelectorAll("*")].indexOf(at);
      return {name: `${number} ${at.tagName} ${at.getAttribute("aria-label") ?? at.textContent.slice(0, 30)}`, section: at.closest("section.part")?.id ?? "", body: at === document.body};
    });
    if (here.body) break;
    stuck = here.name === last ? stuck + 1 : 0;
    assert.ok(stuck < 1, `stuck at ${here.name}`);
    last = here.name;
    seen.add(here.section);
  }
  for (const section of ["cabin", "response", "time"]) assert.ok(seen.has(section), `Tab reaches ${section}`);
  const marker = page.locator("#cabin .drawing").first().locator(".marker[data-name='sub']");
  await marker.focus();
  await page.keyboard.press("Enter");
  assert.match(await page.locator("#cabin .from-to").innerText(), /^sub to/);
  assert.equal(await page.evaluate(() => document.activeElement.getAttribute("data-name")), "sub", "the focus stays");
  const plot = page.locator("#response svg.plot").first();
  await plot.focus();
  for (const key of ["Home", "ArrowRight", "ArrowRight"]) await page.keyboard.press(key);
  const spoken = await page.locator("#response .chart").first().locator("[role=status]").innerText();
  assert.match(spoken, /Frequency, Hz\s*10\.59/);
  await page.keyboard.press("+");
  assert.equal(await page.evaluate(() => document.activeElement.tagName.toLowerCase()), "svg");
  await page.locator(".channel-panel summary").focus();
  await page.keyboard.press("Enter");
  await page.keyboard.press("Tab");
  await page.keyboard.press("Space");
  assert.equal(await page.evaluate(() => cabinfieldPage.chooser.now.channels.includes(0)), false);
  await page.keyboard.press("Escape");
  assert.equal(await page.locator(".channel-panel[open]").count(), 0);
  await page.close();
});

test("axe-core finds nothing serious: light, dark, empty page, refused file", async () => {
  const serious = async (page) => {
    await page.evaluate(axeSource);
    const {violations} = await page.evaluate(() => axe.run(document, {resultTypes: ["violations"]}));
    return violations.filter(({impact}) => ["serious", "critical"].includes(impact)).map(({id, nodes}) => `${id}: ${nodes.slice(0, 3).map(({html}) => html.slice(0, 160)).join(" | ")}`);
  };
  const page = await browser.open("saloon.html");
  await page.locator("details").evaluateAll((all) => all.forEach((one) => (one.open = !one.classList.contains("channel-panel"))));
  await page.waitForSelector(".view-3d canvas");
  assert.deepEqual(await serious(page), []);
  await choose(page, "Theme", "dark");
  assert.deepEqual(await serious(page), []);
  await page.locator(".channel-panel summary").click();
  assert.deepEqual(await serious(page), []);
  await page.close();
  const empty = await browser.open("empty.html", {ready: false});
  assert.deepEqual(await serious(empty), []);
  await empty.setInputFiles("#open-file", inFolder("bad/text.h5"));
  await empty.waitForSelector(".problem");
  assert.deepEqual(await serious(empty), []);
  await empty.close();
});

test("lines have a contrast of at least 3 to 1 and differ without colour", async () => {
  const luminance = ([r, g, b]) => [r, g, b].map((part) => (part /= 255) && (part <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4)).reduce((sum, part, at) => sum + part * [0.2126, 0.7152, 0.0722][at], 0);
  const page = await browser.open("saloon.html");
  for (const theme of ["light", "dark"]) {
    await choose(page, "Theme", theme);
    const colours = await page.evaluate(() => {
      const style = getComputedStyle(document.documentElement), pen = document.createElement("canvas").getContext("2d");
      const parts = (name) => {
        pen.fillStyle = style.getPropertyValue(name).trim();
        return [1, 3, 5].map((at) => parseInt(pen.fillStyle.slice(at, at + 2), 16));
      };
      return {paper: parts("--paper"), raised: parts("--raised"), lines: [1, 2, 3, 4, 5, 6, 7, 8].map((line) => parts(`--line-${line}`)), marks: ["--passes", "--tight", "--fails", "--driver", "--path", "--other-path"].map(parts)};
    });
    for (const ground of [colours.paper, colours.raised])
      for (const colour of [...colours.lines, ...colours.marks]) {
        const [light, dark] = [luminance(colour), luminance(ground)].sort((a, b) => b - a);
        assert.ok((light + 0.05) / (dark + 0.05) >= 3, `${theme}: ${colour} on ${ground}`);
      }
  }
  const looks = await page.$$eval("#response .chart:first-child path[data-line]", (paths) => Object.fromEntries(paths.map((path) => [path.dataset.line, path.getAttribute("stroke-dasharray")])));
  for (const name of Object.keys(looks)) if (name.includes("left") && looks[name.replace("left", "right")] !== undefined) assert.notEqual(looks[name], looks[name.replace("left", "right")], name);
  await page.close();
});

test("print: A4, one page of settings per preset, nothing cut off, light colours even from a dark screen", async () => {
  const page = await browser.open("people_carrier.html");
  await choose(page, "Theme", "dark");
  const pdf = (await page.pdf({preferCSSPageSize: true, printBackground: true})).toString("latin1");
  const sizes = [...pdf.matchAll(/\/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]/g)].map(([, width, height]) => [Math.round(width), Math.round(height)]);
  const presets = await page.evaluate(() => cabinfieldPage.model.presets.length);
  const landscape = sizes.filter(([width]) => width === 842);
  assert.equal(landscape.length, presets, JSON.stringify(sizes));
  assert.ok(sizes.every(([width, height]) => (width === 595 && height === 842) || (width === 842 && height === 595)), JSON.stringify(sizes));
  await page.emulateMedia({media: "print"});
  await page.setViewportSize({width: 700, height: 990});
  await page.waitForTimeout(200);
  assert.equal(await page.evaluate(() => getComputedStyle(document.body).backgroundColor), "rgb(255, 255, 255)");
  assert.equal(await page.locator(".bar").isVisible(), false);
  assert.equal(await page.locator(".sheet:visible").count(), presets);
  const wide = await page.evaluate(() => [...document.querySelectorAll("section.part:not(#settings) table, section.part svg, section.part figure")].filter((one) => one.getBoundingClientRect().right > innerWidth + 1).map((one) => one.outerHTML.slice(0, 80)));
  assert.deepEqual(wide, []);
  await page.close();
});

test("on a phone nothing is wider than the page", async () => {
  const page = await browser.open("saloon.html");
  await page.setViewportSize({width: 390, height: 844});
  await page.waitForTimeout(300);
  assert.ok(await page.evaluate(() => document.documentElement.scrollWidth) <= 390);
  await page.close();
});

test("text from a scene is shown as text, never as markup", async () => {
  const page = await browser.open("hostile.html");
  assert.equal(await page.evaluate(() => "broken" in window), false);
  assert.equal(plain(await page.locator("h1").innerText()), expected.hostile.title);
  assert.ok((await page.title()).startsWith(expected.hostile.title));
  assert.ok((await page.locator("#answer").innerText()).includes(expected.hostile.title), "in the details of a check");
  assert.ok((await page.locator(".title-block").innerText()).includes('a "name" <b>&.h5'));
  assert.equal(await page.locator("h1 script, h1 img, #page img, .sheet-head b b").count(), 0);
  assert.equal(await page.locator("h1 bdi").count(), 1, "right-to-left text is isolated");
  await page.close();
});

const REFUSED = {
  "nothing.h5": /empty/, "text.h5": /not an HDF5 file/, "start.h5": /cut short/, "cut.h5": /cut short: [\d,]+ of [\d,]+ bytes/, "scrambled.h5": /damaged/,
  "foreign.h5": /not a results file of cabinfield/, "newer.h5": /format 2\.0.*reads format 1\.x/, "kind.h5": /\/seat has the wrong data type/
};
const SHOWN_IN_PART = {"shape.h5": /\/paths\/arrival does not fit/, "no_number.h5": /\/paths\/arrival holds a value that is not a number/, "outside.h5": /\/geometry\/triangle holds an index outside/, "inside.h5": /\/response\/signal cannot be read/};

test("the system section shows the numbers of the file", async () => {
  const page = await browser.open("planned.html");
  assert.equal(await page.locator("section.part#system").count(), 1);
  assert.ok(!expected.planned.includes("bare"), "bare has no system, and the first tests check that its section is absent");
  const cells = (caption) => page.$$eval("#system table", (tables, caption) => [...tables.find((table) => table.caption.textContent.startsWith(caption)).querySelectorAll("tbody tr")].map((row) => [...row.children].map((cell) => cell.textContent)), caption);
  const outputs = await cells("What feeds");
  assert.deepEqual(outputs[0].slice(1, 6), ["1", "front_amp 1", "3.4 Ω at 392 Hz", "41 W", "75 W"]);
  assert.match(outputs[1][2], /proposed/);
  assert.equal(outputs.at(-1)[2], "none");
  assert.deepEqual((await cells("Voltage at each"))[1], ["full bass, engine off", "12.6 V, 43 A", "12.4 V, 50 A"]);
  assert.deepEqual((await cells("Current out of")).map((row) => row.map(plain)), [["music, engine running", "-12 A", "-17 A"], ["full bass, engine off", "0 A", "48 A, its protection trips"]]);
  assert.deepEqual((await cells("Cables"))[0], ["second to front_amp", "43 A", "117 A", "0.24 V", "44 °C", "10 mm², 8 AWG", "50 A"]);
  assert.deepEqual((await cells("Maximum music level"))[0].slice(1), ["104", "112", "7 min"]);
  const text = await page.locator("#system").innerText();
  for (const words of [/3\.4 h before the batteries reach the allowed depth/, /30 kg: 9 kg .* 21 kg/, /limited by excursion at /]) assert.match(text, words);
  const lines = await page.$$eval("#system .chart:first-child path[data-line]", (paths) => paths.map((path) => path.dataset.line));
  assert.ok(lines.includes("all channels, sine") && lines.includes("all channels, music by third octave"));
  assert.ok(!lines.includes(await page.evaluate(() => cabinfieldPage.model.channels.at(-1))), "a silent channel has no line");
  assert.deepEqual(page.messages, []);
  await page.close();
});

test("a study: ranking with uncertainty, sorting by any column, two variants compared, a placement map", async () => {
  const page = await browser.open("study.html");
  assert.deepEqual(await page.$$eval("section.part", (parts) => parts.map((part) => part.id)), ["ranking", "comparison", "placement", "impossible", "how"]);
  const order = () => page.$$eval("table.ranking tbody tr", (rows) => rows.map((row) => row.children[1].textContent));
  assert.match(await page.locator("#ranking .headline").innerText(), /fascia leads; it is best in 75 % of 40 samples/);
  assert.deepEqual(await order(), ["fascia", "dash", "as drawn", "under the dash", "pillar", "roof"]);
  const first = await page.$$eval("table.ranking tbody tr:first-child > *", (cells) => cells.map((cell) => cell.textContent));
  assert.deepEqual(first.map(plain), ["1", "fascia", "-1.25", "2.2 0.2 … 4.2", "7 5 … 9", "0", "75 %", "90 %"]);
  await page.getByRole("button", {name: "evenness, dB"}).click();
  await page.getByRole("button", {name: "evenness, dB"}).click();
  assert.deepEqual(await order(), ["pillar", "under the dash", "as drawn", "dash", "fascia", "roof"], "NaN comes last in both directions");
  assert.equal(await page.locator("th[aria-sort=descending]").innerText(), "evenness, dB ▼".replace(" ▼", ""));
  const lines = () => page.$$eval("#comparison .chart:first-child path[data-line]", (paths) => paths.map((path) => path.dataset.line));
  assert.deepEqual(await lines(), ["fascia", "fascia, 10th percentile", "fascia, 90th percentile", "as drawn", "as drawn, 10th percentile", "as drawn, 90th percentile"]);
  await page.getByLabel("with", {exact: true}).selectOption({label: "dash"});
  assert.ok((await lines()).includes("dash, 10th percentile"));
  assert.deepEqual((await page.$$eval("#comparison table tbody tr:first-child > *", (cells) => cells.map((cell) => cell.textContent))), ["evenness, dB", "2.2 (0.2 … 4.2)", "3.1 (1.1 … 5.1)"]);
  assert.equal(await page.locator("#placement polygon").count(), 36 - 2, "triangles at a point without a value are left out");
  assert.match(await page.locator("#placement .map-title").innerText(), /evenness, dB .* dash\.top/);
  assert.ok(!(await page.locator("#main").innerText()).includes("NaN"));
  assert.equal(plain(await page.locator("h1").innerText()), expected.hostile.title);
  await page.evaluate(axeSource);
  const {violations} = await page.evaluate(() => axe.run(document, {resultTypes: ["violations"]}));
  assert.deepEqual(violations.filter(({impact}) => ["serious", "critical"].includes(impact)).map(({id, nodes}) => `${id} ${nodes[0].html}`), []);
  assert.deepEqual(page.messages, []);
  await page.close();
});

test("a page shows a study file that the program wrote", async () => {
  const page = await browser.open("small.html");
  const sections = await page.$$eval("section.part", (parts) => parts.map((part) => part.id));
  assert.deepEqual(sections.filter((section) => section !== "impossible"), ["ranking", "comparison", "placement", "how"]);
  assert.equal(await page.locator("table.ranking tbody tr").count(), 6);
  assert.match(await page.locator("#ranking .headline").innerText(), /leads; it is best in \d+ % of 20 samples/);
  assert.ok(await page.locator("#placement circle").count() > 5);
  assert.ok(await page.locator("#comparison path[data-line]").count() >= 2 * 6, "two variants with their uncertainty bands at two seats");
  assert.ok(!/NaN|undefined/.test(await page.locator("#main").innerText()));
  assert.equal(await page.locator(".problem").count(), 0);
  assert.deepEqual(page.messages, []);
  await page.close();
});

test("the message for a broken or foreign file says what is wrong, and a good file opens afterwards", async () => {
  const page = await browser.open("empty.html", {ready: false});
  for (const [name, words] of Object.entries(REFUSED)) {
    await page.setInputFiles("#open-file", inFolder(`bad/${name}`));
    await page.waitForFunction((name) => document.querySelector(".problem")?.textContent.includes(name), name);
    const problem = await page.locator(".problem").innerText();
    assert.match(problem, words, name);
    assert.equal(problem.split("\n").length, 1);
  }
  await page.setInputFiles("#open-file", inFolder("whole.h5"));
  await page.waitForSelector("html[data-ready]");
  assert.equal(await page.locator(".problem").count(), 0);
  assert.deepEqual(page.messages.filter((line) => line.startsWith("thrown")), []);
  await page.close();
});

test("a file with a damaged part is shown without it, and the page says what is damaged", async () => {
  for (const [name, words] of Object.entries(SHOWN_IN_PART)) {
    const page = await browser.open("empty.html", {ready: false});
    await page.setInputFiles("#open-file", inFolder(`bad/${name}`));
    await page.waitForSelector("html[data-ready]");
    assert.match(await page.locator(".problem").first().innerText(), words, name);
    assert.ok((await page.locator("section.part").count()) >= 4, name);
    assert.deepEqual(page.messages.filter((line) => line.startsWith("thrown")), [], name);
    await page.close();
  }
});

test("a file dropped on the page opens", async () => {
  const page = await browser.open("empty.html", {ready: false});
  const content = readFileSync(inFolder("whole.h5")).toString("base64");
  await page.evaluate((content) => {
    const carrier = new DataTransfer();
    carrier.items.add(new File([Uint8Array.from(atob(content), (letter) => letter.charCodeAt(0))], "dropped.h5"));
    window.dispatchEvent(new DragEvent("drop", {dataTransfer: carrier, bubbles: true, cancelable: true}));
  }, content);
  await page.waitForSelector("html[data-ready]");
  assert.match(await page.locator(".title-block").innerText(), /dropped\.h5/);
  await page.close();
});

test("a page with two files switches between them", async () => {
  const page = await browser.open("two.html");
  assert.match(await page.locator(".title-block").innerText(), /saloon\.h5/);
  await choose(page, "File", "pickup.h5");
  await page.waitForFunction(() => cabinfieldPage.model.file.name === "pickup.h5" && document.querySelectorAll("section.part").length >= 6);
  assert.match(await page.locator("h1").innerText(), /[Pp]ickup|crew cab/);
  assert.deepEqual(page.messages, []);
  await page.close();
});

test("a thinned page says what it lacks, and a whole page saves its results file", async () => {
  const page = await browser.open("thinned.html");
  assert.match(await page.locator(".thinned").innerText(), /maps, all but one in \d+ frequencies/);
  await page.close();
  const saved = await download(hatchback, () => hatchback.getByRole("button", {name: "Save the results file"}).click());
  assert.equal(saved.name, "hatchback.h5");
  assert.equal(saved.content.subarray(1, 4).toString(), "HDF");
  await hatchback.locator("#how details", {hasText: "Licences"}).locator("summary").click();
  await hatchback.waitForFunction(() => /h5wasm 0[\s\S]*three [\d.]+ \(MIT\)/.test(document.querySelector("#how details:last-of-type pre").textContent));
});
