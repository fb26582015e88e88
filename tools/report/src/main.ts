// The page: opens the file that it carries, or one that is dropped on it, and shows a section for all that is in it.
import {answerSection} from "./answer/section";
import {cabinSection} from "./cabin/section";
import {howSection} from "./how/section";
import {responseSection} from "./response/section";
import {settingsSection} from "./settings/section";
import {shareSection} from "./share/section";
import {systemSection} from "./system/section";
import {timeSection} from "./time/section";
import {Model, MONO} from "./file/model";
import {ResultsFile, UnreadableFile} from "./file/results_file";
import {BOTH_EARS, Chooser} from "./parts/choice";
import {choosers} from "./parts/choosers";
import {button, html, own, picker} from "./parts/elements";
import {Page, Section, servedSeats} from "./parts/page";
import {forgetThemeFollowers, onTheme, themePicker, watchTheme} from "./parts/theme";
import {loader} from "./shell/carried";
import {fill, words} from "./words";

const SECTIONS: Section[] = [answerSection, cabinSection, responseSection, timeSection, shareSection, systemSection, settingsSection, howSection];
const root = document.getElementById("page")!;

/** What tests and curious readers reach from the console. */
interface Handle {
  model: Model | null;
  chooser: Chooser | null;
  /** ms after the page was opened at which each step was on the screen. */
  painted: Record<string, number>;
}
const handle: Handle = {model: null, chooser: null, painted: {}};
(globalThis as unknown as {cabinfieldPage: Handle}).cabinfieldPage = handle;

/** Lets the browser draw what stands, then goes on. */
const nextPicture = () => new Promise<void>((done) => requestAnimationFrame(() => setTimeout(done, 0)));

function dropArea(problem: HTMLElement | null): HTMLElement {
  const input = html("input", {type: "file", id: "open-file", accept: ".h5,.hdf5", change: () => input.files?.[0] && void openDropped(input.files[0])});
  return html("main", {class: "open", id: "main"}, html("h1", {}, words.open.title), problem, html("p", {}, words.open.how), html("p", {}, html("label", {for: "open-file"}, words.open.label), " ", input), html("p", {class: "note"}, words.open.stays));
}

function problemOf(name: string, error: unknown): HTMLElement {
  const words_ = error instanceof UnreadableFile ? error.message : fill(words.file.unexpected, {reason: error instanceof Error ? error.message : String(error)});
  return html("p", {class: "problem", role: "alert"}, html("b", {}, own(name)), ": ", words_);
}

async function openDropped(file: File): Promise<void> {
  await show(file.name, async () => new Uint8Array(await file.arrayBuffer()), "");
}

async function show(name: string, bytes: () => Promise<Uint8Array>, thinned: string): Promise<void> {
  let model: Model;
  try {
    model = new Model(await ResultsFile.open(name, await bytes(), thinned));
  } catch (error) {
    root.replaceChildren(dropArea(problemOf(name, error)));
    return;
  }
  handle.model?.file.close();
  await build(model);
}

/** The frame of a drawing: what it shows, of when, by what. */
function titleBlock(model: Model): HTMLElement {
  const cell = (term: string, text: string) => text && html("div", {}, html("dt", {}, term), html("dd", {}, own(text)));
  const {carried} = loader();
  const files = carried.length > 1 &&
    html("div", {class: "file-pick screen-only"}, picker(words.head.file, carried.map(({name}, value) => ({value: String(value), text: name})), String(carried.findIndex(({name}) => name === model.file.name)), (value) => {
      const file = carried[Number(value)];
      void show(file.name, file.bytes, file.thinned);
    }));
  return html(
    "header",
    {class: "title-block"},
    html("h1", {}, own(model.title || words.head.untitled)),
    html("dl", {}, cell(words.head.fileName, model.file.name), cell(words.head.created, model.created.replace("T", " ").replace("Z", " UTC")), cell(words.head.method, words.head.methods[model.method as keyof typeof words.head.methods] ?? model.method), cell(words.head.program, `cabinfield ${model.programVersion}`)),
    html("div", {class: "head-tools screen-only"}, files, themePicker(), button(words.head.print, () => print()))
  );
}

async function build(model: Model): Promise<void> {
  forgetThemeFollowers();
  const served = servedSeats(model, 0);
  const chooser = new Chooser({
    preset: 0,
    seats: served,
    channels: model.channels.map((_, channel) => channel),
    ear: BOTH_EARS,
    signal: MONO,
    unit: model.scene.units === "in" ? "in" : "mm",
    driver: 0,
    seat: served[0] ?? 0
  });
  handle.model = model;
  handle.chooser = chooser;
  const waiting: (() => void)[] = [];
  const page: Page = {model, chooser, onTheme, later: (work) => void waiting.push(work)};
  addEventListener("beforeprint", () => chooser.settle());
  document.title = `${model.title || words.head.untitled} – cabinfield`;
  const index = html("ol", {}), main = html("main", {id: "main", tabindex: -1});
  root.replaceChildren(
    html("a", {class: "skip", href: "#main"}, words.head.skip),
    titleBlock(model),
    html("nav", {class: "index screen-only", "aria-label": words.head.index}, index),
    html("div", {class: "bar"}, choosers(model, chooser)),
    main,
    html("footer", {}, words.head.footer)
  );
  if (model.file.thinned) main.append(html("p", {class: "thinned"}, fill(words.file.thinned, {what: model.file.thinned})));
  let number = 0;
  for (const section of SECTIONS) {
    let content: HTMLElement | null;
    try {
      content = section.make(page);
    } catch (error) {
      content = problemOf(model.file.name, error);
    }
    if (!content) continue;
    ++number;
    main.append(html("section", {id: section.id, class: "part", "aria-labelledby": `${section.id}-head`}, html("h2", {id: `${section.id}-head`}, html("span", {class: "number", "aria-hidden": "true"}, number), section.title), content));
    index.append(html("li", {}, html("a", {href: `#${section.id}`}, section.title)));
    if (section === cabinSection || section === answerSection) {
      await nextPicture();
      handle.painted[section.id] = performance.now();
    }
    if (section === cabinSection) for (const work of waiting.splice(0)) work();
  }
  for (const work of waiting) work();
  await nextPicture();
  handle.painted.all = performance.now();
  document.documentElement.dataset.ready = "true";
}

function listenForFiles(): void {
  addEventListener("dragover", (event) => event.preventDefault());
  addEventListener("drop", (event) => {
    event.preventDefault();
    const file = event.dataTransfer?.files[0];
    if (file) void openDropped(file);
  });
}

watchTheme();
listenForFiles();
const [first] = loader().carried;
if (first) void show(first.name, first.bytes, first.thinned);
else root.replaceChildren(dropArea(null));
