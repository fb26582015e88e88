// The settings sheet of each preset, for entering into the processor: one printed page for each.
import {html, own, table} from "../parts/elements";
import {delayText, gainText, givenHertz} from "../parts/units";
import type {Page, Section} from "../parts/page";
import type {Band, Filter} from "../file/scene";
import {fill, words} from "../words";

/** A filter as processors label it: each order is 6 dB per octave. */
const filterText = (filter: Filter | null): string =>
  filter ? fill(words.settings.filter, {family: words.settings.families[filter.family as keyof typeof words.settings.families] ?? filter.family, slope: filter.order ? String(6 * Number(filter.order)) : "?", frequency: givenHertz(filter.frequency)}) : words.settings.none;

const bandText = ({shape, frequency, gain, q}: Band): string =>
  [words.settings.shapes[shape as keyof typeof words.settings.shapes] ?? shape, givenHertz(frequency), gain, q && `Q ${q}`].filter((part) => part).join(" ");

function sheet({model}: Page, preset: number): HTMLElement {
  const name = model.presets[preset];
  const serves = model.scene.listens(name), state = model.scene.state(name);
  const rows = model.channels.map((channel, index) => {
    const settings = model.scene.settings(name, channel), muted = model.muted(preset, index);
    const drives = model.drivenBy(index).map((driver) => model.drivers[driver]).join(", ");
    if (muted) return [own(channel), drives, html("b", {}, words.settings.muted), "", "", "", "", "", ""];
    return [
      own(channel),
      drives,
      settings ? words.settings.signals[settings.signal as keyof typeof words.settings.signals] ?? settings.signal : "?",
      settings ? filterText(settings.highpass) : "?",
      settings ? filterText(settings.lowpass) : "?",
      settings ? (settings.equaliser.length ? settings.equaliser.map((band) => html("div", {}, bandText(band))) : words.settings.none) : "?",
      gainText(model.gain(preset, index)),
      delayText(model.delay(preset, index)),
      settings ? (settings.inverted ? html("b", {}, words.settings.inverted) : words.settings.normal) : "?"
    ];
  });
  return html(
    "div",
    {class: "sheet", "data-preset": name},
    html("p", {class: "sheet-head"}, html("b", {}, own(model.title)), " · ", fill(words.settings.fileLine, {name: model.file.name, created: model.created})),
    (serves.length > 0 || (state && state !== "as_is")) && html("p", {}, serves.length > 0 && fill(words.settings.serves, {seats: serves.join(", ")}), " ", state && state !== "as_is" && fill(words.settings.state, {state})),
    table(
      fill(words.settings.caption, {preset: name}),
      [
        {head: words.settings.channel}, {head: words.settings.drives}, {head: words.settings.signal}, {head: words.settings.highpass}, {head: words.settings.lowpass},
        {head: words.settings.equaliser}, {head: words.settings.gain, right: true}, {head: words.settings.delay, right: true}, {head: words.settings.polarity}
      ],
      rows
    ),
    html("p", {class: "note"}, words.settings.measure)
  );
}

export const settingsSection: Section = {
  id: "settings",
  title: words.sections.settings,
  make(page) {
    const {model, chooser} = page;
    if (!model.file.has("/settings/delay") || model.presets.length === 0) return null;
    const sheets = model.presets.map((_, preset) => sheet(page, preset));
    const follow = () => sheets.forEach((element, preset) => element.classList.toggle("unchosen", preset !== chooser.now.preset));
    chooser.on(["preset"], follow);
    follow();
    return html("div", {}, html("p", {class: "screen-only"}, words.settings.how), sheets);
  }
};
