// Batteries, cables and amplifiers under each load; how long it plays with the engine off; what stands in the load space.
import {html, own, table} from "../parts/elements";
import type {Model} from "../file/model";
import {fill, words} from "../words";

const signed = (value: number) => Math.round(value).toString().replace("-", "\u2212").replace(/^\u22120$/, "0");

/** A row for each load, a column for each of some things. */
function byLoad(model: Model, caption: string, axis: string, cell: (load: number, thing: number) => string | HTMLElement): HTMLElement | null {
  const loads = model.file.texts("/load_case"), things = model.file.texts(axis);
  if (loads.length === 0 || things.length === 0) return null;
  return table(caption, [{head: words.system.load}, ...things.map((thing) => ({head: own(thing), right: true}))], loads.map((load, row) => [own(load), ...things.map((_, thing) => cell(row, thing))]));
}

function both(model: Model, axis: string, name: string): ((load: number, thing: number) => number) | null {
  const loads = model.file.texts("/load_case").length, things = model.file.texts(axis).length;
  const found = loads && things ? model.numbers(`/system/${name}`, [loads, things]) : null;
  return found && ((load, thing) => found.data[load * things + thing]);
}

function cables(model: Model): HTMLElement | null {
  const names = model.file.texts("/cable"), count = names.length;
  if (count === 0) return null;
  const drop = both(model, "/cable", "cable_drop"), current = both(model, "/cable", "cable_current");
  const loads = model.file.texts("/load_case").map((_, load) => load);
  const most = (of: typeof drop, cable: number) => (of ? Math.max(...loads.map((load) => Math.abs(of(load, cable)))) : NaN);
  const column = (name: string) => model.numbers(`/system/${name}`, [count])?.data;
  const heat = column("cable_temperature"), limit = column("cable_limit"), fuse = column("cable_fuse");
  const metric = model.file.texts("/system/cable_least_metric"), gauge = model.file.texts("/system/cable_least_gauge");
  const amperes = (value: number | undefined) => (value !== undefined && Number.isFinite(value) ? `${Math.round(value)} A` : "");
  return table(
    words.system.cablesCaption,
    [{head: words.system.cable}, {head: words.system.mostCurrent, right: true}, {head: words.system.stands, right: true}, {head: words.system.mostDrop, right: true}, {head: words.system.copper, right: true}, {head: words.system.thinnest}, {head: words.system.fuse, right: true}],
    names.map((name, cable) => [
      own(name),
      amperes(most(current, cable)),
      amperes(limit?.[cable]),
      Number.isFinite(most(drop, cable)) ? `${most(drop, cable).toFixed(2)} V` : "",
      heat ? `${Math.round(heat[cable])} °C` : "",
      metric[cable] ? own(`${metric[cable].replace("mm2", "mm²")}, ${gauge[cable] ?? ""}`) : words.system.noneThick,
      fuse && fuse[cable] > 0 ? amperes(fuse[cable]) : words.system.noFuse
    ])
  );
}

export function supply(model: Model): (HTMLElement | null)[] {
  const voltage = both(model, "/amplifier", "amplifier_voltage"), current = both(model, "/amplifier", "amplifier_current");
  const battery = both(model, "/battery", "battery_current"), opens = both(model, "/battery", "battery_opens");
  const playing = model.scalar("/system/playing_time");
  const mass = model.scalar("/system/load_mass"), front = model.scalar("/system/front_axle_mass"), rear = model.scalar("/system/rear_axle_mass");
  return [
    voltage && current && byLoad(model, words.system.amplifiersCaption, "/amplifier", (load, thing) => `${voltage(load, thing).toFixed(1)} V, ${signed(current(load, thing))} A`),
    battery && byLoad(model, words.system.batteriesCaption, "/battery", (load, thing) =>
      opens?.(load, thing) === 1 ? html("b", {class: "verdict violated"}, `${signed(battery(load, thing))} A, ${words.system.opens}`) : `${signed(battery(load, thing))} A`),
    cables(model),
    playing !== null ? html("p", {}, fill(words.system.playing, {hours: (playing / 3600).toFixed(1)})) : null,
    mass !== null && mass > 0 ? html("p", {}, fill(words.system.mass, {mass: Math.round(mass), front: signed(front ?? 0), rear: signed(rear ?? 0)})) : null
  ];
}
