// The interface of the 3-D renderer. The renderer is a separate bundle because it contains a 3-D library.
import type {Triangles} from "../file/model";
import type {Point} from "./vector";

export interface Ink {
  paper: string;
  shell: string;
  block: string;
  edge: string;
  driver: string;
  seat: string;
  selectedPath: string;
  otherPath: string;
}

export interface Solid {
  triangles: Triangles | null;
  edges: {from: Point; to: Point; surface: number}[];
  drivers: {name: string; at: Point; axis: Point | null; radius: number}[];
  seats: {name: string; ears: Point[]}[];
}

export interface SoundPath {
  corners: Point[];
  selected: boolean;
  /** Dashed where the direct line is blocked: the file does not hold the path around the edges. */
  dashed: boolean;
}

export interface ColouredSurfaces {
  triangles: Triangles;
  /** Linear red, green, blue of every point, 0 to 1. */
  colour: Float32Array;
  /** True for each surface that is drawn. */
  shown: boolean[];
}

export interface Renderer3d {
  readonly element: HTMLElement;
  ink(ink: Ink): void;
  choose(driver: number, seat: number): void;
  paths(paths: SoundPath[]): void;
  colour(surfaces: ColouredSurfaces | null): void;
  /** Viewing direction, degrees: azimuth from the rear, elevation above the horizon. */
  look(azimuth: number, elevation: number): void;
  turn(azimuth: number, elevation: number): void;
  zoom(factor: number): void;
  dispose(): void;
}

export type MakeRenderer3d = (solid: Solid, ink: Ink, picked: (what: "driver" | "seat", index: number) => void) => Renderer3d;
