// What to look at first: the worst problem of each kind, the most serious kind first.
import {levelOfPower, mean, powerOf, BandPower, bands, spectrumAt} from "../sound/spectrum";
import {BLURRED, EARS, Model, MONO, SAFETY} from "../file/model";
import {contributions} from "../share/contributions";
import {bandText, decibelText, distanceText, heardSideText, hertzText, LengthUnit, timeText} from "../parts/units";
import {servedSeats} from "../parts/page";
import {fill, words} from "../words";

export interface Finding {
  weight: number;
  head: string;
  sentence: string;
  /** Id of the section that shows it. */
  section: string;
}

/** Notches are reported in this range: below it they act as a change of level, above it they are too narrow and too many to matter. */
const NOTCH_HZ = [60, 4000];
/** Differences in arrival above this are reported, s. */
const LEAST_MISALIGNMENT_S = 0.0003;
const CANCELLATION_BAND_HZ = [40, 4000];

function failedChecks(model: Model): Finding[] {
  const failed = model.checks.filter((check) => check.outcome === "violated");
  return failed.map((check) => ({weight: 1000, head: words.answer.failed, sentence: check.sentence, section: "answer"}));
}

function tightChecks(model: Model): Finding[] {
  const tight = model.checks.filter((check) => check.outcome === "caution" && check.rule !== SAFETY);
  const tightest = [...tight].sort((a, b) => (a.margin_m ?? Infinity) - (b.margin_m ?? Infinity))[0];
  return tightest
    ? [{weight: 20, head: fill(words.answer.tight, {count: tight.length}), sentence: tightest.sentence, section: "answer"}]
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

/** Largest difference in arrival between a left and a right channel at the seats of the preset, with its delays. */
function misaligned(model: Model, preset: number): Finding[] {
  let worst = LEAST_MISALIGNMENT_S, found: Finding[] = [];
  const arrivalOf = (channel: number, seat: number) => {
    // At the centre of the head, where delays are set to make channels arrive together.
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
      found = [{weight: 10 + 20 * 1000 * worst, head: words.answer.misalignedHead, sentence: fill(words.answer.misaligned, {first, last, seat: model.seats[seat], time: timeText(worst)}), section: "time"}];
    });
  return found;
}

/** The octave and seat at which a channel lowers the sum most. */
function cancellation(model: Model, preset: number): Finding[] {
  let least = -1, found: Finding[] = [];
  for (const seat of servedSeats(model, preset)) {
    const table = contributions(model, preset, seat, MONO, 1);
    table?.rows.forEach((row) =>
      row.added_db.forEach((added, at) => {
        const band = table.bands[at];
        if (added === null || added >= least || band.high_hz < CANCELLATION_BAND_HZ[0] || band.low_hz > CANCELLATION_BAND_HZ[1]) return;
        least = added;
        found = [{weight: 12 - 8 * added, head: words.answer.cancellationHead, sentence: fill(words.answer.cancellation, {channel: model.channels[row.channel], seat: model.seats[seat], level: (-added).toFixed(1), band: bandText(band.name)}), section: "share"}];
      })
    );
  }
  return found;
}

/** The seat whose centre image is worst: off to a side, or blurred. */
function centreImage(model: Model, preset: number): Finding[] {
  const extents = [model.presets.length, model.seats.length];
  const angle = model.numbers("/listening/side_angle", extents), known = model.numbers("/listening/interaural_known", extents);
  const coherence = model.numbers("/listening/interaural_coherence", extents);
  if (!angle || !known || !coherence) return [];
  return servedSeats(model, preset)
    .map((seat) => ({seat, at: preset * model.seats.length + seat}))
    .filter(({at}) => known.data[at] === 1 && (Math.abs(angle.data[at]) > 15 || coherence.data[at] < BLURRED))
    .sort((a, b) => Math.abs(angle.data[b.at]) - Math.abs(angle.data[a.at]))
    .slice(0, 1)
    .map(({seat, at}) => {
      const name = model.seats[seat], weight = Math.max(8, Math.abs(angle.data[at]) / 2);
      return coherence.data[at] < BLURRED
        ? {weight, head: words.answer.blurredHead, sentence: fill(words.answer.blurred, {seat: name}), section: "time"}
        : {weight, head: words.answer.offCentreHead, sentence: fill(words.answer.offCentre, {seat: name, side: heardSideText(angle.data[at])}), section: "time"};
    });
}

/** The third octave that is furthest below the octave about it, at the seats of the preset. */
function dip(model: Model, preset: number): Finding[] {
  const table = model.signalResponse(preset);
  if (!table || model.frequency.length < 3) return [];
  const count = model.frequency.length, thirds = bands(3, Math.max(40, model.frequency[0]), Math.min(4000, model.frequency[count - 1]));
  let deepest = -8, found: Finding[] = [];
  for (const seat of servedSeats(model, preset)) {
    const power = mean([0, 1].map((ear) => powerOf(spectrumAt(table.data, (MONO * model.seats.length + seat) * EARS + ear, count))));
    const sums = new BandPower(model.frequency, power);
    thirds.forEach((band) => {
      const here = sums.mean(band.low_hz, band.high_hz), about = sums.mean(band.low_hz / 2 ** 0.5, band.high_hz * 2 ** 0.5);
      if (here === null || about === null) return;
      const depth = levelOfPower(here) - levelOfPower(about);
      if (depth >= deepest) return;
      deepest = depth;
      found = [{weight: 15 - 2 * depth, head: words.answer.dipHead, sentence: fill(words.answer.dip, {seat: model.seats[seat], band: bandText(band.name), depth: decibelText(-depth)}), section: "response"}];
    });
  }
  return found;
}

export function findings(model: Model, preset: number, unit: LengthUnit): Finding[] {
  const kinds = [() => failedChecks(model), () => tightChecks(model), () => notch(model, preset, unit), () => misaligned(model, preset), () => cancellation(model, preset), () => centreImage(model, preset), () => dip(model, preset)];
  const found = kinds.flatMap((kind) => {
    try {
      return kind();
    } catch {
      return []; // the section that shows it reports what cannot be read
    }
  });
  return found.sort((a, b) => b.weight - a.weight).slice(0, 3);
}
