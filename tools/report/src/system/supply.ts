// Batteries, cables and amplifiers in each load case; playing time with the engine off; mass in the load space.
import {html, own, table} from "../parts/elements";
import type {Model} from "../file/model";
import {fill, words} from "../words";

const signed = (value: number) => Math.round(value).toString().replace("-", "\u2212").replace(/^\u22120$/, "0");

/** A table with a row for each load case and a column for each amplifier or battery. */
function byLoadCase(model: Model, caption: string, axis: string, cell: (load: number, item: number) => string | HTMLElement): HTMLElement | null {
  const loads = model.file.texts("/load_case"), items = model.file.texts(axis);
  if (loads.length === 0 || items.length === 0) return null;
  return table(caption, [{head: words.system.load}, ...items.map((item) => ({head: own(item), right: true}))], loads.map((load, row) => [own(load), ...items.map((_, item) => cell(row, item))]));
}

function valueOf(model: Model, axis: string, name: string): ((load: number, item: number) => number) | null {
  const loads = model.file.texts("/load_case").length, items = model.file.texts(axis).length;
  const found = loads && items ? model.numbers(`/system/${name}`, [loads, items]) : null;
  return found && ((load, item) => found.data[load * items + item]);
}

function cables(model: Model): HTMLElement | null {
  const names = model.file.texts("/cable"), count = names.length;
  if (count === 0) return null;
  const drop = valueOf(model, "/cable", "cable_drop"), current = valueOf(model, "/cable", "cable_current");
  const loads = model.file.texts("/load_case").map((_, load) => load);
  const most = (of: typeof drop, cable: number) => (of ? Math.max(...loads.map((load) => Math.abs(of(load, cable)))) : NaN);
  const column = (name: string) => model.numbers(`/system/${name}`, [count])?.data;
  const temperature = column("cable_temperature"), rating = column("cable_limit"), fuse = column("cable_fuse");
  const metric = model.file.texts("/system/cable_least_metric"), gauge = model.file.texts("/system/cable_least_gauge");
  const amperes = (value: number | undefined) => (value !== undefined && Number.isFinite(value) ? `${Math.round(value)} A` : "");
  return table(
    words.system.cablesCaption,
    [{head: words.system.cable}, {head: words.system.highestCurrent, right: true}, {head: words.system.rating, right: true}, {head: words.system.maximumDrop, right: true}, {head: words.system.conductorTemperature, right: true}, {head: words.system.minimumSize}, {head: words.system.fuse, right: true}],
    names.map((name, cable) => [
      own(name),
      amperes(most(current, cable)),
      amperes(rating?.[cable]),
      Number.isFinite(most(drop, cable)) ? `${most(drop, cable).toFixed(2)} V` : "",
      temperature ? `${Math.round(temperature[cable])} °C` : "",
      metric[cable] ? own(`${metric[cable].replace("mm2", "mm²")}, ${gauge[cable] ?? ""}`) : words.system.noneLarge,
      fuse && fuse[cable] > 0 ? amperes(fuse[cable]) : words.system.noFuse
    ])
  );
}

export function supply(model: Model): (HTMLElement | null)[] {
  const voltage = valueOf(model, "/amplifier", "amplifier_voltage"), current = valueOf(model, "/amplifier", "amplifier_current");
  const battery = valueOf(model, "/battery", "battery_current"), trips = valueOf(model, "/battery", "battery_opens");
  const playing = model.scalar("/system/playing_time");
  const mass = model.scalar("/system/load_mass"), front = model.scalar("/system/front_axle_mass"), rear = model.scalar("/system/rear_axle_mass");
  return [
    voltage && current && byLoadCase(model, words.system.amplifiersCaption, "/amplifier", (load, item) => `${voltage(load, item).toFixed(1)} V, ${signed(current(load, item))} A`),
    battery && byLoadCase(model, words.system.batteriesCaption, "/battery", (load, item) =>
      trips?.(load, item) === 1 ? html("b", {class: "verdict violated"}, `${signed(battery(load, item))} A, ${words.system.trips}`) : `${signed(battery(load, item))} A`),
    cables(model),
    playing !== null ? html("p", {}, fill(words.system.playing, {hours: (playing / 3600).toFixed(1)})) : null,
    mass !== null && mass > 0 ? html("p", {}, fill(words.system.mass, {mass: Math.round(mass), front: signed(front ?? 0), rear: signed(rear ?? 0)})) : null
  ];
}
