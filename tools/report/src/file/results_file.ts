// An HDF5 file in memory, opened by h5wasm. An UnreadableFile says in words what is wrong with it.
import type h5wasm from "h5wasm";
import {loader} from "../shell/carried";
import {fill, words} from "../words";

type Library = typeof h5wasm;

/** The file cannot be shown; the message says why in plain words. */
export class UnreadableFile extends Error {}

/** Numbers of a dataset in file order: the last axis varies fastest. */
export interface Numbers {
  shape: number[];
  data: Float64Array | Float32Array | Int32Array;
}

const SIGNATURE = [0x89, 0x48, 0x44, 0x46, 0x0d, 0x0a, 0x1a, 0x0a];
const STUDY_FORMAT = "cabinfield-study";
const FORMATS = ["cabinfield-results", STUDY_FORMAT];
const MAJOR_VERSION = 1;

/** File length given in the superblock (HDF5 File Format Specification 3.0, section II.A), or null where it gives none. */
function statedLength(bytes: Uint8Array): number | null {
  const version = bytes[8];
  const endAt = version < 2 ? 40 : 28;
  const offsetSize = version < 2 ? bytes[13] : bytes[9];
  if (bytes.length < endAt + 8) return Infinity;
  if (offsetSize !== 8) return null;
  return Number(new DataView(bytes.buffer, bytes.byteOffset).getBigUint64(endAt, true));
}

function refuseForeignBytes(bytes: Uint8Array): void {
  if (bytes.length === 0) throw new UnreadableFile(words.file.empty);
  const signature = SIGNATURE.every((byte, index) => bytes[index] === byte);
  if (!signature) throw new UnreadableFile(words.file.notHdf5);
  const stated = statedLength(bytes);
  if (stated !== null && bytes.length < stated)
    throw new UnreadableFile(
      Number.isFinite(stated)
        ? fill(words.file.cutShort, {here: bytes.length.toLocaleString("en"), whole: stated.toLocaleString("en")})
        : words.file.cutShortAtStart
    );
}

let opened = 0;

export class ResultsFile {
  private constructor(
    readonly name: string,
    readonly thinned: string,
    readonly bytes: Uint8Array,
    private readonly file: InstanceType<Library["File"]>,
    private readonly library: Library,
    private readonly remove: () => void
  ) {}

  /** Throws UnreadableFile if the bytes are not a results file of a format version that this page reads. */
  static async open(name: string, bytes: Uint8Array, thinned = ""): Promise<ResultsFile> {
    refuseForeignBytes(bytes);
    await loader().run("hdf5");
    const library = (globalThis as unknown as {cabinfieldHdf5: Library}).cabinfieldHdf5;
    const module = await library.ready;
    const path = `/results${opened++}.h5`;
    module.FS.writeFile(path, bytes);
    let file: InstanceType<Library["File"]>;
    try {
      file = new library.File(path, "r");
    } catch {
      throw new UnreadableFile(words.file.damaged);
    }
    // A damaged file opens with an identifier below 0 and no exception.
    if (Number(file.file_id) < 0) throw new UnreadableFile(words.file.damaged);
    const results = new ResultsFile(name, thinned, bytes, file, library, () => module.FS.unlink(path));
    results.refuseForeignFormat();
    return results;
  }

  /** Whether the file holds a study (variants of one scene) instead of the results of one scene. */
  get isStudy(): boolean {
    return this.attribute("file_format") === STUDY_FORMAT;
  }

  close(): void {
    this.file.close();
    this.remove();
  }

  private refuseForeignFormat(): void {
    let holds = 0;
    try {
      holds = this.file.keys().length;
    } catch {
      // reported below
    }
    if (holds === 0) throw new UnreadableFile(words.file.damaged);
    if (!FORMATS.includes(this.attribute("file_format"))) throw new UnreadableFile(words.file.foreign);
    const version = this.rawAttribute("format_version");
    const major = Number((version as ArrayLike<number> | null)?.[0]);
    if (major !== MAJOR_VERSION)
      throw new UnreadableFile(
        fill(words.file.otherVersion, {version: version ? Array.from(version as ArrayLike<number>).join(".") : "?", known: MAJOR_VERSION})
      );
  }

