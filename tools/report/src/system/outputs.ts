// Which output feeds which channel, into what load and with how much power; ways to wire voice coils and drivers.
import {html, own, table} from "../parts/elements";
import {hertzText} from "../parts/units";
import type {Model} from "../file/model";
import {fill, words} from "../words";

const ohms = (value: number) => `${value.toFixed(1)} Ω`;
const watts = (value: number) => `${Math.round(value)} W`;

export function outputs(model: Model): HTMLElement | null {
  const count = model.channels.length, column = (name: string) => model.numbers(`/system/${name}`, [count])?.data;
  const amplifier = column("feed_amplifier"), output = column("feed_output"), bridged = column("feed_bridged_with");
  const processor = column("feed_processor_output"), proposed = column("feed_proposed");
  if (!amplifier || !output) return null;
  const load = column("least_load"), at = column("least_load_frequency"), power = column("sine_power"), usable = column("power_of_use");
  const names = model.file.texts("/amplifier"), reasons = model.file.texts("/system/feed_reason");
  const rows = model.channels.map((name, channel) => [
    own(name),
    processor && processor[channel] > 0 ? String(processor[channel]) : words.system.none,
    amplifier[channel] < 0
      ? words.system.none
      : [own(names[amplifier[channel]] ?? "?"), ` ${output[channel]}`, bridged && bridged[channel] > 0 ? ` + ${bridged[channel]} ${words.system.bridged}` : "", proposed?.[channel] === 1 ? html("em", {}, ` ${words.system.proposed}`) : ""],
    load && load[channel] > 0 ? fill(words.system.loadAt, {load: ohms(load[channel]), frequency: hertzText(at?.[channel] ?? 0)}) : "",
    usable && usable[channel] > 0 ? watts(usable[channel]) : "",
    power && power[channel] > 0 ? watts(power[channel]) : "",
    own(reasons[channel] ?? "")
  ]);
  return table(
    words.system.outputsCaption,
    [{head: words.settings.channel}, {head: words.system.processor, right: true}, {head: words.system.amplifier}, {head: words.system.lowestLoad, right: true}, {head: words.system.usablePower, right: true}, {head: words.system.sinePower, right: true}, {head: words.system.reason}],
    rows
  );
}

export function wirings(model: Model): HTMLElement | null {
  const descriptions = model.file.texts("/system/wiring/words");
  if (descriptions.length === 0) return null;
  const column = (name: string) => model.numbers(`/system/wiring/${name}`, [descriptions.length])?.data ?? new Float64Array(descriptions.length);
  const channel = column("channel"), nominal = column("nominal_load"), least = column("least_load"), driven = column("driven");
  const each = column("power_each"), chosen = column("chosen"), best = column("best");
  const rows = descriptions.map((way, row) => [
    own(model.channels[channel[row]] ?? "?"),
    [chosen[row] ? html("b", {}, way) : way, chosen[row] ? ` ${words.system.chosen}` : "", best[row] ? ` ${words.system.best}` : ""],
    nominal[row] > 0 ? ohms(nominal[row]) : "",
    ohms(least[row]),
    driven[row] ? watts(each[row]) : words.system.notDriven
  ]);
  return html("details", {}, html("summary", {}, words.system.wiringHead), table(
    words.system.wiringCaption,
    [{head: words.settings.channel}, {head: words.system.wiring}, {head: words.system.nominal, right: true}, {head: words.system.lowestLoad, right: true}, {head: words.system.each, right: true}],
    rows
  ));
}
