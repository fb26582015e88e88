// Numbers as text, no more precise than they are accurate: 10 mm, 0.1 ms, whole decibels. Settings keep the processor's steps.
import {words} from "../words";

export type LengthUnit = "mm" | "in";
const INCH_M = 0.0254;
const MINUS = "\u2212";

const signed = (text: string) => text.replace("-", MINUS);
const noMinusZero = (value: number) => (Object.is(value, -0) ? 0 : value);

/** A distance, to 10 mm or a tenth of an inch. */
export const distanceText = (metres: number, unit: LengthUnit) =>
  unit === "mm" ? `${signed(String(noMinusZero(Math.round(metres * 100) * 10)))} mm` : `${signed(noMinusZero(Number((metres / INCH_M).toFixed(1))).toFixed(1))} in`;

/** A margin with its sign, to 1 mm or a hundredth of an inch. */
export const marginText = (metres: number, unit: LengthUnit) => {
  const text = unit === "mm" ? `${Math.round(metres * 1000)} mm` : `${(metres / INCH_M).toFixed(2)} in`;
  return signed(metres >= 0 ? `+${text}` : text);
};

export const timeText = (seconds: number) => `${signed((seconds * 1000).toFixed(1))} ms`;
export const delayText = (seconds: number) => (seconds * 1000).toFixed(2);
export const decibelText = (value: number) => `${signed(String(noMinusZero(Math.round(value))))} dB`;
export const signedDecibels = (value: number, digits = 1) => {
  const text = noMinusZero(Number(value.toFixed(digits))).toFixed(digits);
  return signed(value > 0 && Number(text) !== 0 ? `+${text}` : text);
};
export const gainText = (value: number) => signed(value.toFixed(1));

/** Nominal name of a band, such as 1.6k, with its unit. */
export const bandText = (name: string) => (name.endsWith("k") ? `${name.slice(0, -1)} kHz` : `${name} Hz`);

export const hertzText = (value: number) =>
  value >= 1000 ? `${Number((value / 1000).toPrecision(3))} kHz` : `${Number(value.toPrecision(3))} Hz`;

/** An angle to the side as text; positive is right. */
export const sideText = (degrees: number) => {
  const whole = Math.round(Math.abs(degrees));
  return whole === 0 ? words.units.ahead : `${whole}° ${degrees > 0 ? words.units.right : words.units.left}`;
};
/** Apparent direction of a sound as text: an angle of 90 degrees only means far to that side. */
export const heardSideText = (degrees: number) => (Math.abs(degrees) < 90 ? sideText(degrees) : degrees > 0 ? words.units.farRight : words.units.farLeft);
export const heightText = (degrees: number) => {
  const whole = Math.round(Math.abs(degrees));
  return whole === 0 ? words.units.eyeLevel : `${whole}° ${degrees > 0 ? words.units.above : words.units.below}`;
};

/** A quantity as written in the scene, with frequencies in Hz or kHz. */
export const givenHertz = (text: string) => {
  const hertz = /^([\d.eE+-]+) Hz$/.exec(text);
  return hertz ? hertzText(Number(hertz[1])) : text;
};
