// The direct sound and the strongest reflections from one driver to one ear, with the points where they meet the surfaces.
import type {Model, Reflection} from "../file/model";
import {reflectionCorners} from "./reflection_corners";
import type {Plane} from "./outline";
import type {SoundPath} from "./view_3d_types";

export interface Paths {
  direct: {length_m: number; arrival_s: number; free: boolean} | null;
  reflections: Reflection[];
  /** Direct path first, then one for each reflection; null where the corners could not be found. */
  drawn: (SoundPath | null)[];
}

const MOST_SHOWN = 8;

/** `selected` is the highlighted row: 0 the direct sound, 1 the first reflection. */
export function pathsOf(model: Model, planes: Plane[][], surfaces: string[], seat: number, ear: number, driver: number, selected: number): Paths {
  const length = model.path("length", seat, ear, driver), arrival = model.path("arrival", seat, ear, driver);
  const free = model.path("direct", seat, ear, driver) !== 0;
  const reflections = model
    .reflections()
    .filter((row) => row.seat === seat && row.ear === ear && row.driver === driver)
    .sort((a, b) => b.level_db - a.level_db)
    .slice(0, MOST_SHOWN);
  const source = model.driverPositions()?.[driver], target = model.ears()?.[seat]?.[ear];
  const setback = model.scene.setback_m(model.drivers[driver]);
  const drawn: (SoundPath | null)[] = [];
  if (source && target) {
    drawn.push({corners: [source, target], selected: selected === 0, dashed: !free});
    reflections.forEach((row, index) => {
      const hit = row.surfaces.map((name) => planes[surfaces.indexOf(name)] ?? []);
      const corners = hit.length ? reflectionCorners(source, target, hit, row.length_m - setback) : null;
      drawn.push(corners && {corners, selected: selected === index + 1, dashed: false});
    });
  }
  return {direct: length === null || arrival === null ? null : {length_m: length, arrival_s: arrival, free}, reflections, drawn};
}
