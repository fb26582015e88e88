// Where a reflection of the file meets the surfaces it names: the driver mirrored in their planes, one after the other.
import {Plane} from "./outline";
import {distance, dot, minus, plus, Point} from "./vector";

/** How far the length found here may be from that in the file, m: below what is drawn. */
const SAME_LENGTH_M = 1e-3;
/** Most arrangements of planes that are tried for one reflection. */
const MOST_TRIED = 4096;

const mirrored = (point: Point, plane: Plane): Point => plus(point, plane.normal, 2 * (plane.offset - dot(plane.normal, point)));

/** Corners of the way from source over the planes to the ear; null where it does not meet them in that order. */
function folded(source: Point, ear: Point, planes: Plane[]): Point[] | null {
  const images = [source];
  for (const plane of planes) images.push(mirrored(images[images.length - 1], plane));
  const corners: Point[] = [ear];
  let target = ear;
  for (let order = planes.length; order > 0; --order) {
    const plane = planes[order - 1], way = minus(images[order], target), across = dot(plane.normal, way);
    if (Math.abs(across) < 1e-12) return null;
    const share = (plane.offset - dot(plane.normal, target)) / across;
    if (share < -1e-9 || share > 1 + 1e-9) return null;
    target = plus(target, way, share);
    corners.push(target);
  }
  corners.push(source);
  return corners.reverse();
}

/** Corners of the reflection, driver first, ear last; null where its surfaces do not give its length. */
export function bouncesOf(source: Point, ear: Point, surfaces: Plane[][], length_m: number): Point[] | null {
  let arrangements: Plane[][] = [[]];
  for (const planes of surfaces) {
    arrangements = arrangements.flatMap((arrangement) => planes.map((plane) => [...arrangement, plane]));
    if (arrangements.length > MOST_TRIED) return null;
  }
  let best: Point[] | null = null, miss = SAME_LENGTH_M;
  for (const arrangement of arrangements) {
    const corners = folded(source, ear, arrangement);
    if (!corners) continue;
    const long = corners.slice(1).reduce((sum, corner, at) => sum + distance(corners[at], corner), 0);
    if (Math.abs(long - length_m) < miss) {
      miss = Math.abs(long - length_m);
      best = corners;
    }
  }
  return best;
}
