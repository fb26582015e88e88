// Planes of the triangles, and the lines of a technical drawing: edges where a surface bends or ends.
import type {Triangles} from "../file/model";
import {cross, distance, dot, length, minus, plus, Point} from "./vector";

/** Points closer than this are the same, m: a tenth of what a tape measure shows. */
const SAME_POINT_M = 1e-4;
/** Planes at an angle with a sine below this count as one. */
const SAME_NORMAL = 1e-3;
const SAME_OFFSET_M = 1e-3;

export interface Plane {
  normal: Point;
  offset: number;
  /** Indices of the triangles in the plane. */
  triangles: number[];
}

export const vertexAt = (triangles: Triangles, index: number): Point => [
  triangles.vertex[3 * index],
  triangles.vertex[3 * index + 1],
  triangles.vertex[3 * index + 2]
];

export const cornersOf = (triangles: Triangles, triangle: number): Point[] =>
  [0, 1, 2].map((corner) => vertexAt(triangles, triangles.corners[3 * triangle + corner]));

/** The planes of every surface. */
export function planesOf(triangles: Triangles): Plane[][] {
  const planes: Plane[][] = triangles.surfaces.map(() => []);
  for (let triangle = 0; triangle < triangles.surfaceOf.length; ++triangle) {
    const [a, b, c] = cornersOf(triangles, triangle);
    const across = cross(minus(b, a), minus(c, a)), size = length(across);
    if (size < 1e-10) continue;
    const normal = across.map((part) => part / size) as Point, offset = dot(normal, a);
    const found = planes[triangles.surfaceOf[triangle]].find(
      (plane) => length(cross(plane.normal, normal)) < SAME_NORMAL && dot(plane.normal, normal) > 0 && Math.abs(dot(plane.normal, a) - plane.offset) < SAME_OFFSET_M
    );
    if (found) found.triangles.push(triangle);
    else planes[triangles.surfaceOf[triangle]].push({normal, offset, triangles: [triangle]});
  }
  return planes;
}

/** Edges of each surface that two of its triangles in one plane do not share, even if the triangles differ in size. */
export function edgesOf(triangles: Triangles, planes: Plane[][]): {from: Point; to: Point; surface: number}[] {
  const edges: {from: Point; to: Point; surface: number}[] = [];
  const key = (point: Point) => point.map((part) => Math.round(part / SAME_POINT_M)).join();
  planes.forEach((ofSurface, surface) => {
    for (const plane of ofSurface) {
      const corners = plane.triangles.map((triangle) => cornersOf(triangles, triangle));
      const points = [...new Map(corners.flat().map((point) => [key(point), point])).values()];
      const pieces = new Map<string, {from: Point; to: Point; times: number}>();
      for (const triangle of corners)
        triangle.forEach((from, at) => {
          for (const [start, end] of split(from, triangle[(at + 1) % 3], points)) {
            const name = [key(start), key(end)].sort().join(" ");
            const piece = pieces.get(name);
            if (piece) ++piece.times;
            else pieces.set(name, {from: start, to: end, times: 1});
          }
        });
      for (const {from, to, times} of pieces.values()) if (times === 1) edges.push({from, to, surface});
    }
  });
  return edges;
}

/** The edge, split at the points that lie on it. */
function split(from: Point, to: Point, points: Point[]): [Point, Point][] {
  const long = distance(from, to);
  if (long < SAME_POINT_M) return [];
  const along = minus(to, from).map((part) => part / long) as Point;
  const inside = points
    .map((point) => ({point, at: dot(minus(point, from), along)}))
    .filter(({point, at}) => at > SAME_POINT_M && at < long - SAME_POINT_M && distance(point, plus(from, along, at)) < SAME_POINT_M)
    .sort((a, b) => a.at - b.at)
    .map(({point}) => point);
  const chain = [from, ...inside, to];
  return chain.slice(1).map((point, index) => [chain[index], point]);
}
