// One chart as an SVG drawing, from values alone: the screen, exports and prints show the same drawing.
import {line as path} from "d3-shape";
import {isolated, svg} from "./elements";
import {Axis, minorLogTicks, Range, scaleOf, ticksOf} from "./scale";

export interface Line {
  name: string;
  /** A custom property of the page's style sheet, such as --line-1. */
  colour: string;
  dash?: string;
  width?: number;
  x: ArrayLike<number>;
  y: ArrayLike<number>;
  /** The line breaks at steps larger than this, as where a phase wraps. */
  gapAbove?: number;
}

export interface Plot {
  title: string;
  x: Axis;
  y: Axis;
  lines: Line[];
}

export interface Drawn {
  root: SVGSVGElement;
  frame: {left: number; top: number; width: number; height: number};
  xAt(value: number): number;
  valueAt(x: number): number;
}

const LEFT = 52, RIGHT = 14, BOTTOM = 40, ROW = 17;

/** The title, wrapped to the width. */
function titleRows(title: string, width: number): string[] {
  const rows = [""];
  for (const word of title.split(" ")) {
    const longer = rows[rows.length - 1] + (rows[rows.length - 1] ? " " : "") + word;
    if (longer.length * 7.6 > width - LEFT && rows[rows.length - 1]) rows.push(word);
    else rows[rows.length - 1] = longer;
  }
  return rows;
}

/** The legend: names in rows under the title, each with a sample of its line. */
function legend(lines: Line[], width: number, top: number): {marks: SVGElement[]; height: number} {
  const marks: SVGElement[] = [];
  let x = LEFT, row = 0;
  for (const line of lines) {
    const long = 34 + line.name.length * 6.7;
    if (x + long > width && x > LEFT) {
      x = LEFT;
      ++row;
    }
    const y = top + 14 + row * ROW;
    marks.push(
      svg("line", {x1: x, x2: x + 22, y1: y, y2: y, stroke: `var(${line.colour})`, "stroke-width": line.width ?? 1.6, "stroke-dasharray": line.dash}),
      svg("text", {x: x + 27, y: y + 4, fill: "var(--ink)", "font-size": 12}, isolated(line.name))
    );
    x += long + 10;
  }
  return {marks, height: top + 8 + (lines.length ? (row + 1) * ROW : 0)};
}

function curve(line: Line, range: Range, xAt: (v: number) => number, yAt: (v: number) => number): string {
  const index: number[] = [];
  for (let at = 0; at < line.x.length; ++at) {
    // Keep one point beyond each end, so that the line reaches the frame.
    const next = line.x[Math.min(at + 1, line.x.length - 1)], before = line.x[Math.max(at - 1, 0)];
    if (next >= range[0] && before <= range[1]) index.push(at);
  }
  const draw = path<number>()
    .x((at) => Math.round(xAt(line.x[at]) * 10) / 10)
    .y((at) => Math.round(yAt(line.y[at]) * 10) / 10);
  if (line.gapAbove === undefined) return draw(index) ?? "";
  const pieces: number[][] = [[]];
  for (const at of index) {
    if (at > 0 && Math.abs(line.y[at] - line.y[at - 1]) > line.gapAbove) pieces.push([]);
    pieces[pieces.length - 1].push(at);
  }
  return pieces.map((piece) => draw(piece) ?? "").join("");
}

export function drawPlot(plot: Plot, size: {width: number; height: number}, xRange: Range): Drawn {
  const title = titleRows(plot.title, size.width - RIGHT);
  const key = legend(plot.lines, size.width - RIGHT, title.length * ROW);
  const frame = {left: LEFT, top: key.height, width: size.width - LEFT - RIGHT, height: size.height - key.height - BOTTOM};
  const right = frame.left + frame.width, bottom = frame.top + frame.height;
  const xScale = scaleOf(plot.x, xRange, frame.left, right), yScale = scaleOf(plot.y, plot.y.range, bottom, frame.top);
  const xAt = (value: number) => xScale(value), yAt = (value: number) => yScale(value);
  const clip = `clip-${Math.random().toString(36).slice(2)}`;
  const text = {fill: "var(--faint)", "font-size": 11.5};
  const minor = plot.x.kind === "log" ? minorLogTicks(xRange) : [];
  const xTicks = ticksOf(plot.x, xRange, frame.width / 80), yTicks = ticksOf(plot.y, plot.y.range, frame.height / 34);
  // Leave out labels that would touch; keep their grid lines.
  let free = -Infinity;
  const labelled = xTicks.filter((tick) => {
    const half = plot.x.tick(tick).length * 3.6;
    if (xAt(tick) - half < free) return false;
    free = xAt(tick) + half + 4;
    return true;
  });
  const root = svg(
    "svg",
    {viewBox: `0 0 ${size.width} ${size.height}`, width: size.width, height: size.height, class: "plot", "font-family": "var(--sans)"},
    svg("clipPath", {id: clip}, svg("rect", {x: frame.left, y: frame.top, width: frame.width, height: frame.height})),
    title.map((text, row) => svg("text", {x: LEFT, y: 14 + row * ROW, fill: "var(--ink)", "font-size": 13, "font-weight": 600}, isolated(text))),
    key.marks,
    minor.map((tick) => svg("line", {x1: xAt(tick), x2: xAt(tick), y1: frame.top, y2: bottom, stroke: "var(--grid)", "stroke-width": 0.5})),
    xTicks.map((tick) => svg("line", {x1: xAt(tick), x2: xAt(tick), y1: frame.top, y2: bottom, stroke: "var(--grid)", "stroke-width": 1})),
    yTicks.map((tick) => svg("line", {x1: frame.left, x2: right, y1: yAt(tick), y2: yAt(tick), stroke: "var(--grid)", "stroke-width": 1})),
    labelled.map((tick) => svg("text", {x: xAt(tick), y: bottom + 15, "text-anchor": "middle", ...text}, plot.x.tick(tick))),
    yTicks.map((tick) => svg("text", {x: frame.left - 6, y: yAt(tick) + 4, "text-anchor": "end", ...text}, plot.y.tick(tick))),
    svg("text", {x: right, y: bottom + 32, "text-anchor": "end", ...text}, plot.x.title),
    svg("text", {x: -frame.top, y: 12, "text-anchor": "end", transform: "rotate(-90)", ...text}, plot.y.title),
    svg(
      "g",
      {"clip-path": `url(#${clip})`, fill: "none", "stroke-linejoin": "round"},
      plot.lines.map((line) =>
        svg("path", {d: curve(line, xRange, xAt, yAt), stroke: `var(${line.colour})`, "stroke-width": line.width ?? 1.6, "stroke-dasharray": line.dash, "data-line": line.name})
      )
    ),
    svg("rect", {x: frame.left, y: frame.top, width: frame.width, height: frame.height, fill: "none", stroke: "var(--faint)", "stroke-width": 1})
  );
  return {root, frame, xAt, valueAt: (x) => Number(xScale.invert(x))};
}
