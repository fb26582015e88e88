// What to look at first: the worst of each kind of trouble, worst kind first.
import {levelOfPower, mean, powerOf, BandPower, bands, spectrumAt} from "../sound/spectrum";
import {BLURRED, CARE, EARS, Model, MONO} from "../file/model";
import {additions} from "../share/additions";
import {decibelText, distanceText, heardSideText, hertzText, LengthUnit, timeText} from "../parts/units";
import {servedSeats} from "../parts/page";
import {fill, words} from "../words";

export interface Finding {
  weight: number;
  head: string;
  sentence: string;
  /** The section that shows it. */
  section: string;
}

/** Where a notch is told: below, one hears level; above, notches are too narrow and too many to matter. */
const NOTCH_HZ = [60, 4000];
/** Delays that are out of line by more than this are told, s. */
const LATE_S = 0.0003;
const ADDITION_BAND_HZ = [40, 4000];

function rules(model: Model): Finding[] {
  const all = model.checks.filter((check) => check.outcome === "violated");
  return all.map((check) => ({weight: 1000, head: words.answer.violated, sentence: check.sentence, section: "answer"}));
}

function cautions(model: Model): Finding[] {
  const cautions = model.checks.filter((check) => check.outcome === "caution" && check.rule !== CARE);
  const tightest = [...cautions].sort((a, b) => (a.margin_m ?? Infinity) - (b.margin_m ?? Infinity))[0];
  return tightest
    ? [{weight: 20, head: fill(words.answer.cautionsFound, {count: cautions.length}), sentence: tightest.sentence, section: "answer"}]
    : [];
}

function notch(model: Model, preset: number, unit: LengthUnit): Finding[] {
  const seats = servedSeats(model, preset);
  const deepest = model
    .notches()
    .filter((row) => seats.includes(row.seat) && row.frequency_hz >= NOTCH_HZ[0] && row.frequency_hz <= NOTCH_HZ[1] && !model.muted(preset, row.channel))
    .sort((a, b) => a.depth_db - b.depth_db)[0];
  if (!deepest) return [];
  const values = {
    channel: model.channels[deepest.channel],
    seat: model.seats[deepest.seat],
    ear: words.choose.ears[deepest.ear],
    depth: decibelText(-deepest.depth_db),
    frequency: hertzText(deepest.frequency_hz),
    surfaces: deepest.surfaces,
    extra: distanceText(deepest.extra_m, unit)
  };
  return [{weight: 15 - deepest.depth_db / 2, head: words.answer.notchHead, sentence: fill(deepest.surfaces ? words.answer.notch : words.answer.notchUnknown, values), section: "cabin"}];
}

/** Arrivals of a left and right pair at the seats that are served, with the delays of the preset. */
function outOfLine(model: Model, preset: number): Finding[] {
  let worst = LATE_S, told: Finding[] = [];
  const arrivalOf = (channel: number, seat: number) => {
    // At the middle of the head, where channels are delayed to arrive as one.
    const times = model.drivenBy(channel).map((driver) => ((model.path("arrival", seat, 0, driver) ?? NaN) + (model.path("arrival", seat, 1, driver) ?? NaN)) / 2);
    return times.length ? Math.min(...times) + model.delay(preset, channel) : NaN;
  };
  for (const seat of servedSeats(model, preset))
    model.channels.forEach((name, left) => {
      const right = name.split("_").includes("left") ? model.channels.indexOf(name.replace(/(^|_)left(_|$)/, "$1right$2")) : -1;
      if (right < 0 || model.muted(preset, left) || model.muted(preset, right)) return;
      const difference = arrivalOf(left, seat) - arrivalOf(right, seat);
      if (!(Math.abs(difference) > worst)) return;
      worst = Math.abs(difference);
      const [first, last] = difference < 0 ? [name, model.channels[right]] : [model.channels[right], name];
      told = [{weight: 10 + 20 * 1000 * worst, head: words.answer.lineHead, sentence: fill(words.answer.line, {first, last, seat: model.seats[seat], time: timeText(worst)}), section: "time"}];
    });
  return told;
}

