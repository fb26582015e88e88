// Sound maps: levels on the surfaces of the cabin as colours.
import {interpolateCividis} from "d3-scale-chromatic";
import {rgb} from "d3-color";
import type {Model, Triangles} from "../file/model";
import {levelOfPower} from "../sound/spectrum";
import {svg} from "../parts/elements";
import {scaleLinear} from "d3-scale";

/** Range of the colours below the loudest level, dB; everything quieter has one colour. */
const SPAN_DB = 30;

export interface LevelMap {
  triangles: Triangles;
  /** Level at each point, dB. */
  level: Float64Array;
  low_db: number;
  high_db: number;
}

/** Level at every point of the maps: of channels together, each with its own signal, or of one driver. */
export function levelMap(model: Model, frequency: number, source: {channels: number[]} | {driver: number}): LevelMap | null {
  const triangles = model.mapTriangles();
  if (!triangles) return null;
  const points = triangles.vertex.length / 3;
  const count = model.file.numbers("/map_frequency", [null])?.shape[0] ?? 0;
  const byDriver = "driver" in source;
  const names = byDriver ? model.drivers : model.channels, rows = byDriver ? [source.driver] : source.channels;
  const real = new Float64Array(points), imaginary = new Float64Array(points);
  for (const row of rows) {
    const table = model.numbers(byDriver ? "/map/of_driver" : "/map/of_channel", [names.length, count, points, 2], row);
    if (!table) return null;
    for (let point = 0, at = frequency * points * 2; point < points; ++point, at += 2) {
      real[point] += table.data[at];
      imaginary[point] += table.data[at + 1];
    }
  }
  const level = real.map((value, point) => levelOfPower(value * value + imaginary[point] * imaginary[point]));
  const high_db = Math.ceil(level.reduce((most, value) => Math.max(most, value), -200));
  const least = level.reduce((least, value) => Math.min(least, value), 200);
  return {triangles, level, high_db, low_db: Math.max(Math.floor(least), high_db - SPAN_DB)};
}

export function colourAt(map: LevelMap, level: number): [number, number, number] {
  const share = Math.min(Math.max((level - map.low_db) / Math.max(map.high_db - map.low_db, 1), 0), 1);
  const {r, g, b} = rgb(interpolateCividis(share));
  return [r / 255, g / 255, b / 255];
}

/** Colour of every point as linear RGB, for the 3-D library. */
export function colours(map: LevelMap): Float32Array {
  const colour = new Float32Array(map.level.length * 3);
  map.level.forEach((level, point) => colourAt(map, level).forEach((part, channel) => (colour[3 * point + channel] = part <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4)));
  return colour;
}

/** The colour scale of a map with its unit. */
export function mapScale(map: LevelMap, title: string): SVGSVGElement {
  const width = 460, bar = 300;
  const at = scaleLinear([map.low_db, map.high_db], [10, 10 + bar]);
  const steps = Array.from({length: 30}, (_, step) => step);
  return svg(
    "svg",
    {viewBox: `0 0 ${width} 46`, class: "map-scale", role: "img", "aria-label": `${title}: ${map.low_db} – ${map.high_db} dB`, "font-family": "var(--sans)"},
    steps.map((step) => svg("rect", {x: 10 + (bar / 30) * step, y: 6, width: bar / 30 + 0.5, height: 14, fill: interpolateCividis((step + 0.5) / 30)})),
    at.ticks(6).map((tick) => [
      svg("line", {x1: at(tick), x2: at(tick), y1: 20, y2: 25, stroke: "var(--ink)"}),
      svg("text", {x: at(tick), y: 38, "text-anchor": "middle", "font-size": 12, fill: "var(--ink)"}, String(tick))
    ]),
    svg("text", {x: bar + 22, y: 18, "font-size": 12, fill: "var(--ink)"}, "dB SPL")
  );
}

/** Draws the map at ear height as seen from above, without a 3-D library. Returns the position and size of the picture in the drawing, m. */
export function drawEarHeight(map: LevelMap, canvas: HTMLCanvasElement): {left: number; top: number; width: number; height: number} | null {
  const {triangles} = map, earHeight = triangles.surfaces.indexOf("ear height");
  const mine = [...triangles.surfaceOf.keys()].filter((triangle) => triangles.surfaceOf[triangle] === earHeight);
  if (earHeight < 0 || mine.length === 0) return null;
  let left = Infinity, right = -Infinity, low = Infinity, high = -Infinity;
  for (const triangle of mine)
    for (let corner = 0; corner < 3; ++corner) {
      const at = 3 * triangles.corners[3 * triangle + corner];
      left = Math.min(left, triangles.vertex[at]);
      right = Math.max(right, triangles.vertex[at]);
      low = Math.min(low, triangles.vertex[at + 1]);
      high = Math.max(high, triangles.vertex[at + 1]);
    }
  const perMetre = 900 / Math.max(right - left, 0.1);
  canvas.width = 900;
  canvas.height = Math.ceil((high - low) * perMetre);
  const pen = canvas.getContext("2d")!;
  for (const triangle of mine) {
    const corners = [0, 1, 2].map((corner) => triangles.corners[3 * triangle + corner]);
    const [r, g, b] = colourAt(map, corners.reduce((sum, point) => sum + map.level[point], 0) / 3).map((part) => Math.round(part * 255));
    pen.fillStyle = pen.strokeStyle = `rgb(${r},${g},${b})`;
    pen.beginPath();
    for (const point of corners) pen.lineTo((triangles.vertex[3 * point] - left) * perMetre, (high - triangles.vertex[3 * point + 1]) * perMetre);
    pen.closePath();
    pen.fill();
    pen.stroke();
  }
  return {left, top: -high, width: right - left, height: high - low};
}
