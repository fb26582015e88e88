// Time: arrivals without and with delay, order of arrival, apparent direction of a mono signal, impulse responses.
import {html, picker, table} from "../parts/elements";
import {Chart, ChartGroup} from "../parts/chart";
import type {Line} from "../parts/plot";
import {looks} from "../parts/looks";
import {oneEar, Page, Section} from "../parts/page";
import {delayText, heardSideText} from "../parts/units";
import {BLURRED, EARS} from "../file/model";
import {impulseOf} from "../sound/impulse";
import {spectrumAt} from "../sound/spectrum";
import {arrivalsAt, drawArrivals, orderOfArrival} from "./arrivals";
import {chartWidth} from "../parts/theme";
import {fill, words} from "../words";

const LENGTHS_MS = [10, 20, 40];

export const timeSection: Section = {
  id: "time",
  title: words.sections.time,
  make(page) {
    const {model, chooser} = page;
    if (!model.file.has("/paths/arrival") || model.channels.length === 0) return null;
    const arrivals = html("div", {});

    function draw(): void {
      const {preset, seats, channels, ear} = chooser.now, one = oneEar(ear);
      const found = seats.map((seat) => arrivalsAt(model, preset, seat, one, channels));
      const top = Math.max(...found.flat().map(({delayed_s}) => delayed_s), 0.001) * 1.05;
      arrivals.replaceChildren(
        ...seats.flatMap((seat, index) =>
          found[index].length === 0
            ? [html("p", {class: "note"}, fill(words.time.silent, {seat: model.seats[seat]}))]
            : [
                html("figure", {class: "arrivals"}, drawArrivals(model, found[index], fill(words.time.title, {seat: model.seats[seat], preset: model.presets[preset], ear: words.choose.earsLong[one]}), top)),
                orderOfArrival(model, found[index], seat)
              ]
        )
      );
    }
    chooser.on(["preset", "seats", "channels", "ear"], draw, arrivals);
    draw();
    return html("div", {}, html("p", {}, words.time.how), arrivals, imageDirections(page), impulses(page));
  }
};

/** Apparent direction of a mono signal, by preset and seat. */
function imageDirections({model, chooser}: Page): HTMLElement | null {
  const extents = [model.presets.length, model.seats.length];
  const angle = model.numbers("/listening/side_angle", extents), known = model.numbers("/listening/interaural_known", extents);
  const timeDifference = model.numbers("/listening/interaural_time", extents), coherence = model.numbers("/listening/interaural_coherence", extents);
  const levelDifference = model.numbers("/listening/interaural_level", extents);
  if (!angle || !known || !timeDifference || !coherence || !levelDifference) return null;
  const place = html("div", {});
  function follow(): void {
    const {preset, seats} = chooser.now;
    place.replaceChildren(
      table(
        fill(words.time.imageCaption, {preset: model.presets[preset]}),
        [{head: words.time.seat}, {head: words.time.imageDirection}, {head: words.time.timeDifference, right: true}, {head: words.time.levelDifference, right: true}, {head: words.time.clarity}],
        seats.map((seat) => {
          const at = preset * model.seats.length + seat;
          if (known!.data[at] !== 1) return [model.seats[seat], words.time.unknownDirection, "", "", ""];
          return [
            model.seats[seat],
            heardSideText(angle!.data[at]),
            `${delayText(Math.abs(timeDifference!.data[at]))} ms`,
            `${Math.abs(levelDifference!.data[at]).toFixed(0)} dB`,
            coherence!.data[at] < BLURRED ? words.time.blurred : words.time.clear
          ];
        })
      )
    );
  }
  chooser.on(["preset", "seats"], follow, place);
  follow();
  return html("div", {}, html("h3", {}, words.time.imageHead), place);
}

function impulses({model, chooser, onTheme}: Page): HTMLElement | null {
  if (!model.file.has("/response/channel") || model.frequency.length < 16) return null;
  const group = new ChartGroup(), charts = html("div", {class: "charts"}), look = looks(model.channels);
  let length_ms = 20;

  function draw(): void {
    const {preset, seats, channels, ear} = chooser.now, one = oneEar(ear), table = model.channelResponse(preset)!;
    group.clear();
    charts.replaceChildren(
      ...seats.map((seat) => {
        const found = arrivalsAt(model, preset, seat, one, channels);
        const lines: Line[] = found.map(({channel, delayed_s}) => {
          const spectrum = spectrumAt(table.data, (channel * model.seats.length + seat) * EARS + one, model.frequency.length);
          const impulse = impulseOf(spectrum, model.frequency, delayed_s);
          const first = Math.max(0, Math.ceil(-impulse.start_s / impulse.step_s)), end = Math.min(impulse.value.length, Math.ceil((length_ms / 1000 - impulse.start_s) / impulse.step_s));
          return {
            name: model.channels[channel],
            ...look[channel],
            width: 1.2,
            x: Float64Array.from({length: Math.max(0, end - first)}, (_, sample) => (impulse.start_s + (first + sample) * impulse.step_s) * 1000),
            y: impulse.value.slice(first, Math.max(first, end))
          };
        });
        const most = Math.max(...lines.map((line) => (line.y as Float64Array).reduce((most, value) => Math.max(most, Math.abs(value)), 0)), 1e-9);
        return new Chart(
          {
            title: fill(words.time.impulseTitle, {seat: model.seats[seat], preset: model.presets[preset], ear: words.choose.earsLong[one]}),
            x: {kind: "linear", title: words.time.axis, range: [0, length_ms], tick: (value) => String(Number(value.toFixed(3)))},
            y: {kind: "linear", title: words.time.impulse, range: [-1.05 * most, 1.05 * most], tick: (value) => String(Number(value.toPrecision(2)))},
            lines
          },
          group,
          260,
          chartWidth(charts)
        ).element;
      })
    );
  }
  chooser.on(["preset", "seats", "channels", "ear"], draw, charts);
  onTheme(draw);
  draw();
  const perOctave = (model.frequency.length - 1) / Math.log2(model.frequency[model.frequency.length - 1] / model.frequency[0]);
  return html(
    "div",
    {},
    html("h3", {}, words.time.impulseHead),
    html("p", {}, fill(words.time.impulseHow, {periods: Math.round(perOctave / 1.4 / 2)})),
    html("div", {class: "picks"}, picker(words.time.upTo, LENGTHS_MS.map((value) => ({value: String(value), text: `${value} ms`})), String(length_ms), (value) => {
      length_ms = Number(value);
      group.range = null;
      draw();
    })),
    charts
  );
}
