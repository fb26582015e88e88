// The parts of the scene that the page needs: the brief, the listening seats, and the filters of each channel in each
// preset. The file holds the scene with every default filled in.
import {CORE_SCHEMA, load} from "js-yaml";
import {printable} from "./results_file";

type Mapping = Record<string, unknown>;

export interface Filter {
  family: string;
  order: string;
  frequency: string;
}

export interface Band {
  shape: string;
  frequency: string;
  gain: string;
  q: string;
}

export interface ChannelSettings {
  signal: string;
  /** Gains from the left and right inputs. */
  left: number;
  right: number;
  highpass: Filter | null;
  lowpass: Filter | null;
  equaliser: Band[];
  inverted: boolean;
}

export interface Brief {
  listen: string[];
  level: string;
  keep: string[];
}

export interface Scene {
  brief: Brief;
  /** False if the text could not be read: the settings are then unknown. */
  known: boolean;
  settings(preset: string, channel: string): ChannelSettings | null;
  /** Seats that a preset is tuned for; empty if it does not say. */
  listens(preset: string): string[];
  state(preset: string): string;
  /** How far a driver sits behind its surface, m; every path length from the driver includes it. */
  setback_m(driver: string): number;
  units: string;
}

const mapping = (value: unknown): Mapping =>
  value !== null && typeof value === "object" && !Array.isArray(value) ? (value as Mapping) : {};
const list = (value: unknown): unknown[] => (Array.isArray(value) ? value : []);
const text = (value: unknown): string =>
  typeof value === "string" ? printable(value) : typeof value === "number" ? String(value) : "";
/** A mapping's own value only: a name in a scene may equal a property that every object inherits. */
const own = (of: Mapping, key: string): unknown => (Object.prototype.hasOwnProperty.call(of, key) ? of[key] : undefined);

function filter(value: unknown): Filter | null {
  const given = mapping(value);
  const frequency = text(own(given, "frequency"));
  return frequency ? {family: text(own(given, "family")), order: text(own(given, "order")), frequency} : null;
}

function mix(value: unknown): {signal: string; left: number; right: number} {
  const shares = mapping(value);
  const left = Number(own(shares, "left") ?? 0), right = Number(own(shares, "right") ?? 0);
  switch (value) {
    case "left":
      return {signal: "left", left: 1, right: 0};
    case "right":
      return {signal: "right", left: 0, right: 1};
    case "side":
      return {signal: "side", left: 0.5, right: -0.5};
    case "mono":
    case undefined:
      return {signal: "mono", left: 0.5, right: 0.5};
    default:
      return {signal: "mixed", left, right};
  }
}

export function readScene(resolved: string): Scene {
  let scene: Mapping = {};
  try {
    scene = mapping(load(resolved, {schema: CORE_SCHEMA}));
  } catch {
    // The settings stay unknown; the rest of the page works without them.
  }
  const brief = mapping(own(scene, "brief"));
  const channels = mapping(own(scene, "channels")), drivers = mapping(own(scene, "drivers"));
  const groups = mapping(own(scene, "groups")), presets = mapping(own(scene, "presets"));

  /** Settings in rising priority: those of the channel's groups, the channel's own, then the preset's in their order. */
  function layers(preset: string, channel: string): Mapping[] {
    const memberOf = Object.keys(groups).filter((name) => list(mapping(groups[name]).members).includes(channel));
    const changes = mapping(own(mapping(own(presets, preset)), "channels"));
    return [
      ...memberOf.map((name) => mapping(groups[name])),
      mapping(own(channels, channel)),
      ...Object.keys(changes)
        .filter((name) => name === channel || memberOf.includes(name))
        .map((name) => mapping(changes[name]))
    ];
  }

  return {
    brief: {
      listen: list(own(brief, "listen")).map(text),
      level: text(own(brief, "level")),
      keep: list(own(brief, "keep")).map(text)
    },
    known: Object.keys(scene).length > 0,
    units: text(own(mapping(own(scene, "units")), "length")),
    settings(preset, channel) {
      if (own(channels, channel) === undefined) return null;
      const stack = layers(preset, channel);
      const last = (key: string) => stack.map((layer) => own(layer, key)).filter((value) => value !== undefined).pop();
      return {
        ...mix(last("signal")),
        highpass: filter(last("highpass")),
        lowpass: filter(last("lowpass")),
        equaliser: list(last("equaliser")).map(mapping).map((band) => ({
          shape: text(own(band, "shape")),
          frequency: text(own(band, "frequency")),
          gain: text(own(band, "gain")),
          q: text(own(band, "q"))
        })),
        inverted: last("polarity") === "inverted"
      };
    },
    listens: (preset) => Object.keys(mapping(own(mapping(own(presets, preset)), "listen"))),
    setback_m(driver) {
      const given = /^([\d.eE+-]+) m$/.exec(text(own(mapping(own(drivers, driver)), "setback")));
      return given ? Number(given[1]) : 0;
    },
    state: (preset) => text(own(mapping(own(presets, preset)), "state"))
  };
}
