// What every section receives.
import type {Model} from "../file/model";
import {BOTH_EARS, Chooser} from "./choice";
import {words} from "../words";

export interface Page {
  model: Model;
  chooser: Chooser;
  /** Calls `follow` when the colours change between light and dark. */
  onTheme(follow: () => void): void;
  /** Runs work that the first picture does not need, soon after it. */
  later(work: () => void): void;
}

/** A section makes its element, or null if the file has no data for it. */
export interface Section {
  id: string;
  title: string;
  make(page: Page): HTMLElement | null;
}

/** Indices of the selected ears. */
export const earsOf = (ear: number): number[] => (ear === BOTH_EARS ? [0, 1] : [ear]);
export const earName = (ear: number): string => words.choose.ears[ear];
/** The selected ear where only one can be shown: the left one if both are selected. */
export const oneEar = (ear: number): number => (ear === BOTH_EARS ? 0 : ear);

/** Indices of the seats that a preset is tuned for; if it names none, those of the brief; if there are none, the first seat. */
export function servedSeats(model: Model, preset: number): number[] {
  const named = model.scene.listens(model.presets[preset] ?? "");
  const wanted = named.length ? named : model.scene.brief.listen;
  const found = model.seats.map((_, seat) => seat).filter((seat) => wanted.includes(model.seats[seat]));
  return found.length ? found : model.seats.length ? [0] : [];
}
