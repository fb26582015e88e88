// Frequency responses: one chart for each seat, with the sum and each selected channel.
import {max} from "d3-array";
import {html, picker, table, tick} from "../parts/elements";
import {Chart, ChartGroup} from "../parts/chart";
import type {Line, Plot} from "../parts/plot";
import {hertzTick, Range} from "../parts/scale";
import {looks} from "../parts/looks";
import {earsOf, oneEar, Section} from "../parts/page";
import {EARS, Model} from "../file/model";
import {BandPower, bands, levelOfPower, mean, phaseOf, powerOf, spectrumAt} from "../sound/spectrum";
import {chartWidth} from "../parts/theme";
import {fill, words} from "../words";

/** Range of the level axis below the loudest level, dB. */
const SPAN_DB = 60;
const SMOOTHINGS = [0, 24, 12, 6, 3];

interface Options {
  smoothing: number;
  channels: boolean;
  phase: boolean;
  subtractTravel: boolean;
  compareWith: number | null;
}

/** Level of the sum or of one channel at one seat, dB at every frequency. */
export function levels(model: Model, what: "signal" | "channel", preset: number, row: number, seat: number, ear: number, smoothing: number): Float64Array | null {
  const table = what === "signal" ? model.signalResponse(preset) : model.channelResponse(preset);
  if (!table) return null;
  const count = model.frequency.length;
  const power = mean(earsOf(ear).map((one) => powerOf(spectrumAt(table.data, (row * model.seats.length + seat) * EARS + one, count))));
  return (smoothing > 0 && count > 2 ? new BandPower(model.frequency, power).smoothed(smoothing) : power).map(levelOfPower);
}

function phaseLine(model: Model, what: "signal" | "channel", preset: number, row: number, seat: number, ear: number, travel_s: number): Float64Array | null {
  const table = what === "signal" ? model.signalResponse(preset) : model.channelResponse(preset);
  return table && phaseOf(spectrumAt(table.data, (row * model.seats.length + seat) * EARS + oneEar(ear), model.frequency.length), model.frequency, travel_s);
}

const frequencyAxis = (model: Model) => ({
  kind: "log" as const,
  title: words.response.frequency,
  range: [model.frequency[0], model.frequency[model.frequency.length - 1]] as Range,
  tick: hertzTick
});

