// When each channel's first sound reaches a seat, without and with the preset's delay.
import {html, svg, table} from "../parts/elements";
import {isolated} from "../parts/elements";
import {delayText, timeText} from "../parts/units";
import {scaleLinear} from "d3-scale";
import type {Model} from "../file/model";
import {looks} from "../parts/looks";
import {fill, words} from "../words";

export interface Arrival {
  channel: number;
  /** Arrival from the nearest driver of the channel, without delay, s. */
  undelayed_s: number;
  /** The same with the delay of the preset, s. */
  delayed_s: number;
}

export function arrivalsAt(model: Model, preset: number, seat: number, ear: number, channels: number[]): Arrival[] {
  return channels
    .filter((channel) => !model.muted(preset, channel))
    .flatMap((channel) => {
      const times = model.drivenBy(channel).map((driver) => model.path("arrival", seat, ear, driver)).filter((time): time is number => time !== null);
      if (times.length === 0) return [];
      const undelayed_s = Math.min(...times);
      return [{channel, undelayed_s, delayed_s: undelayed_s + model.delay(preset, channel)}];
    });
}

/** Rows of channels over time: a ring at the arrival without delay, a disc at the arrival with delay. */
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
    arrivals.map(({channel, undelayed_s, delayed_s}, index) => {
      const y = top + index * row + 8, colour = `var(${look[channel].colour})`;
      return [
        svg("text", {x: left - 12, y: y + 4, "text-anchor": "end", fill: "var(--ink)"}, isolated(model.channels[channel])),
        svg("line", {x1: at(undelayed_s * 1000), x2: at(delayed_s * 1000), y1: y, y2: y, stroke: colour, "stroke-width": 1.5}),
        svg("circle", {cx: at(undelayed_s * 1000), cy: y, r: 5, fill: "var(--paper)", stroke: colour, "stroke-width": 2}),
        svg("circle", {cx: at(delayed_s * 1000), cy: y, r: 4.5, fill: colour, "data-channel": model.channels[channel]}),
        svg("text", {x: at(delayed_s * 1000) + 9, y: y + 4, fill: "var(--ink)"}, (delayed_s * 1000).toFixed(2))
      ];
    })
  );
}

/** Table of the channels in order of arrival, with how much later each is than the first. */
export function orderOfArrival(model: Model, arrivals: Arrival[], seat: number): HTMLElement {
  const order = [...arrivals].sort((a, b) => a.delayed_s - b.delayed_s), first = order[0];
  return table(
    fill(words.time.orderCaption, {seat: model.seats[seat]}),
    [{head: words.time.channel}, {head: words.time.withoutDelay, right: true}, {head: words.time.delay, right: true}, {head: words.time.withDelay, right: true}, {head: words.time.afterFirst, right: true}],
    order.map((arrival) => [
      arrival === first && order.length > 1 ? html("b", {}, `${model.channels[arrival.channel]} ${words.time.first}`) : model.channels[arrival.channel],
      `${delayText(arrival.undelayed_s)} ms`,
      `${delayText(arrival.delayed_s - arrival.undelayed_s)} ms`,
      `${delayText(arrival.delayed_s)} ms`,
      timeText(arrival.delayed_s - first.delayed_s)
    ]),
    {class: "arrival-order", "data-seat": model.seats[seat]}
  );
}
