// Levels, bands and phases from complex pressures.

/** Reference of sound pressure levels, Pa (ISO 1683). */
export const REFERENCE_PA = 20e-6;
/** Pressure drawn as silence, Pa: -26 dB, far below the threshold of hearing. */
const SILENCE_PA = 1e-6;

export interface Spectrum {
  real: Float64Array;
  imaginary: Float64Array;
}

export const levelOfPower = (power: number) => 10 * Math.log10(Math.max(power, SILENCE_PA ** 2) / REFERENCE_PA ** 2);

/** Row `row` of a dataset of complex numbers with `count` frequencies a row. */
export function spectrumAt(data: ArrayLike<number>, row: number, count: number): Spectrum {
  const real = new Float64Array(count), imaginary = new Float64Array(count);
  for (let index = 0, at = row * count * 2; index < count; ++index, at += 2) {
    real[index] = data[at];
    imaginary[index] = data[at + 1];
  }
  return {real, imaginary};
}

export function powerOf({real, imaginary}: Spectrum): Float64Array {
  return real.map((value, index) => value * value + imaginary[index] * imaginary[index]);
}

export function mean(lists: Float64Array[]): Float64Array {
  return lists[0].map((_, index) => lists.reduce((sum, list) => sum + list[index], 0) / lists.length);
}

/** a - gain * b */
export function without(a: Spectrum, b: Spectrum, gain: number): Spectrum {
  return {
    real: a.real.map((value, index) => value - gain * b.real[index]),
    imaginary: a.imaginary.map((value, index) => value - gain * b.imaginary[index])
  };
}

/** Integral of a power over log2 of frequency, between any two frequencies. */
export class BandPower {
  private readonly octave: Float64Array;
  private readonly sum: Float64Array;

  constructor(frequency: Float64Array, private readonly power: Float64Array) {
    this.octave = frequency.map(Math.log2);
    this.sum = new Float64Array(power.length);
    for (let index = 1; index < power.length; ++index)
      this.sum[index] = this.sum[index - 1] + ((power[index] + power[index - 1]) / 2) * (this.octave[index] - this.octave[index - 1]);
  }

  private upTo(octave: number, from: number): number {
    const last = this.octave.length - 1;
    if (octave <= this.octave[0]) return 0;
    if (octave >= this.octave[last]) return this.sum[last];
    let at = from;
    while (this.octave[at + 1] < octave) ++at;
    const step = this.octave[at + 1] - this.octave[at], part = (octave - this.octave[at]) / step;
    const here = this.power[at] + (this.power[at + 1] - this.power[at]) * part;
    return this.sum[at] + ((this.power[at] + here) / 2) * (octave - this.octave[at]);
  }

  /** Mean power between two frequencies, Hz, with equal weight for every octave; null if fewer than two points lie there. */
  mean(low_hz: number, high_hz: number): number | null {
    const low = Math.max(Math.log2(low_hz), this.octave[0]);
    const high = Math.min(Math.log2(high_hz), this.octave[this.octave.length - 1]);
    const whole = Math.log2(high_hz / low_hz);
    if (!(high - low > whole / 2)) return null;
    let inside = 0;
    for (const octave of this.octave) if (octave >= low - 1e-9 && octave <= high + 1e-9) ++inside;
    return inside < 2 ? null : (this.upTo(high, 0) - this.upTo(low, 0)) / (high - low);
  }

  /** Mean over a window of 1/`perOctave` octave about every frequency; where the points are sparser than that, the power itself. */
  smoothed(perOctave: number): Float64Array {
    const half = 0.5 / perOctave, last = this.octave.length - 1;
    const smooth = new Float64Array(this.power.length);
    let from = 0;
    for (let index = 0; index <= last; ++index) {
      const low = Math.max(this.octave[index] - half, this.octave[0]), high = Math.min(this.octave[index] + half, this.octave[last]);
      while (from < last && this.octave[from + 1] < low) ++from;
      const gap = Math.max(
        index > 0 ? this.octave[index] - this.octave[index - 1] : 0,
        index < last ? this.octave[index + 1] - this.octave[index] : 0
      );
      smooth[index] = gap > 2 * half || high <= low ? this.power[index] : (this.upTo(high, from) - this.upTo(low, from)) / (high - low);
    }
    return smooth;
  }
}

export interface Band {
  name: string;
  low_hz: number;
  high_hz: number;
}

/** Bands of 1/`perOctave` octave within the frequency range, base ten (IEC 61260-1), with their nominal names. */
export function bands(perOctave: 1 | 3, lowest_hz: number, highest_hz: number): Band[] {
  const found: Band[] = [];
  for (let number = -60; number <= 60; ++number) {
    const middle = 1000 * 10 ** ((3 * number) / (10 * perOctave)), half = 10 ** (3 / (20 * perOctave));
    if (middle / Math.sqrt(half) < lowest_hz || middle * Math.sqrt(half) > highest_hz) continue;
    found.push({name: nominal(middle), low_hz: middle / half, high_hz: middle * half});
  }
  return found;
}

/** Nominal mid-band frequencies of IEC 61260-1, Annex E (from memory). */
const NOMINAL = [1, 1.25, 1.6, 2, 2.5, 3.15, 4, 5, 6.3, 8];

function nominal(middle_hz: number): string {
  const decade = Math.floor(Math.log10(middle_hz) + 0.02);
  const size = middle_hz / 10 ** decade;
  const nearest = NOMINAL.reduce((best, one) => (Math.abs(Math.log(one / size)) < Math.abs(Math.log(best / size)) ? one : best));
  const value = nearest * 10 ** decade;
  return value >= 1000 ? `${Number((value / 1000).toPrecision(3))}k` : String(Number(value.toPrecision(3)));
}

/** Phase in degrees, -180 to 180, with a travel time removed. */
export function phaseOf({real, imaginary}: Spectrum, frequency: Float64Array, delay_s: number): Float64Array {
  return frequency.map((hertz, index) => {
    const turned = Math.atan2(imaginary[index], real[index]) / (2 * Math.PI) + hertz * delay_s;
    return (turned - Math.round(turned)) * 360;
  });
}
