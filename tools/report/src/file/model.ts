// The parts of a results file that the page shows, by name. Small parts are read at once, large ones on first use.
import {Numbers, ResultsFile, UnreadableFile} from "./results_file";
import {readScene, Scene} from "./scene";
import {fill, words} from "../words";

export type Point = [number, number, number];

export interface Check {
  rule: string;
  subject: string;
  outcome: string;
  /** Margin, m; null where the check has no length margin. */
  margin_m: number | null;
  /** Any other margin, with its unit; empty where there is none. */
  other_margin: string;
  sentence: string;
}

export interface Reflection {
  seat: number;
  ear: number;
  driver: number;
  order: number;
  surfaces: string[];
  length_m: number;
  arrival_s: number;
  level_db: number;
  first_notch_hz: number;
}

export interface Notch {
  channel: number;
  seat: number;
  ear: number;
  driver: number;
  frequency_hz: number;
  depth_db: number;
  surfaces: string;
  extra_m: number;
}

export interface Triangles {
  vertex: Float64Array;
  corners: Int32Array;
  surfaceOf: Int32Array;
  surfaces: string[];
}

/** The check under which the file gives safety cautions. */
export const SAFETY = "caution";
/** Interaural coherence below which a sound has no clear direction (common practice, no source). */
export const BLURRED = 0.5;
/** Signals played: left input only, right input only, both inputs (mono). */
export const SIGNALS = 3;
export const MONO = 2;
export const EARS = 2;

export class Model {
  readonly title: string;
  readonly created: string;
  readonly programVersion: string;
  readonly seats: string[];
  readonly drivers: string[];
  readonly channels: string[];
  readonly presets: string[];
  readonly marks: string[];
  readonly frequency: Float64Array;
  readonly method: string;
  readonly wheelSide: string;
  readonly soundSpeed: number | null;
  readonly density: number | null;
  readonly scene: Scene;
  readonly checks: Check[];
  readonly notes: string[];
  readonly warnings: string[];
  private readonly cached = new Map<string, Numbers | null>();

  constructor(readonly file: ResultsFile) {
    this.title = file.attribute("title");
    this.created = file.attribute("created");
    this.programVersion = file.attribute("program_version");
    this.seats = file.texts("/seat");
    this.drivers = file.texts("/driver");
    this.channels = file.texts("/channel");
    this.presets = file.texts("/preset");
    this.marks = file.texts("/mark");
    this.frequency = Float64Array.from(file.numbers("/frequency", [null])?.data ?? []);
    this.method = file.texts("/field/method")[0] ?? "";
    this.wheelSide = file.texts("/scene/wheel_side")[0] ?? "";
    this.soundSpeed = this.scalar("/air/sound_speed");
    this.density = this.scalar("/air/density");
    this.scene = readScene(file.text("/scene/resolved"));
    this.checks = this.readChecks();
    this.notes = file.texts("/checks/note");
    this.warnings = file.texts("/checks/warning");
  }

  scalar(path: string): number | null {
    return this.file.numbers(path, [])?.data[0] ?? null;
  }

  /** Numbers of a dataset, cached after the first read. */
  numbers(path: string, extents: (number | null)[], first?: number): Numbers | null {
    const key = first === undefined ? path : `${path}[${first}]`;
    let found = this.cached.get(key);
    if (found === undefined) {
      found = this.file.numbers(path, extents, first);
      this.cached.set(key, found);
    }
    return found;
  }

  private indices(path: string, rows: number, below: number): number[] {
    const values = Array.from(this.numbers(path, [rows])?.data ?? []);
    if (values.length !== rows || values.some((value) => !Number.isInteger(value) || value < 0 || value >= below))
      throw new UnreadableFile(fill(words.file.indexOutside, {path}));
    return values;
  }

  private readChecks(): Check[] {
    const rule = this.file.texts("/checks/rule");
    const column = (name: string) => this.file.texts("/checks/" + name);
    const subject = column("subject"), outcome = column("outcome"), sentence = column("words");
    const hasMargin = this.numbers("/checks/has_margin", [rule.length])?.data;
    const margin = this.numbers("/checks/margin", [rule.length])?.data;
    const other = this.numbers("/checks/other_margin", [rule.length])?.data, unit = column("other_unit");
    return rule.map((name, row) => ({
      rule: name,
      subject: subject[row] ?? "",
      outcome: outcome[row] ?? "",
      margin_m: hasMargin?.[row] === 1 && margin ? margin[row] : null,
      other_margin: other && unit[row] ? `${other[row] >= 0 ? "+" : "\u2212"}${Number(Math.abs(other[row]).toPrecision(2))} ${unit[row]}` : "",
      sentence: sentence[row] ?? ""
    }));
  }

  /** [C,S,E,F,2] of one preset out of [P,C,S,E,F,2]: pressure from each channel alone, Pa. */
  channelResponse(preset: number): Numbers | null {
    return this.numbers("/response/channel", [this.presets.length, this.channels.length, this.seats.length, EARS, this.frequency.length, 2], preset);
  }

  /** [3,S,E,F,2] of one preset out of [P,3,S,E,F,2]: pressure from all channels together for each signal, Pa. */
  signalResponse(preset: number): Numbers | null {
    return this.numbers("/response/signal", [this.presets.length, SIGNALS, this.seats.length, EARS, this.frequency.length, 2], preset);
  }

  triangles(): Triangles | null {
    return this.readTriangles("/geometry/vertex", "/geometry/triangle", "/geometry/triangle_surface", "/geometry/surface");
  }

  mapTriangles(): Triangles | null {
    return this.readTriangles("/map/point", "/map/triangle", "/map/triangle_surface", "/map_surface");
  }

