// Impulse response from a frequency response, as far as the frequencies in the file allow.
import FFT from "fft.js";
import type {Spectrum} from "./spectrum";

export interface Impulse {
  /** Time of the first sample after the impulse, s. */
  start_s: number;
  step_s: number;
  value: Float64Array;
}

const SAMPLE_RATE_HZ = 48000;
const LENGTH = 8192;
/** Time shown before the first arrival, s. */
const BEFORE_S = 0.003;
/** The top of the band fades out over a sixth of an octave, so that its edge does not ring. */
const FADE = 2 ** (-1 / 6);

/**
 * Response to an impulse with equal amplitude at every frequency of the file, Pa per sample at the sample rate.
 * The travel time `arrival_s` is removed before interpolating between the frequencies and restored as a shift in time.
 * With frequencies 1/N octave apart, the response at frequency f is lost later than about N/(1.4 f) after the arrival.
 */
export function impulseOf(spectrum: Spectrum, frequency: Float64Array, arrival_s: number): Impulse {
  const plan = new FFT(LENGTH);
  const input = plan.createComplexArray() as number[], output = plan.createComplexArray() as number[];
  const last = frequency.length - 1, step_hz = SAMPLE_RATE_HZ / LENGTH;
  // Remove the travel time from the phase.
  const shift_s = arrival_s;
  const turned = {real: new Float64Array(frequency.length), imaginary: new Float64Array(frequency.length)};
  for (let index = 0; index <= last; ++index) {
    const angle = 2 * Math.PI * frequency[index] * shift_s, cosine = Math.cos(angle), sine = Math.sin(angle);
    turned.real[index] = spectrum.real[index] * cosine - spectrum.imaginary[index] * sine;
    turned.imaginary[index] = spectrum.real[index] * sine + spectrum.imaginary[index] * cosine;
  }
  // Interpolate to the bins of the transform; the negative frequencies are the complex conjugates.
  input.fill(0);
  let at = 0;
  for (let bin = 1; bin < LENGTH / 2; ++bin) {
    const hertz = bin * step_hz;
    if (hertz > frequency[last]) break;
    while (at < last - 1 && frequency[at + 1] < hertz) ++at;
    // Below the lowest frequency the response falls to zero in proportion to frequency.
    const part = hertz < frequency[0] ? 0 : (hertz - frequency[at]) / (frequency[at + 1] - frequency[at]);
    const below = hertz < frequency[0] ? hertz / frequency[0] : 1;
    const above = hertz / frequency[last];
    const fade = above > FADE ? 0.5 + 0.5 * Math.cos((Math.PI * Math.log(above / FADE)) / Math.log(1 / FADE)) : 1;
    const back = -2 * Math.PI * hertz * BEFORE_S, weight = below * fade;
    const real = weight * (turned.real[at] + (turned.real[at + 1] - turned.real[at]) * part);
    const imaginary = weight * (turned.imaginary[at] + (turned.imaginary[at + 1] - turned.imaginary[at]) * part);
    const cosine = Math.cos(back), sine = Math.sin(back);
    input[2 * bin] = real * cosine - imaginary * sine;
    input[2 * bin + 1] = real * sine + imaginary * cosine;
    input[2 * (LENGTH - bin)] = input[2 * bin];
    input[2 * (LENGTH - bin) + 1] = -input[2 * bin + 1];
  }
  plan.inverseTransform(output, input);
  const value = new Float64Array(LENGTH);
  for (let sample = 0; sample < LENGTH; ++sample) value[sample] = output[2 * sample];
  return {start_s: arrival_s - BEFORE_S, step_s: 1 / SAMPLE_RATE_HZ, value};
}
