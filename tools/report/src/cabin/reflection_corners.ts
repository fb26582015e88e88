// The points where a reflection of the file meets the surfaces it names: the driver is mirrored in one plane after the other.
import {Plane} from "./outline";
import {distance, dot, minus, plus, Point} from "./vector";

/** Largest difference from the length in the file, m: too small to see in the drawing. */
const SAME_LENGTH_M = 1e-3;
/** Most combinations of planes that are tried for one reflection. */
const MOST_COMBINATIONS = 4096;

const mirrored = (point: Point, plane: Plane): Point => plus(point, plane.normal, 2 * (plane.offset - dot(plane.normal, point)));

/** Corners of the path from the source by way of the planes to the ear; null if it does not meet them in that order. */
function cornersBy(source: Point, ear: Point, planes: Plane[]): Point[] | null {
  const images = [source];
  for (const plane of planes) images.push(mirrored(images[images.length - 1], plane));
  const corners: Point[] = [ear];
  let target = ear;
  for (let order = planes.length; order > 0; --order) {
    const plane = planes[order - 1], toImage = minus(images[order], target), across = dot(plane.normal, toImage);
    if (Math.abs(across) < 1e-12) return null;
    const share = (plane.offset - dot(plane.normal, target)) / across;
    if (share < -1e-9 || share > 1 + 1e-9) return null;
    target = plus(target, toImage, share);
    corners.push(target);
  }
  corners.push(source);
  return corners.reverse();
}

/** Corners of the reflection, driver first, ear last; null if no planes of its surfaces give its length. */
export function reflectionCorners(source: Point, ear: Point, surfaces: Plane[][], length_m: number): Point[] | null {
  let combinations: Plane[][] = [[]];
  for (const planes of surfaces) {
    combinations = combinations.flatMap((combination) => planes.map((plane) => [...combination, plane]));
    if (combinations.length > MOST_COMBINATIONS) return null;
  }
  let best: Point[] | null = null, miss = SAME_LENGTH_M;
  for (const combination of combinations) {
    const corners = cornersBy(source, ear, combination);
    if (!corners) continue;
    const long = corners.slice(1).reduce((sum, corner, at) => sum + distance(corners[at], corner), 0);
    if (Math.abs(long - length_m) < miss) {
      miss = Math.abs(long - length_m);
      best = corners;
    }
  }
  return best;
}
