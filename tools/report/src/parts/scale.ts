// Axes and their ticks.
import {scaleLinear, scaleLog} from "d3-scale";

export type Range = [number, number];

/** Ticks at 1, 2 and 5 in every decade of the range; even steps if the range is too narrow for those. */
export function logTicks([low, high]: Range): number[] {
  const ticks: number[] = [];
  for (let decade = Math.floor(Math.log10(low)); decade <= Math.ceil(Math.log10(high)); ++decade)
    for (const digit of [1, 2, 5]) {
      const tick = Number(`${digit}e${decade}`);
      if (tick >= low * 0.9999 && tick <= high * 1.0001) ticks.push(tick);
    }
  return ticks.length >= 3 ? ticks : scaleLinear().domain([low, high]).ticks(5);
}

/** Minor grid lines: 1 to 9 in every decade. */
export function minorLogTicks([low, high]: Range): number[] {
  const ticks: number[] = [];
  for (let decade = Math.floor(Math.log10(low)); decade <= Math.ceil(Math.log10(high)); ++decade)
    for (let digit = 1; digit < 10; ++digit) {
      const tick = digit * 10 ** decade;
      if (tick > low && tick < high) ticks.push(tick);
    }
  return ticks;
}

export interface Axis {
  kind: "log" | "linear";
  /** Quantity and unit. */
  title: string;
  range: Range;
  /** Text of a tick. */
  tick(value: number): string;
  /** Ticks that replace the default ones. */
  ticks?: number[];
}

export function scaleOf(axis: Axis, range: Range, from: number, to: number) {
  return axis.kind === "log" ? scaleLog(range, [from, to]) : scaleLinear(range, [from, to]);
}

export function ticksOf(axis: Axis, range: Range, wanted: number): number[] {
  if (axis.ticks) return axis.ticks.filter((tick) => tick >= range[0] && tick <= range[1]);
  return axis.kind === "log" ? logTicks(range) : scaleLinear(range, [0, 1]).ticks(wanted);
}

export const hertzTick = (value: number) => (value >= 1000 ? `${Number((value / 1000).toPrecision(3))}k` : String(Number(value.toPrecision(3))));
