// Numbers in words, as exact as they deserve: 10 mm, 0.1 ms, whole decibels; settings keep the processor's steps.
import {words} from "../words";

export type LengthUnit = "mm" | "in";
const INCH_M = 0.0254;
const MINUS = "\u2212";

const signed = (text: string) => text.replace("-", MINUS);
const noMinusZero = (value: number) => (Object.is(value, -0) ? 0 : value);

/** A distance, to 10 mm or half an inch's fifth. */
export const distanceText = (metres: number, unit: LengthUnit) =>
  unit === "mm" ? `${signed(String(noMinusZero(Math.round(metres * 100) * 10)))} mm` : `${signed(noMinusZero(Number((metres / INCH_M).toFixed(1))).toFixed(1))} in`;

/** What is left at a hole, to the millimetre. */
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

export const hertzText = (value: number) =>
  value >= 1000 ? `${Number((value / 1000).toPrecision(3))} kHz` : `${Number(value.toPrecision(3))} Hz`;

/** Degrees to a side, in words. */
export const sideText = (degrees: number) => {
  const whole = Math.round(Math.abs(degrees));
  return whole === 0 ? words.units.ahead : `${whole}° ${degrees > 0 ? words.units.right : words.units.left}`;
};
/** From which side something is heard: the angle is held at 90 degrees where it is only known to be far to that side. */
export const heardSideText = (degrees: number) => (Math.abs(degrees) < 90 ? sideText(degrees) : degrees > 0 ? words.units.farRight : words.units.farLeft);
export const heightText = (degrees: number) => {
  const whole = Math.round(Math.abs(degrees));
  return whole === 0 ? words.units.eyeLine : `${whole}° ${degrees > 0 ? words.units.above : words.units.below}`;
};

/** A quantity of the scene as it stands there, with frequencies and gains written as usual. */
export const givenHertz = (text: string) => {
  const hertz = /^([\d.eE+-]+) Hz$/.exec(text);
  return hertz ? hertzText(Number(hertz[1])) : text;
};