  private readTriangles(vertexPath: string, trianglePath: string, ofPath: string, namePath: string): Triangles | null {
    const vertex = this.numbers(vertexPath, [null, 3]);
    const corners = this.numbers(trianglePath, [null, 3]);
    if (!vertex || !corners) return null;
    const surfaces = this.file.texts(namePath);
    const surfaceOf = this.indices(ofPath, corners.shape[0], surfaces.length);
    if (corners.data.some((index) => index < 0 || index >= vertex.shape[0]))
      throw new UnreadableFile(fill(words.file.indexOutside, {path: trianglePath}));
    return {vertex: Float64Array.from(vertex.data), corners: Int32Array.from(corners.data), surfaceOf: Int32Array.from(surfaceOf), surfaces};
  }

  private points(path: string, extents: number[]): Point[] | null {
    const found = this.numbers(path, [...extents, 3])?.data;
    if (!found) return null;
    const list: Point[] = [];
    for (let at = 0; at < found.length; at += 3) list.push([found[at], found[at + 1], found[at + 2]]);
    return list;
  }

  driverPositions = () => this.points("/geometry/driver_position", [this.drivers.length]);
  driverAxes = () => this.points("/geometry/driver_axis", [this.drivers.length]);
  driverRadii = () => this.numbers("/geometry/driver_radius", [this.drivers.length])?.data ?? null;
  markPositions = () => this.points("/geometry/mark_position", [this.marks.length]);

  /** [S][E] positions of the ears. */
  ears(): Point[][] | null {
    const flat = this.points("/geometry/ear_position", [this.seats.length, EARS]);
    return flat && this.seats.map((_, seat) => flat.slice(seat * EARS, seat * EARS + EARS));
  }

  heads(): Point[] | null {
    return this.ears()?.map(([left, right]) => [0, 1, 2].map((axis) => (left[axis] + right[axis]) / 2) as Point) ?? null;
  }

  /** One value of an [S,E,D] table. */
  path(name: "length" | "arrival" | "direct", seat: number, ear: number, driver: number): number | null {
    const table = this.numbers("/paths/" + name, [this.seats.length, EARS, this.drivers.length]);
    return table ? table.data[(seat * EARS + ear) * this.drivers.length + driver] : null;
  }

  /** Direction of a driver from a seat, degrees: to the side, above eye level, off the driver's axis. */
  angles(seat: number, driver: number): number[] | null {
    const table = this.numbers("/paths/angle", [this.seats.length, this.drivers.length, 3]);
    const at = (seat * this.drivers.length + driver) * 3;
    return table && Array.from(table.data.slice(at, at + 3));
  }

  private rowCount(path: string): number {
    return this.numbers(path, [null])?.shape[0] ?? 0;
  }

  private column(path: string, rows: number): ArrayLike<number> {
    return this.numbers(path, [rows])?.data ?? new Float64Array(rows);
  }

  private reflectionRows: Reflection[] | null = null;

  reflections(): Reflection[] {
    if (this.reflectionRows) return this.reflectionRows;
    const at = "/paths/reflection/";
    const rows = this.rowCount(at + "seat");
    if (rows === 0) return (this.reflectionRows = []);
    const seat = this.indices(at + "seat", rows, this.seats.length), ear = this.indices(at + "ear", rows, EARS);
    const driver = this.indices(at + "driver", rows, this.drivers.length);
    const order = this.column(at + "order", rows), length = this.column(at + "length", rows);
    const arrival = this.column(at + "arrival", rows), level = this.column(at + "level", rows);
    const notch = this.column(at + "first_notch", rows), surfaces = this.file.texts(at + "surfaces");
    this.reflectionRows = seat.map((_, row) => ({
      seat: seat[row],
      ear: ear[row],
      driver: driver[row],
      order: order[row],
      surfaces: (surfaces[row] ?? "").split(" > ").filter((name) => name !== ""),
      length_m: length[row],
      arrival_s: arrival[row],
      level_db: level[row],
      first_notch_hz: notch[row]
    }));
    return this.reflectionRows;
  }

  notches(): Notch[] {
    const at = "/paths/notch/";
    const rows = this.rowCount(at + "channel");
    if (rows === 0) return [];
    const channel = this.indices(at + "channel", rows, this.channels.length), seat = this.indices(at + "seat", rows, this.seats.length);
    const ear = this.indices(at + "ear", rows, EARS), driver = this.indices(at + "driver", rows, this.drivers.length);
    const frequency = this.column(at + "frequency", rows), depth = this.column(at + "depth", rows), extra = this.column(at + "extra", rows);
    const surfaces = this.file.texts(at + "surfaces");
    return channel.map((_, row) => ({
      channel: channel[row],
      seat: seat[row],
      ear: ear[row],
      driver: driver[row],
      frequency_hz: frequency[row],
      depth_db: depth[row],
      surfaces: surfaces[row] ?? "",
      extra_m: extra[row]
    }));
  }

  /** Delay that the preset sets, s. */
  delay = (preset: number, channel: number) => this.setting("delay", preset, channel);
  gain = (preset: number, channel: number) => this.setting("gain", preset, channel);
  muted = (preset: number, channel: number) => this.setting("mute", preset, channel) === 1;

  private setting(name: string, preset: number, channel: number): number {
    const table = this.numbers("/settings/" + name, [this.presets.length, this.channels.length]);
    return table ? table.data[preset * this.channels.length + channel] : 0;
  }

  /** Indices of the drivers that a channel feeds. */
  drivenBy(channel: number): number[] {
    const table = this.numbers("/settings/drives", [this.channels.length, this.drivers.length]);
    return table ? this.drivers.map((_, driver) => driver).filter((driver) => table.data[channel * this.drivers.length + driver] === 1) : [];
  }
}
