// The direct sound and the strongest reflections from one driver to one ear, with where they meet the surfaces.
import type {Model, Reflection} from "../file/model";
import {bouncesOf} from "./bounces";
import type {Plane} from "./outline";
import type {Way} from "./view";

export interface Paths {
  direct: {length_m: number; arrival_s: number; free: boolean} | null;
  reflections: Reflection[];
  /** Direct way first, then one for each reflection; null where the corners could not be found. */
  drawn: (Way | null)[];
}

const MOST_SHOWN = 8;

/** `chosen` is the row that stands out: 0 the direct sound, 1 the first reflection. */
export function pathsOf(model: Model, planes: Plane[][], surfaces: string[], seat: number, ear: number, driver: number, chosen: number): Paths {
  const length = model.path("length", seat, ear, driver), arrival = model.path("arrival", seat, ear, driver);
  const free = model.path("direct", seat, ear, driver) !== 0;
  const reflections = model
    .reflections()
    .filter((row) => row.seat === seat && row.ear === ear && row.driver === driver)
    .sort((a, b) => b.level_db - a.level_db)
    .slice(0, MOST_SHOWN);
  const source = model.driverPositions()?.[driver], target = model.ears()?.[seat]?.[ear];
  const setback = model.scene.setback_m(model.drivers[driver]);
  const drawn: (Way | null)[] = [];
  if (source && target) {
    drawn.push({corners: [source, target], chosen: chosen === 0, broken: !free});
    reflections.forEach((row, index) => {
      const met = row.surfaces.map((name) => planes[surfaces.indexOf(name)] ?? []);
      const corners = met.length ? bouncesOf(source, target, met, row.length_m - setback) : null;
      drawn.push(corners && {corners, chosen: chosen === index + 1, broken: false});
    });
  }
  return {direct: length === null || arrival === null ? null : {length_m: length, arrival_s: arrival, free}, reflections, drawn};
}
