// The lowest modes of the cabin and the seats in their quiet zones.
import {html, table} from "../parts/elements";
import {hertzText} from "../parts/units";
import type {Page} from "../parts/page";
import {EARS} from "../file/model";
import {words} from "../words";

/** A seat is in the quiet zone if the mean pressure at its ears is below this share of the mode's largest pressure, as in the printed summary. */
const QUIET = 0.25;
/** A second direction is named if it has more than this share of the motion. */
const SHARE = 0.25;

function directions(along: number[]): string {
  const [first, second] = along.map((share, axis) => ({share, name: words.cabin.directions[axis]})).sort((a, b) => b.share - a.share);
  return second.share > SHARE ? `${first.name}, ${second.name}` : first.name;
}

export function modes({model}: Page): HTMLElement | null {
  const rigid = model.numbers("/field/mode_frequency", [null]);
  if (!rigid || rigid.shape[0] === 0) return null;
  const count = rigid.shape[0];
  const damped = model.numbers("/field/mode_damped", [count])?.data, quality = model.numbers("/field/mode_q", [count])?.data;
  const along = model.numbers("/field/mode_along", [count, 3])?.data;
  const ears = model.numbers("/field/mode_ear_level", [count, model.seats.length, EARS])?.data;
  const rows = Array.from(rigid.data, (hertz, mode) => [
    hertzText(hertz),
    damped ? hertzText(damped[mode]) : "",
    quality ? quality[mode].toFixed(0) : "",
    along ? directions(Array.from(along.slice(3 * mode, 3 * mode + 3))) : "",
    ears
      ? model.seats.filter((_, seat) => [0, 1].reduce((sum, ear) => sum + ears[(mode * model.seats.length + seat) * EARS + ear] / EARS, 0) < QUIET).join(", ")
      : ""
  ]);
  return html(
    "details",
    {},
    html("summary", {}, words.cabin.modesHead),
    html("p", {}, words.cabin.modesHow),
    table(words.cabin.modesCaption, [{head: words.cabin.modeRigid, right: true}, {head: words.cabin.modeDamped, right: true}, {head: "Q", right: true}, {head: words.cabin.modeAlong}, {head: words.cabin.modeQuiet}], rows)
  );
}
