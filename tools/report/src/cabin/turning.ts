// The turnable view with its buttons. The 3-D library comes when the page stands; without WebGL the drawings do without.
import {button, html} from "../parts/elements";
import {loader} from "../shell/carried";
import type {Page} from "../parts/page";
import type {Ink, MakeTurntable, Painted, Solid, TurntableView, Way} from "./view";
import {words} from "../words";

const colourOf = (element: Element, name: string) => getComputedStyle(element).getPropertyValue(name).trim();

function inkOf(element: Element): Ink {
  const ink = (name: string) => colourOf(element, name);
  return {paper: ink("--paper"), shell: ink("--shell"), block: ink("--block"), edge: ink("--ink"), driver: ink("--driver"), seat: ink("--seat"), chosen: ink("--way"), other: ink("--other-way")};
}

export interface Turning {
  element: HTMLElement;
  choose(driver: number, seat: number): void;
  ways(ways: Way[]): void;
  paint(painted: Painted | null): void;
}

export function turning(page: Page, solid: Solid, picked: (what: "driver" | "seat", index: number) => void): Turning {
  const place = html("div", {class: "turntable-place"}, html("p", {class: "waiting"}, words.cabin.turningWaits));
  const apply: ((view: TurntableView) => void)[] = [];
  let view: TurntableView | null = null;
  const later = (number: number, action: (view: TurntableView) => void) => {
    apply[number] = action;
    if (view) action(view);
  };
  const act = (action: (view: TurntableView) => void) => () => view && action(view);
  const tools = html(
    "div",
    {class: "tools", role: "group", "aria-label": words.cabin.turningTools},
    button(words.cabin.fromFront, act((v) => v.look(180, 12))),
    button(words.cabin.fromLeft, act((v) => v.look(-90, 8))),
    button(words.cabin.fromBehind, act((v) => v.look(0, 20))),
    button(words.cabin.fromAbove, act((v) => v.look(0, 90))),
    button("↺", act((v) => v.turn(-15, 0)), {"aria-label": words.cabin.turnLeft}),
    button("↻", act((v) => v.turn(15, 0)), {"aria-label": words.cabin.turnRight}),
    button("+", act((v) => v.nearer(1.25)), {"aria-label": words.cabin.nearer}),
    button("−", act((v) => v.nearer(0.8)), {"aria-label": words.cabin.farther})
  );
  const keys = (event: KeyboardEvent) => {
    const turns: Record<string, [number, number]> = {ArrowLeft: [-10, 0], ArrowRight: [10, 0], ArrowUp: [0, 10], ArrowDown: [0, -10]};
    if (!view || !turns[event.key]) return;
    event.preventDefault();
    view.turn(...turns[event.key]);
  };
  const element = html("figure", {class: "turning"}, html("div", {class: "turning-frame", tabindex: 0, role: "group", "aria-label": words.cabin.turningLong, keydown: keys}, place), html("figcaption", {}, tools, html("p", {class: "hint"}, words.cabin.turningHint)));

  async function start(): Promise<void> {
    await loader().run("turntable");
    const make = (globalThis as unknown as {cabinfieldTurntable: MakeTurntable}).cabinfieldTurntable;
    try {
      view = make(solid, inkOf(element), picked);
    } catch {
      place.replaceChildren(html("p", {class: "waiting"}, words.cabin.noTurning));
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
    ways: (ways) => later(1, (v) => v.ways(ways)),
    paint: (painted) => later(2, (v) => v.paint(painted))
  };
}