function takesAway(model: Model, preset: number): Finding[] {
  let least = -1, told: Finding[] = [];
  for (const seat of servedSeats(model, preset)) {
    const table = additions(model, preset, seat, MONO, 1);
    table?.rows.forEach((row) =>
      row.added_db.forEach((added, at) => {
        const band = table.bands[at];
        if (added === null || added >= least || band.high_hz < ADDITION_BAND_HZ[0] || band.low_hz > ADDITION_BAND_HZ[1]) return;
        least = added;
        told = [{weight: 12 - 8 * added, head: words.answer.takesHead, sentence: fill(words.answer.takes, {channel: model.channels[row.channel], seat: model.seats[seat], level: (-added).toFixed(1), band: band.name}), section: "share"}];
      })
    );
  }
  return told;
}

/** Where the middle of the stage is missed by most: off to a side, or nowhere. */
function aside(model: Model, preset: number): Finding[] {
  const extents = [model.presets.length, model.seats.length];
  const angle = model.numbers("/listening/side_angle", extents), known = model.numbers("/listening/interaural_known", extents);
  const like = model.numbers("/listening/interaural_coherence", extents);
  if (!angle || !known || !like) return [];
  return servedSeats(model, preset)
    .map((seat) => ({seat, at: preset * model.seats.length + seat}))
    .filter(({at}) => known.data[at] === 1 && (Math.abs(angle.data[at]) > 15 || like.data[at] < BLURRED))
    .sort((a, b) => Math.abs(angle.data[b.at]) - Math.abs(angle.data[a.at]))
    .slice(0, 1)
    .map(({seat, at}) => {
      const name = model.seats[seat], weight = Math.max(8, Math.abs(angle.data[at]) / 2);
      return like.data[at] < BLURRED
        ? {weight, head: words.answer.nowhereHead, sentence: fill(words.answer.nowhere, {seat: name}), section: "time"}
        : {weight, head: words.answer.asideHead, sentence: fill(words.answer.aside, {seat: name, side: heardSideText(angle.data[at])}), section: "time"};
    });
}

/** How unlike two served seats are, or how uneven the one is, by third octave. */
function hole(model: Model, preset: number): Finding[] {
  const table = model.signalResponse(preset);
  if (!table || model.frequency.length < 3) return [];
  const count = model.frequency.length, thirds = bands(3, Math.max(40, model.frequency[0]), Math.min(4000, model.frequency[count - 1]));
  let deepest = -8, told: Finding[] = [];
  for (const seat of servedSeats(model, preset)) {
    const power = mean([0, 1].map((ear) => powerOf(spectrumAt(table.data, (MONO * model.seats.length + seat) * EARS + ear, count))));
    const sums = new BandPower(model.frequency, power);
    thirds.forEach((band) => {
      const here = sums.mean(band.low_hz, band.high_hz), about = sums.mean(band.low_hz / 2 ** 0.5, band.high_hz * 2 ** 0.5);
      if (here === null || about === null) return;
      const depth = levelOfPower(here) - levelOfPower(about);
      if (depth >= deepest) return;
      deepest = depth;
      told = [{weight: 15 - 2 * depth, head: words.answer.holeHead, sentence: fill(words.answer.hole, {seat: model.seats[seat], band: band.name, depth: decibelText(-depth)}), section: "response"}];
    });
  }
  return told;
}

export function findings(model: Model, preset: number, unit: LengthUnit): Finding[] {
  const kinds = [() => rules(model), () => cautions(model), () => notch(model, preset, unit), () => outOfLine(model, preset), () => takesAway(model, preset), () => aside(model, preset), () => hole(model, preset)];
  const found = kinds.flatMap((kind) => {
    try {
      return kind();
    } catch {
      return []; // what cannot be read is told by the section that shows it
    }
  });
  return found.sort((a, b) => b.weight - a.weight).slice(0, 3);
}
