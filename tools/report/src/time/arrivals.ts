// When each channel's first sound reaches a seat, as drawn and as tuned.
import {html, svg, table} from "../parts/elements";
import {isolated} from "../parts/elements";
import {delayText, timeText} from "../parts/units";
import {scaleLinear} from "d3-scale";
import type {Model} from "../file/model";
import {looks} from "../parts/looks";
import {fill, words} from "../words";

export interface Arrival {
  channel: number;
  /** Of the nearest of its drivers, s. */
  drawn_s: number;
  /** With the delay of the preset, s. */
  tuned_s: number;
}

export function arrivalsAt(model: Model, preset: number, seat: number, ear: number, channels: number[]): Arrival[] {
  return channels
    .filter((channel) => !model.muted(preset, channel))
    .flatMap((channel) => {
      const times = model.drivenBy(channel).map((driver) => model.path("arrival", seat, ear, driver)).filter((time): time is number => time !== null);
      if (times.length === 0) return [];
      const drawn_s = Math.min(...times);
      return [{channel, drawn_s, tuned_s: drawn_s + model.delay(preset, channel)}];
    });
}

/** Rows of channels over time: a ring where the sound arrives as drawn, a disc where it does as tuned. */
export function drawArrivals(model: Model, arrivals: Arrival[], title: string, top_s: number): SVGSVGElement {
  const row = 22, left = 150, width = 760, top = 34, height = top + arrivals.length * row + 40;
  const look = looks(model.channels), at = scaleLinear([0, top_s * 1000], [left, width - 60]);
  return svg(
    "svg",
    {viewBox: `0 0 ${width} ${height}`, class: "plot", role: "img", "aria-label": title, "font-family": "var(--sans)", "font-size": 12},
    svg("text", {x: 8, y: 16, "font-weight": 600, "font-size": 13, fill: "var(--ink)"}, isolated(title)),
    at.ticks(8).map((tick) => [
      svg("line", {x1: at(tick), x2: at(tick), y1: top - 6, y2: height - 34, stroke: "var(--grid)"}),
      svg("text", {x: at(tick), y: height - 18, "text-anchor": "middle", fill: "var(--faint)"}, String(tick))
    ]),
    svg("text", {x: width - 60, y: height - 3, "text-anchor": "end", fill: "var(--faint)"}, words.time.axis),
    arrivals.map(({channel, drawn_s, tuned_s}, index) => {
      const y = top + index * row + 8, colour = `var(${look[channel].colour})`;
      return [
        svg("text", {x: left - 12, y: y + 4, "text-anchor": "end", fill: "var(--ink)"}, isolated(model.channels[channel])),
        svg("line", {x1: at(drawn_s * 1000), x2: at(tuned_s * 1000), y1: y, y2: y, stroke: colour, "stroke-width": 1.5}),
        svg("circle", {cx: at(drawn_s * 1000), cy: y, r: 5, fill: "var(--paper)", stroke: colour, "stroke-width": 2}),
        svg("circle", {cx: at(tuned_s * 1000), cy: y, r: 4.5, fill: colour, "data-channel": model.channels[channel]}),
        svg("text", {x: at(tuned_s * 1000) + 9, y: y + 4, fill: "var(--ink)"}, (tuned_s * 1000).toFixed(2))
      ];
    })
  );
}

/** Who is first, and how much later each of the others is. */
export function leading(model: Model, arrivals: Arrival[], seat: number): HTMLElement {
  const order = [...arrivals].sort((a, b) => a.tuned_s - b.tuned_s), first = order[0];
  return table(
    fill(words.time.leadCaption, {seat: model.seats[seat]}),
    [{head: words.time.channel}, {head: words.time.drawn, right: true}, {head: words.time.delay, right: true}, {head: words.time.tuned, right: true}, {head: words.time.behind, right: true}],
    order.map((arrival) => [
      arrival === first && order.length > 1 ? html("b", {}, `${model.channels[arrival.channel]} ${words.time.leads}`) : model.channels[arrival.channel],
      `${delayText(arrival.drawn_s)} ms`,
      `${delayText(arrival.tuned_s - arrival.drawn_s)} ms`,
      `${delayText(arrival.tuned_s)} ms`,
      timeText(arrival.tuned_s - first.tuned_s)
    ]),
    {class: "leading", "data-seat": model.seats[seat]}
  );
}
