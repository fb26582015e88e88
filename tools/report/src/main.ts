// The page: opens the file inside it, or a file dropped on it, and shows a section for each part of the file.
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
import {STUDY_SECTIONS} from "./study/section";
import {StudyModel} from "./study/study_model";
import {loader} from "./shell/carried";
import {fill, words} from "./words";

const SECTIONS: Section[] = [answerSection, cabinSection, responseSection, timeSection, shareSection, systemSection, settingsSection, howSection];
const root = document.getElementById("page")!;

/** Object for tests and for the browser's console. */
interface Handle {
  model: Model | null;
  chooser: Chooser | null;
  /** When each step was on the screen, ms after the page was opened. */
  painted: Record<string, number>;
}
const handle: Handle = {model: null, chooser: null, painted: {}};
(globalThis as unknown as {cabinfieldPage: Handle}).cabinfieldPage = handle;

let opened: ResultsFile | null = null;

/** Resolves after the browser has drawn the page as it is. */
const nextPicture = () => new Promise<void>((done) => requestAnimationFrame(() => setTimeout(done, 0)));

function dropArea(problem: HTMLElement | null): HTMLElement {
  const input = html("input", {type: "file", id: "open-file", accept: ".h5,.hdf5", change: () => input.files?.[0] && void openDropped(input.files[0])});
  return html("main", {class: "open", id: "main"}, html("h1", {}, words.open.title), problem, html("p", {}, words.open.how), html("p", {}, html("label", {for: "open-file"}, words.open.label), " ", input), html("p", {class: "note"}, words.open.stays));
}

function problemOf(name: string, error: unknown): HTMLElement {
  const reason = error instanceof UnreadableFile ? error.message : fill(words.file.unexpected, {reason: error instanceof Error ? error.message : String(error)});
  return html("p", {class: "problem", role: "alert"}, html("b", {}, own(name)), ": ", reason);
}

async function openDropped(file: File): Promise<void> {
  await show(file.name, async () => new Uint8Array(await file.arrayBuffer()), "");
}

async function show(name: string, bytes: () => Promise<Uint8Array>, thinned: string): Promise<void> {
  let file: ResultsFile, build: () => Promise<void>;
  delete document.documentElement.dataset.ready;
  try {
    file = await ResultsFile.open(name, await bytes(), thinned);
    if (file.isStudy) {
      const study = new StudyModel(file);
      build = () => buildStudy(study);
    } else {
      const model = new Model(file);
      build = () => buildResults(model);
    }
  } catch (error) {
    root.replaceChildren(dropArea(problemOf(name, error)));
    return;
  }
  opened?.close();
  opened = file;
  forgetThemeFollowers();
  await build();
  await nextPicture();
  handle.painted.all = performance.now();
  document.documentElement.dataset.ready = "true";
}

/** The title block, as on a drawing: title, file, date, method, program. */
function titleBlock(file: ResultsFile, title: string, facts: [string, string][]): HTMLElement {
  const cell = ([term, text]: [string, string]) => text && html("div", {}, html("dt", {}, term), html("dd", {}, own(text)));
  const {carried} = loader();
  const files = carried.length > 1 &&
    html("div", {class: "file-pick screen-only"}, picker(words.head.file, carried.map(({name}, value) => ({value: String(value), text: name})), String(carried.findIndex(({name}) => name === file.name)), (value) => {
      const other = carried[Number(value)];
      void show(other.name, other.bytes, other.thinned);
    }));
  document.title = `${title} – cabinfield`;
  const all: [string, string][] = [
    [words.head.fileName, file.name],
    [words.head.created, file.attribute("created").replace("T", " ").replace("Z", " UTC")],
    ...facts,
    [words.head.program, `cabinfield ${file.attribute("program_version")}`]
  ];
  return html(
    "header",
    {class: "title-block"},
    html("h1", {}, own(title)),
    html("dl", {}, all.map(cell)),
    html("div", {class: "head-tools screen-only"}, files, themePicker(), button(words.head.print, () => print()))
  );
}

/** Creates the frame of the page; returns the function that adds a section. */
function frame(head: HTMLElement, bar: HTMLElement | null, file: ResultsFile): (id: string, title: string, make: () => HTMLElement | null) => void {
  const index = html("ol", {}), main = html("main", {id: "main", tabindex: -1});
  root.replaceChildren(
    ...[html("a", {class: "skip", href: "#main"}, words.head.skip), head, html("nav", {class: "index screen-only", "aria-label": words.head.index}, index), bar, main, html("footer", {}, words.head.footer)].filter((part) => part !== null)
  );
  if (file.thinned) main.append(html("p", {class: "thinned"}, fill(words.file.thinned, {what: file.thinned})));
  let number = 0;
  return (id, title, make) => {
    let content: HTMLElement | null;
    try {
      content = make();
    } catch (error) {
      content = problemOf(file.name, error);
    }
    if (!content) return;
    ++number;
    main.append(html("section", {id, class: "part", "aria-labelledby": `${id}-head`}, html("h2", {id: `${id}-head`}, html("span", {class: "number", "aria-hidden": "true"}, number), title), content));
    index.append(html("li", {}, html("a", {href: `#${id}`}, title)));
  };
}

async function buildStudy(study: StudyModel): Promise<void> {
  handle.model = handle.chooser = null;
  const add = frame(titleBlock(study.file, study.title || words.head.untitled, [[words.study.varied, study.axes.join(", ")]]), null, study.file);
  for (const section of STUDY_SECTIONS) add(section.id, section.title, () => section.make(study));
}

async function buildResults(model: Model): Promise<void> {
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
  addEventListener("beforeprint", () => chooser.settle());
  const deferred: (() => void)[] = [];
  const page: Page = {model, chooser, onTheme, later: (work) => void deferred.push(work)};
  const method = words.head.methods[model.method as keyof typeof words.head.methods] ?? model.method;
  const add = frame(titleBlock(model.file, model.title || words.head.untitled, [[words.head.method, method]]), html("div", {class: "bar"}, choosers(model, chooser)), model.file);
  for (const section of SECTIONS) {
    add(section.id, section.title, () => section.make(page));
    if (section !== cabinSection && section !== answerSection) continue;
    await nextPicture();
    handle.painted[section.id] = performance.now();
    if (section === cabinSection) for (const work of deferred.splice(0)) work();
  }
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
