// What the loader gives to the page.

/** A results file in the page, still compressed. */
export interface CarriedFile {
  name: string;
  /** Text that says what was left out to keep the page small; empty if nothing was. */
  thinned: string;
  bytes(): Promise<Uint8Array>;
}

export interface Loader {
  /** Runs one of the bundles: "page", "hdf5" or "renderer". */
  run(name: string): Promise<void>;
  carried: CarriedFile[];
  /** Licences of the libraries, as text. */
  licences(): Promise<string>;
}

export const loader = () => (globalThis as unknown as {cabinfieldLoader: Loader}).cabinfieldLoader;
