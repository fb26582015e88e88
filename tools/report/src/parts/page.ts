// What every section is given.
import type {Model} from "../file/model";
import {BOTH_EARS, Chooser} from "./choice";
import {words} from "../words";

export interface Page {
  model: Model;
  chooser: Chooser;
  /** Calls `follow` when colours change with light and dark. */
  onTheme(follow: () => void): void;
  /** Does what the first picture can do without, soon after it. */
  later(work: () => void): void;
}

/** A section makes its element, or nothing where the file has nothing for it. */
export interface Section {
  id: string;
  title: string;
  make(page: Page): HTMLElement | null;
}

/** The ears that are chosen, by number. */
export const earsOf = (ear: number): number[] => (ear === BOTH_EARS ? [0, 1] : [ear]);
export const earName = (ear: number): string => words.choose.ears[ear];
/** Where one ear is needed and both are chosen: the left one. */
export const oneEar = (ear: number): number => (ear === BOTH_EARS ? 0 : ear);

/** Seats that a preset serves, by number; of the brief where it does not say, else the first. */
export function servedSeats(model: Model, preset: number): number[] {
  const named = model.scene.listens(model.presets[preset] ?? "");
  const asked = named.length ? named : model.scene.brief.listen;
  const found = model.seats.map((_, seat) => seat).filter((seat) => asked.includes(model.seats[seat]));
  return found.length ? found : model.seats.length ? [0] : [];
}