  private rawAttribute(name: string): unknown {
    try {
      return this.file.attrs[name]?.value ?? null;
    } catch {
      return null;
    }
  }

  /** Text of a root attribute; empty if there is none. */
  attribute(name: string): string {
    const value = this.rawAttribute(name);
    return typeof value === "string" ? printable(value) : "";
  }

  private dataset(path: string): InstanceType<Library["Dataset"]> | null {
    try {
      const found = this.file.get(path);
      return found instanceof this.library.Dataset ? found : null;
    } catch {
      return null;
    }
  }

  has(path: string): boolean {
    return this.dataset(path) !== null;
  }

  /** Paths of all datasets under a group, without the group's own name. */
  names(group: string): string[] {
    const found = this.file.get(group);
    return found instanceof this.library.Group ? found.paths().map((path) => path.replace(/^\//, "")) : [];
  }

  /** Text of an attribute of a dataset; empty if there is none. */
  about(path: string, attribute: string): string {
    const value = this.dataset(path)?.attrs[attribute]?.value;
    return typeof value === "string" ? printable(value) : "";
  }

  /** Names or sentences of a dataset; empty if the file has none. */
  texts(path: string): string[] {
    const dataset = this.dataset(path);
    if (!dataset) return [];
    const value = this.guarded(path, () => dataset.value);
    const list = Array.isArray(value) ? value : [value];
    if (!list.every((text) => typeof text === "string")) throw new UnreadableFile(fill(words.file.wrongKind, {path}));
    return (list as string[]).map(printable);
  }

  /** A whole text with its line breaks; empty if the file has none. */
  text(path: string): string {
    const dataset = this.dataset(path);
    const value = dataset ? this.guarded(path, () => dataset.value) : "";
    return typeof value === "string" ? value : "";
  }

  /**
   * Numbers of a dataset; null if the file has none. `extents` is the required length of each axis (null: any).
   * `first` reads only that entry of the first axis. `gaps` accepts NaN, which results never hold but studies do.
   */
  numbers(path: string, extents: (number | null)[], first?: number, gaps = false): Numbers | null {
    const dataset = this.dataset(path);
    if (!dataset) return null;
    const shape = dataset.shape ?? [];
    if (shape.length !== extents.length || extents.some((extent, axis) => extent !== null && extent !== shape[axis]))
      throw new UnreadableFile(fill(words.file.wrongShape, {path, shape: shape.join(" × ") || "1"}));
    const value = this.guarded(path, () =>
      shape.length === 0 ? dataset.value : first === undefined ? dataset.slice(shape.map(() => [])) : dataset.slice([[first, first + 1], ...shape.slice(1).map(() => [] as [])])
    );
    const data = typeof value === "number" ? Float64Array.of(value) : value;
    if (!(data instanceof Float64Array || data instanceof Float32Array || data instanceof Int32Array))
      throw new UnreadableFile(fill(words.file.wrongKind, {path}));
    for (let index = 0; !gaps && index < data.length; ++index)
      if (!Number.isFinite(data[index])) throw new UnreadableFile(fill(words.file.notFinite, {path}));
    return {shape: first === undefined ? shape : shape.slice(1), data};
  }

  private guarded<T>(path: string, read: () => T): T {
    let value: T;
    try {
      value = read();
    } catch {
      throw new UnreadableFile(fill(words.file.damagedAt, {path}));
    }
    if (value === null) throw new UnreadableFile(fill(words.file.damagedAt, {path}));
    return value;
  }
}

/** The text as one line without control characters. */
export function printable(text: string): string {
  // eslint-disable-next-line no-control-regex
  return text.replace(/[\u0000-\u0008\u000b\u000c\u000e-\u001f\u007f-\u009f\ufffe\uffff]/g, "").replace(/\s+/g, " ").trim();
}
