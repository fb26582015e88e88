// What the turntable is asked for; the turntable itself is a bundle of its own, since it carries a 3-D library.
import type {Triangles} from "../file/model";
import type {Point} from "./vector";

export interface Ink {
  paper: string;
  shell: string;
  block: string;
  edge: string;
  driver: string;
  seat: string;
  chosen: string;
  other: string;
}

export interface Solid {
  triangles: Triangles | null;
  edges: {from: Point; to: Point; surface: number}[];
  drivers: {name: string; at: Point; axis: Point | null; radius: number}[];
  seats: {name: string; ears: Point[]}[];
}

export interface Way {
  corners: Point[];
  chosen: boolean;
  /** Drawn as pieces where the line stands for a way round that the file does not hold. */
  broken: boolean;
}

export interface Painted {
  triangles: Triangles;
  /** Red, green, blue of every point, 0 to 1. */
  colour: Float32Array;
  /** Whether each surface is drawn. */
  shown: boolean[];
}

export interface TurntableView {
  readonly element: HTMLElement;
  ink(ink: Ink): void;
  choose(driver: number, seat: number): void;
  ways(ways: Way[]): void;
  paint(painted: Painted | null): void;
  /** Degrees round the vertical from the rear, and above the horizon. */
  look(round: number, above: number): void;
  turn(round: number, above: number): void;
  nearer(factor: number): void;
  dispose(): void;
}

export type MakeTurntable = (solid: Solid, ink: Ink, picked: (what: "driver" | "seat", index: number) => void) => TurntableView;
