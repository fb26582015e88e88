// How the results were computed.
import {html, own, table} from "../parts/elements";
import type {Page, Section} from "../parts/page";
import {EARS} from "../file/model";
import {hertzText} from "../parts/units";
import {saveBytes} from "../parts/save";
import {button} from "../parts/elements";
import {licences} from "./licences";
import {fill, words} from "../words";

/** Phase coherence below which the wave simulation and the image sources disagree too far to predict how channels add up. */
const GOOD_COHERENCE = 0.9;

function facts({model}: Page): string[][] {
  const count = model.frequency.length, percent = (share: number) => (share * 100).toFixed(1);
  const top = model.scalar("/field/wave_top"), error = model.scalar("/field/wave_error");
  const degreesOfFreedom = model.scalar("/field/wave_unknowns"), basisVectors = model.scalar("/field/wave_columns"), volts = model.scalar("/source/terminal_voltage");
  const found: (string[] | null)[] = [
    [words.how.file, `${model.file.name}, ${fill(words.how.made, {created: model.created, version: model.programVersion})}`],
    model.soundSpeed !== null && model.density !== null ? [words.how.air, fill(words.how.airIs, {speed: model.soundSpeed.toFixed(1), density: model.density.toFixed(3)})] : null,
    count > 0 ? [words.how.frequencies, fill(words.how.frequenciesAre, {count, from: hertzText(model.frequency[0]), to: hertzText(model.frequency[count - 1])})] : null,
    volts !== null ? [words.how.level, fill(words.how.levelIs, {volts})] : null,
    top !== null ? [words.how.waves, fill(words.how.wavesTo, {top: hertzText(top)}) + (degreesOfFreedom !== null && basisVectors !== null ? " " + fill(words.how.wavesSize, {degreesOfFreedom: degreesOfFreedom.toLocaleString("en"), basisVectors: basisVectors.toLocaleString("en")}) : "")] : null,
    error !== null ? [words.how.error, fill(words.how.errorIs, {percent: percent(error)})] : null
  ];
  return found.filter((row): row is string[] => row !== null);
}

function agreement({model}: Page): HTMLElement | null {
  const extents = [model.drivers.length, model.seats.length, EARS];
  const coherence = model.numbers("/field/join_coherence", extents), mismatch = model.numbers("/field/join_mismatch", extents);
  if (!coherence || !mismatch) return null;
  const least = (driver: number, seat: number) => Math.min(...[0, 1].map((ear) => coherence.data[(driver * model.seats.length + seat) * EARS + ear]));
  const most = (driver: number, seat: number) => {
    const both = [0, 1].map((ear) => mismatch.data[(driver * model.seats.length + seat) * EARS + ear]);
    return Math.abs(both[0]) > Math.abs(both[1]) ? both[0] : both[1];
  };
  return html(
    "details",
    {},
    html("summary", {}, words.how.agreementHead),
    html("p", {}, fill(words.how.agreement, {good: GOOD_COHERENCE})),
    table(words.how.agreementCaption, [{head: words.cabin.speaker}, ...model.seats.map((name) => ({head: own(name), right: true}))],
      model.drivers.map((name, driver) => [own(name), ...model.seats.map((_, seat) => `${least(driver, seat).toFixed(2)} · ${most(driver, seat).toFixed(0)} dB`)]))
  );
}

export const howSection: Section = {
  id: "how",
  title: words.sections.how,
  make(page) {
    const {model} = page;
    const method = words.how.methods[model.method as keyof typeof words.how.methods];
    const source = model.file.text("/scene/source");
    return html(
      "div",
      {},
      method && html("p", {}, method),
      table(words.how.caption, [{head: words.how.item}, {head: words.how.value}], facts(page)),
      agreement(page),
      model.notes.length > 0 && [html("h3", {}, words.how.notes), html("ul", {}, model.notes.map((note) => html("li", {}, own(note))))],
      html("h3", {}, words.how.limitsHead),
      html("ul", {}, words.how.limits.map((sentence) => html("li", {}, sentence))),
      html("h3", {}, words.how.careHead),
      html("ul", {}, words.how.care.map((sentence) => html("li", {}, sentence))),
      source && html("details", {}, html("summary", {}, words.how.source), html("pre", {class: "source", tabindex: 0, dir: "ltr"}, source)),
      html("p", {class: "screen-only"}, words.how.again, " ", button(words.how.save, () => saveBytes(model.file.name, model.file.bytes))),
      licences()
    );
  }
};
