// What the loader hands to the page.

/** A results file in the page, still packed. */
export interface CarriedFile {
  name: string;
  /** What was left out to keep the page small, in words; empty where nothing was. */
  thinned: string;
  bytes(): Promise<Uint8Array>;
}

export interface Loader {
  /** Runs one of the bundles: "page", "hdf5" or "turntable". */
  run(name: string): Promise<void>;
  carried: CarriedFile[];
  /** Licences of the libraries, as text. */
  licences(): Promise<string>;
}

export const loader = () => (globalThis as unknown as {cabinfieldLoader: Loader}).cabinfieldLoader;
