// Placement map: a measure in colours over a surface, with the speaker at each of its points.
import {extent} from "d3-array";
import {interpolateCividis} from "d3-scale-chromatic";
import {scaleLinear} from "d3-scale";
import {html, svg} from "../parts/elements";
import {cross, dot, length, minus, Point} from "../cabin/vector";
import {number} from "./ranking";
import type {StudyModel} from "./study_model";
import {fill, words} from "../words";

/** Two perpendicular directions in the surface, the first along the car if the surface allows. */
function directions(points: Point[]): [Point, Point] {
  const [a] = points, far = points.reduce((best, point) => (length(minus(point, a)) > length(minus(best, a)) ? point : best), a);
  const along = minus(far, a);
  const third = points.reduce((best, point) => (length(cross(along, minus(point, a))) > length(cross(along, minus(best, a))) ? point : best), a);
  const normal = cross(along, minus(third, a)), size = length(normal) || 1, unit = normal.map((part) => part / size) as Point;
  const flat = (axis: Point) => minus(axis, unit.map((part) => part * dot(axis, unit)) as Point);
  const rearward = flat([1, 0, 0]), first = length(rearward) > 0.3 ? rearward : flat([0, 1, 0]);
  const u = first.map((part) => part / length(first)) as Point, across = cross(unit, u);
  // The vehicle's up, or else its right, is up in the picture.
  const sign = Math.abs(across[2]) > 0.1 ? Math.sign(across[2]) : Math.sign(across[1]) || 1;
  return [u, across.map((part) => part * sign) as Point];
}

export function placementMap(study: StudyModel): HTMLElement | null {
  const position = study.numbers("/paint/position", [null, 3]);
  const value = position && study.numbers("/paint/value", [position.shape[0]])?.data;
  const triangle = study.numbers("/paint/triangle", [null, 3])?.data;
  if (!position || !value || position.shape[0] < 3) return null;
  const points = Array.from({length: position.shape[0]}, (_, at) => [0, 1, 2].map((axis) => position.data[3 * at + axis]) as Point);
  // Project the points on the two directions.
  const known = Array.from(value).filter(Number.isFinite), [least, most] = extent(known) as [number, number];
  if (known.length === 0) return null;
  const [u, v] = directions(points), at = points.map((point) => [dot(point, u), -dot(point, v)]);
  const xs = at.map(([x]) => x), ys = at.map(([, y]) => y), margin = 0.05;
  const [left, right] = extent(xs) as [number, number], [top, bottom] = extent(ys) as [number, number];
  const box = [left - margin, top - margin, right - left + 2 * margin, bottom - top + 2 * margin];
  const colour = (value: number) => (Number.isFinite(value) ? interpolateCividis(most > least ? (value - least) / (most - least) : 0.5) : "none");
  // Colour each triangle by the mean of its corners; leave out triangles with a point that has no value.
  const shapes: SVGElement[] = [];
  for (let index = 0; triangle && index < triangle.length; index += 3) {
    const corners = [0, 1, 2].map((corner) => triangle[index + corner]);
    const mean = corners.reduce((sum, corner) => sum + value[corner], 0) / 3;
    if (Number.isFinite(mean)) shapes.push(svg("polygon", {points: corners.map((corner) => at[corner].join()).join(" "), fill: colour(mean), stroke: colour(mean), "stroke-width": 0.001}));
  }
  const radius = box[2] / 160;
  const dots = at.map(([x, y], index) => svg("circle", {cx: x, cy: y, r: radius, fill: colour(value[index]), stroke: "var(--ink)", "stroke-width": radius / 6}, svg("title", {}, `${points[index].map((part) => part.toFixed(2)).join(", ")} m: ${number(value[index])}`)));
  const what = study.file.texts("/paint/judged_by")[0] ?? "", unit = study.file.texts("/paint/unit")[0] ?? "", surface = study.file.texts("/paint/surface")[0] ?? "";
  const title = fill(words.study.placementTitle, {measure: unit && unit !== "1" ? `${what}, ${unit}` : what, surface});
  const bar = scaleLinear([least, most], [10, 310]);
  return html(
    "figure",
    {class: "placement-map"},
    html("p", {class: "map-title"}, title),
    svg("svg", {viewBox: box.join(" "), role: "img", "aria-label": title, class: "cabin-drawing"}, shapes, dots),
    svg(
      "svg",
      {viewBox: "0 0 460 46", class: "map-scale", role: "img", "aria-label": `${number(least)} – ${number(most)} ${unit}`, "font-family": "var(--sans)"},
      Array.from({length: 30}, (_, step) => svg("rect", {x: 10 + 10 * step, y: 6, width: 10.5, height: 14, fill: interpolateCividis((step + 0.5) / 30)})),
      bar.ticks(5).map((tick) => svg("text", {x: bar(tick), y: 38, "text-anchor": "middle", "font-size": 12, fill: "var(--ink)"}, String(tick)))
    )
  );
}