export const responseSection: Section = {
  id: "response",
  title: words.sections.response,
  make({model, chooser, onTheme}) {
    const hasSum = model.file.has("/response/signal"), hasChannels = model.file.has("/response/channel");
    if ((!hasSum && !hasChannels) || model.frequency.length < 2) return null;
    const group = new ChartGroup(), charts = html("div", {class: "charts"}), tools = html("div", {class: "picks"});
    const look = looks(model.channels);
    const shown: Options = {smoothing: 12, channels: true, phase: false, subtractTravel: true, compareWith: null};

    /** Travel time that is subtracted from the phase, s. */
    function earliest(seat: number): number {
      const times = model.drivers.flatMap((_, driver) => [0, 1].map((ear) => model.path("arrival", seat, ear, driver) ?? Infinity));
      const least = Math.min(...times);
      return shown.subtractTravel && Number.isFinite(least) ? least : 0;
    }

    /** Lines of one chart: the channels, the sum to compare with, and the sum on top. */
    function linesOf(y: (what: "signal" | "channel", preset: number, row: number) => Float64Array | null): Line[] {
      const {preset, channels, signal} = chooser.now, lines: Line[] = [];
      const add = (line: Omit<Line, "x" | "y">, values: Float64Array | null) => values && lines.push({...line, x: model.frequency, y: values});
      if (shown.channels && hasChannels)
        for (const channel of channels)
          if (!model.muted(preset, channel)) add({name: model.channels[channel], ...look[channel], width: 1.4}, y("channel", preset, channel));
      if (hasSum) {
        if (shown.compareWith !== null && shown.compareWith !== preset)
          add({name: fill(words.response.sumOf, {preset: model.presets[shown.compareWith]}), colour: "--faint", dash: "7 2 1 2", width: 2}, y("signal", shown.compareWith, signal));
        add({name: words.response.sum, colour: "--ink", width: 2.6}, y("signal", preset, signal));
      }
      return lines;
    }

    /** Redraws every chart, all with the same level axis. */
    function draw(): void {
      const {preset, seats, ear, signal} = chooser.now;
      group.clear();
      const width = chartWidth(charts);
      const all = seats.map((seat) => linesOf((what, of, row) => levels(model, what, of, row, seat, ear, shown.smoothing)));
      const loudest = Math.max(0, ...all.flat().map((line) => max(line.y as Float64Array) ?? 0));
      const top = Math.ceil((loudest + 2) / 5) * 5;
      charts.replaceChildren(
        ...seats.flatMap((seat, index) => {
          const about = {seat: model.seats[seat], preset: model.presets[preset], signal: words.choose.signals[signal], ear: words.choose.earsLong[ear]};
          const plot: Plot = {
            title: fill(words.response.title, about),
            x: frequencyAxis(model),
            y: {kind: "linear", title: words.response.level, range: [top - SPAN_DB, top], tick: (value) => String(value)},
            lines: all[index]
          };
          const found = [new Chart(plot, group, width < 500 ? 300 : 360, width).element];
          if (shown.phase) {
            const travel = earliest(seat);
            const phases: Plot = {
              title: fill(words.response.phaseTitle, {...about, ear: words.choose.earsLong[oneEar(ear)]}),
              x: frequencyAxis(model),
              y: {kind: "linear", title: words.response.phase, range: [-180, 180], ticks: [-180, -90, 0, 90, 180], tick: (value) => String(value)},
              lines: linesOf((what, of, row) => phaseLine(model, what, of, row, seat, ear, travel)).map((line) => ({...line, gapAbove: 180}))
            };
            found.push(new Chart(phases, group, 240, width).element);
          }
          return [...found, numbersOf(seat, plot)];
        })
      );
    }

    /** The same by third octave as a table, for readers who cannot see the chart. */
    function numbersOf(seat: number, plot: Plot): HTMLElement {
      const {ear, preset, signal} = chooser.now;
      const place = html("div", {});
      const details = html("details", {toggle: () => {
        if (!details.open || place.firstChild) return;
        const thirds = bands(3, model.frequency[0], model.frequency[model.frequency.length - 1]);
        const row = (what: "signal" | "channel", index: number) => {
          const table = (what === "signal" ? model.signalResponse(preset) : model.channelResponse(preset))!;
          const power = mean(earsOf(ear).map((one) => powerOf(spectrumAt(table.data, (index * model.seats.length + seat) * EARS + one, model.frequency.length))));
          const sums = new BandPower(model.frequency, power);
          return thirds.map(({low_hz, high_hz}) => {
            const value = sums.mean(low_hz, high_hz);
            return value === null ? "" : levelOfPower(value).toFixed(1);
          });
        };
        place.append(table(plot.title, [{head: words.share.channel}, ...thirds.map(({name}) => ({head: name, right: true}))], [
          ...(hasSum ? [[words.response.sum, ...row("signal", signal)]] : []),
          ...(hasChannels ? chooser.now.channels.filter((channel) => !model.muted(preset, channel)).map((channel) => [model.channels[channel], ...row("channel", channel)]) : [])
        ]));
      }}, html("summary", {}, fill(words.response.asTable, {seat: model.seats[seat]})), place);
      return details;
    }

    /** The controls above the charts. */
    function setTools(): void {
      const set = (change: Partial<Options>) => {
        Object.assign(shown, change);
        draw();
      };
      const others = model.presets.map((text, index) => ({value: String(index), text}));
      tools.replaceChildren(
        picker(words.response.smoothing, SMOOTHINGS.map((value) => ({value: String(value), text: value ? fill(words.response.perOctave, {value}) : words.response.unsmoothed})), String(shown.smoothing), (value) => set({smoothing: Number(value)})),
        hasSum && model.presets.length > 1 ? picker(words.response.compareWith, [{value: "", text: words.response.noComparison}, ...others], "", (value) => set({compareWith: value === "" ? null : Number(value)})) : "",
        hasSum && hasChannels ? tick(words.response.withChannels, shown.channels, (checked) => set({channels: checked})) : "",
        tick(words.response.withPhase, shown.phase, (checked) => set({phase: checked})),
        tick(words.response.subtractTravel, shown.subtractTravel, (checked) => set({subtractTravel: checked}))
      );
    }

    setTools();
    draw();
    chooser.on(["preset", "seats", "channels", "ear", "signal"], draw, charts);
    onTheme(draw);
    let lastWidth = 0;
    new ResizeObserver(() => {
      const width = charts.clientWidth;
      if (width === 0 || Math.abs(width - lastWidth) < 30) return;
      lastWidth = width;
      draw();
    }).observe(charts);
    return html("div", {}, html("p", {}, words.response.how), tools, charts);
  }
};
