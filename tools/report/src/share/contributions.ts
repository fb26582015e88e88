// Contribution of each channel to the sum, by band: the level with the channel minus the level without it.
import {EARS, Model} from "../file/model";
import {Band, BandPower, bands, levelOfPower, mean, powerOf, spectrumAt, without} from "../sound/spectrum";

export interface Contribution {
  channel: number;
  /** By band: level of the channel alone, dB, and what it adds, dB; null where the file has too few frequencies in the band. */
  alone_db: (number | null)[];
  added_db: (number | null)[];
}

export interface Contributions {
  bands: Band[];
  /** Level of the sum by band, dB. */
  sum_db: (number | null)[];
  /** Sum relative to the sum of the channel magnitudes (all in phase), dB: 0 means that nothing cancels. */
  lost_db: (number | null)[];
  rows: Contribution[];
}

const cache = new WeakMap<Model, Map<string, Contributions | null>>();

/** Gain from a signal into a channel; the signal is 0 for left only, 1 for right only, 2 for both inputs. */
export function signalGain(model: Model, preset: number, channel: number, signal: number): number {
  const settings = model.scene.settings(model.presets[preset], model.channels[channel]);
  if (!settings) return NaN;
  return signal === 0 ? settings.left : signal === 1 ? settings.right : settings.left + settings.right;
}

export function contributions(model: Model, preset: number, seat: number, signal: number, perOctave: 1 | 3): Contributions | null {
  const key = [preset, seat, signal, perOctave].join();
  let ofModel = cache.get(model);
  if (!ofModel) cache.set(model, (ofModel = new Map()));
  let found = ofModel.get(key);
  if (found === undefined) ofModel.set(key, (found = compute(model, preset, seat, signal, perOctave)));
  return found;
}

function compute(model: Model, preset: number, seat: number, signal: number, perOctave: 1 | 3): Contributions | null {
  const alone = model.channelResponse(preset), sum = model.signalResponse(preset), count = model.frequency.length;
  if (!alone || !sum || count < 3) return null;
  const seats = model.seats.length, ears = [0, 1];
  const whole = ears.map((ear) => spectrumAt(sum.data, (signal * seats + seat) * EARS + ear, count));
  const inBands = bands(perOctave, model.frequency[0], model.frequency[count - 1]);
  const levels = (power: Float64Array) => {
    const sums = new BandPower(model.frequency, power);
    return inBands.map((band) => {
      const value = sums.mean(band.low_hz, band.high_hz);
      return value === null ? null : levelOfPower(value);
    });
  };
  const sum_db = levels(mean(whole.map(powerOf)));
  const rows: Contribution[] = [];
  const magnitude = ears.map(() => new Float64Array(count));
  for (let channel = 0; channel < model.channels.length; ++channel) {
    const gain = signalGain(model, preset, channel, signal);
    if (model.muted(preset, channel) || !Number.isFinite(gain)) continue;
    const own = ears.map((ear) => spectrumAt(alone.data, (channel * seats + seat) * EARS + ear, count));
    own.forEach(({real, imaginary}, ear) => magnitude[ear].forEach((value, index) => (magnitude[ear][index] = value + Math.abs(gain) * Math.hypot(real[index], imaginary[index]))));
    if (gain === 0) continue;
    const rest_db = levels(mean(own.map((spectrum, ear) => powerOf(without(whole[ear], spectrum, gain)))));
    const alone_db = levels(mean(own.map((spectrum) => powerOf(spectrum).map((power) => power * gain * gain))));
    rows.push({channel, alone_db, added_db: sum_db.map((level, at) => (level === null || rest_db[at] === null ? null : level - rest_db[at]!))});
  }
  const most_db = levels(mean(magnitude.map((list) => list.map((value) => value * value))));
  return {bands: inBands, sum_db, lost_db: sum_db.map((level, at) => (level === null || most_db[at] === null ? null : level - most_db[at]!)), rows};
}
