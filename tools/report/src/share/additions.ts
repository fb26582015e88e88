// What each channel adds to the sum, by band: the level with it less the level without it.
import {EARS, Model} from "../file/model";
import {Band, BandPower, bands, levelOfPower, mean, powerOf, spectrumAt, without} from "../sound/spectrum";

export interface Addition {
  channel: number;
  /** By band: level of the channel alone, dB; what it adds, dB; null where a band cannot be told. */
  alone_db: (number | null)[];
  added_db: (number | null)[];
}

export interface Additions {
  bands: Band[];
  /** Level of the sum by band, dB. */
  sum_db: (number | null)[];
  /** The sum against what the channels would give if none were against another, dB: 0 is none lost. */
  lost_db: (number | null)[];
  rows: Addition[];
}

const kept = new WeakMap<Model, Map<string, Additions | null>>();

/** Share of a signal that a channel takes: 0 left only, 1 right only, 2 both alike. */
export function signalShare(model: Model, preset: number, channel: number, signal: number): number {
  const settings = model.scene.settings(model.presets[preset], model.channels[channel]);
  if (!settings) return NaN;
  return signal === 0 ? settings.left : signal === 1 ? settings.right : settings.left + settings.right;
}

export function additions(model: Model, preset: number, seat: number, signal: number, perOctave: 1 | 3): Additions | null {
  const key = [preset, seat, signal, perOctave].join();
  let mine = kept.get(model);
  if (!mine) kept.set(model, (mine = new Map()));
  let found = mine.get(key);
  if (found === undefined) mine.set(key, (found = compute(model, preset, seat, signal, perOctave)));
  return found;
}

function compute(model: Model, preset: number, seat: number, signal: number, perOctave: 1 | 3): Additions | null {
  const alone = model.channelResponse(preset), sum = model.signalResponse(preset), count = model.frequency.length;
  if (!alone || !sum || count < 3) return null;
  const seats = model.seats.length, ears = [0, 1];
  const whole = ears.map((ear) => spectrumAt(sum.data, (signal * seats + seat) * EARS + ear, count));
  const asked = bands(perOctave, model.frequency[0], model.frequency[count - 1]);
  const levels = (power: Float64Array) => {
    const sums = new BandPower(model.frequency, power);
    return asked.map((band) => {
      const value = sums.mean(band.low_hz, band.high_hz);
      return value === null ? null : levelOfPower(value);
    });
  };
  const sum_db = levels(mean(whole.map(powerOf)));
  const rows: Addition[] = [];
  const magnitude = ears.map(() => new Float64Array(count));
  for (let channel = 0; channel < model.channels.length; ++channel) {
    const share = signalShare(model, preset, channel, signal);
    if (model.muted(preset, channel) || !Number.isFinite(share)) continue;
    const own = ears.map((ear) => spectrumAt(alone.data, (channel * seats + seat) * EARS + ear, count));
    own.forEach(({real, imaginary}, ear) => magnitude[ear].forEach((value, index) => (magnitude[ear][index] = value + Math.abs(share) * Math.hypot(real[index], imaginary[index]))));
    if (share === 0) continue;
    const rest_db = levels(mean(own.map((spectrum, ear) => powerOf(without(whole[ear], spectrum, share)))));
    const alone_db = levels(mean(own.map((spectrum) => powerOf(spectrum).map((power) => power * share * share))));
    rows.push({channel, alone_db, added_db: sum_db.map((level, at) => (level === null || rest_db[at] === null ? null : level - rest_db[at]!))});
  }
  const most_db = levels(mean(magnitude.map((list) => list.map((value) => value * value))));
  return {bands: asked, sum_db, lost_db: sum_db.map((level, at) => (level === null || most_db[at] === null ? null : level - most_db[at]!)), rows};
}
