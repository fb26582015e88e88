// The bar for selecting preset, seats, channels, ear, signal and units for all views.
import {BOTH_EARS, Chooser} from "./choice";
import {button, html, picker, tick} from "./elements";
import type {Model} from "../file/model";
import {fill, words} from "../words";

function ticks(legend: string, names: string[], chosen: () => number[], set: (chosen: number[]) => void, note: (index: number) => string): {element: HTMLElement; follow(): void} {
  const place = html("span", {class: "ticks"});
  const element = html("fieldset", {class: "chips"}, html("legend", {}, legend), place);
  function follow(): void {
    const now = chosen();
    const focused = [...place.querySelectorAll("input")].indexOf(document.activeElement as HTMLInputElement);
    place.replaceChildren(
      ...names.map((name, index) =>
        tick([name, note(index) && html("small", {}, ` ${note(index)}`)], now.includes(index), (checked) =>
          set(checked ? [...now, index].sort((a, b) => a - b) : now.filter((one) => one !== index)))
      )
    );
    if (focused >= 0) place.querySelectorAll("input")[focused]?.focus();
  }
  follow();
  return {element, follow};
}

export function choosers(model: Model, chooser: Chooser): HTMLElement {
  const {now} = chooser;
  const options = (names: readonly string[]) => names.map((text, value) => ({value: String(value), text}));
  const seats = ticks(words.choose.seats, model.seats, () => chooser.now.seats, (chosen) => chosen.length && chooser.set({seats: chosen}), () => "");
  const channels = ticks(words.choose.channels, model.channels, () => chooser.now.channels, (chosen) => chooser.set({channels: chosen}),
    (index) => (model.muted(chooser.now.preset, index) ? words.choose.muted : ""));
  // At least one seat stays selected: the tick of the last one comes back.
  seats.element.addEventListener("change", () => seats.follow());
  chooser.on(["seats"], seats.follow);
  const count = html("summary", {});
  const showCount = () => count.replaceChildren(fill(words.choose.channelsCount, {chosen: chooser.now.channels.length, all: model.channels.length}));
  chooser.on(["channels", "preset"], () => {
    channels.follow();
    showCount();
  });
  showCount();
  const all = model.channels.map((_, index) => index);
  const panel = html("details", {class: "channel-panel", keydown: (event: KeyboardEvent) => {
    if (event.key === "Escape") panel.open = false;
  }}, count, html("div", {}, channels.element, button(words.choose.all, () => chooser.set({channels: all})), button(words.choose.none, () => chooser.set({channels: []}))));
  return html(
    "form",
    {class: "choosers", "aria-label": words.choose.label, submit: (event: Event) => event.preventDefault()},
    model.presets.length > 0 && picker(words.choose.preset, options(model.presets), String(now.preset), (value) => chooser.set({preset: Number(value)})),
    model.seats.length > 0 && seats.element,
    model.channels.length > 0 && panel,
    picker(words.choose.ear, [...options(words.choose.ears), {value: String(BOTH_EARS), text: words.choose.bothEars}], String(now.ear), (value) => chooser.set({ear: Number(value)})),
    model.file.has("/response/signal") && picker(words.choose.signal, options(words.choose.signals), String(now.signal), (value) => chooser.set({signal: Number(value)})),
    picker(words.choose.unit, [{value: "mm", text: "mm"}, {value: "in", text: "in"}], now.unit, (value) => chooser.set({unit: value as "mm" | "in"}))
  );
}
