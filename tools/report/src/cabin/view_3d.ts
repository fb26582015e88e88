// The 3-D view with its buttons. The 3-D library loads after the page is shown; without WebGL only the drawings are shown.
import {button, html} from "../parts/elements";
import {loader} from "../shell/carried";
import type {Page} from "../parts/page";
import type {ColouredSurfaces, Ink, MakeRenderer3d, Renderer3d, Solid, SoundPath} from "./view_3d_types";
import {words} from "../words";

const colourOf = (element: Element, name: string) => getComputedStyle(element).getPropertyValue(name).trim();

function inkOf(element: Element): Ink {
  const ink = (name: string) => colourOf(element, name);
  return {paper: ink("--paper"), shell: ink("--shell"), block: ink("--block"), edge: ink("--ink"), driver: ink("--driver"), seat: ink("--seat"), selectedPath: ink("--path"), otherPath: ink("--other-path")};
}

export interface View3d {
  element: HTMLElement;
  choose(driver: number, seat: number): void;
  paths(paths: SoundPath[]): void;
  colour(surfaces: ColouredSurfaces | null): void;
}

export function view3d(page: Page, solid: Solid, picked: (what: "driver" | "seat", index: number) => void): View3d {
  const place = html("div", {class: "view-3d-place"}, html("p", {class: "waiting"}, words.cabin.view3dLoading));
  const apply: ((view: Renderer3d) => void)[] = [];
  let view: Renderer3d | null = null;
  const later = (number: number, action: (view: Renderer3d) => void) => {
    apply[number] = action;
    if (view) action(view);
  };
  const act = (action: (view: Renderer3d) => void) => () => view && action(view);
  const tools = html(
    "div",
    {class: "tools", role: "group", "aria-label": words.cabin.view3dTools},
    button(words.cabin.fromFront, act((v) => v.look(180, 12))),
    button(words.cabin.fromLeft, act((v) => v.look(-90, 8))),
    button(words.cabin.fromBehind, act((v) => v.look(0, 20))),
    button(words.cabin.fromAbove, act((v) => v.look(0, 90))),
    button("↺", act((v) => v.turn(-15, 0)), {"aria-label": words.cabin.rotateLeft}),
    button("↻", act((v) => v.turn(15, 0)), {"aria-label": words.cabin.rotateRight}),
    button("+", act((v) => v.zoom(1.25)), {"aria-label": words.cabin.zoomIn}),
    button("−", act((v) => v.zoom(0.8)), {"aria-label": words.cabin.zoomOut})
  );
  const keys = (event: KeyboardEvent) => {
    const turns: Record<string, [number, number]> = {ArrowLeft: [-10, 0], ArrowRight: [10, 0], ArrowUp: [0, 10], ArrowDown: [0, -10]};
    if (!view || !turns[event.key]) return;
    event.preventDefault();
    view.turn(...turns[event.key]);
  };
  const element = html("figure", {class: "view-3d-panel"}, html("div", {class: "view-3d-frame", tabindex: 0, role: "group", "aria-label": words.cabin.view3dLong, keydown: keys}, place), html("figcaption", {}, tools, html("p", {class: "hint"}, words.cabin.view3dHint)));

  async function start(): Promise<void> {
    await loader().run("renderer");
    const make = (globalThis as unknown as {cabinfieldRenderer: MakeRenderer3d}).cabinfieldRenderer;
    try {
      view = make(solid, inkOf(element), picked);
    } catch {
      place.replaceChildren(html("p", {class: "waiting"}, words.cabin.noView3d));
      tools.hidden = true;
      return;
    }
    place.replaceChildren(view.element);
    for (const action of apply) if (action) action(view);
    page.onTheme(() => view!.ink(inkOf(element)));
  }
  const idle = globalThis.requestIdleCallback ?? ((then: () => void) => setTimeout(then, 50));
  idle(() => void start());

  return {
    element,
    choose: (driver, seat) => later(0, (v) => v.choose(driver, seat)),
    paths: (paths) => later(1, (v) => v.paths(paths)),
    colour: (surfaces) => later(2, (v) => v.colour(surfaces))
  };
}
