// Maximum level before a limit: the level and the limit, for a sine and for music, by seat.
import {html, own, table} from "../parts/elements";
import {Chart, ChartGroup} from "../parts/chart";
import type {Line} from "../parts/plot";
import {hertzTick} from "../parts/scale";
import {looks} from "../parts/looks";
import {chartWidth} from "../parts/theme";
import type {Page} from "../parts/page";
import {bands} from "../sound/spectrum";
import {fill, words} from "../words";

/** Levels below this belong to channels that are silent, dB. */
const SILENT_DB = -100;
const SPAN_DB = 60;

export function maximumLevel({model, chooser, onTheme}: Page): HTMLElement | null {
  const presets = model.presets.length, channels = model.channels.length, seats = model.seats.length;
  const thirds = model.numbers("/third_octave", [null])?.data;
  const kinds = model.file.texts("/limit_kind");
  if (!thirds || kinds.length === 0 || !model.file.has("/limits/system_music_level")) return null;
  const group = new ChartGroup(), charts = html("div", {class: "charts"}), tables = html("div", {}), look = looks(model.channels);
  const middles = Float64Array.from(thirds);
  const bySeat = (name: string) => model.numbers(`/limits/${name}`, [presets, seats])?.data;
  const ofPreset = (name: string) => model.numbers(`/limits/${name}`, [presets])?.data;

  function lines(seat: number): Line[] {
    const {preset} = chooser.now, found: Line[] = [];
    const sine = model.numbers("/limits/sine_level", [presets, channels, seats, model.frequency.length], preset);
    if (sine)
      for (const channel of chooser.now.channels) {
        const start = (channel * seats + seat) * model.frequency.length;
        const level = Float64Array.from(sine.data.slice(start, start + model.frequency.length));
        if (!model.muted(preset, channel) && level.some((value) => value > SILENT_DB)) found.push({name: model.channels[channel], ...look[channel], width: 1.2, x: model.frequency, y: level});
      }
    for (const [name, dash] of [["system_sine_level", undefined], ["system_music_level", "6 3"]] as const) {
      const level = model.numbers(`/limits/${name}`, [presets, seats, middles.length], preset);
      if (level) found.push({name: words.system.lines[name], colour: "--ink", dash, width: 2.4, x: middles, y: Float64Array.from(level.data.slice(seat * middles.length, (seat + 1) * middles.length))});
    }
    return found;
  }

  function summary(): HTMLElement {
    const {preset} = chooser.now;
    const a = bySeat("system_music_a"), c = bySeat("system_music_c"), hours = bySeat("exposure");
    const kind = ofPreset("system_music_kind")?.[preset] ?? 0, channel = ofPreset("system_music_channel")?.[preset] ?? -1;
    return html(
      "div",
      {},
      html("p", {}, kind > 0 ? fill(channel >= 0 ? words.system.limitedAt : words.system.limited, {kind: kinds[kind] ?? "?", channel: model.channels[channel] ?? ""}) : words.system.unlimited),
      table(
        fill(words.system.musicCaption, {preset: model.presets[preset]}),
        [{head: words.time.seat}, {head: "dB(A)", right: true}, {head: "dB(C)", right: true}, {head: words.system.exposure, right: true}],
        chooser.now.seats.map((seat) => {
          const at = preset * seats + seat, exposure_h = hours?.[at] ?? 24;
          return [own(model.seats[seat]), a ? String(Math.round(a[at])) : "", c ? String(Math.round(c[at])) : "", exposure_h >= 24 ? words.system.allDay : exposure_h >= 1 ? `${exposure_h.toFixed(1)} h` : `${Math.max(1, Math.round(exposure_h * 60))} min`];
        })
      )
    );
  }

  /** What limits a sine on each channel, by octave: the limit at the centre of the band. */
  function limits(): HTMLElement | null {
    const {preset} = chooser.now;
    const kind = model.numbers("/limits/sine_kind", [presets, channels, model.frequency.length], preset);
    if (!kind) return null;
    const octaves = bands(1, model.frequency[0], model.frequency[model.frequency.length - 1]);
    const nearest = octaves.map(({low_hz, high_hz}) => model.frequency.reduce((best, hertz, at) => (Math.abs(Math.log(hertz / Math.sqrt(low_hz * high_hz))) < Math.abs(Math.log(model.frequency[best] / Math.sqrt(low_hz * high_hz))) ? at : best), 0));
    return table(words.system.kindsCaption, [{head: words.settings.channel}, ...octaves.map(({name}) => ({head: name}))],
      chooser.now.channels.filter((channel) => !model.muted(preset, channel)).map((channel) => [own(model.channels[channel]), ...nearest.map((at) => {
        const found = kind.data[channel * model.frequency.length + at];
        return found > 0 ? kinds[found] ?? "?" : "·";
      })]), {class: "limits"});
  }

  function draw(): void {
    const {preset, seats: chosen} = chooser.now, width = chartWidth(charts);
    group.clear();
    const all = chosen.map(lines);
    const most = all.flat().reduce((most, line) => (line.y as Float64Array).reduce((one, value) => Math.max(one, value), most), 60);
    const top = Math.ceil((most + 2) / 5) * 5;
    charts.replaceChildren(...chosen.map((seat, index) => new Chart({
      title: fill(words.system.loudestTitle, {seat: model.seats[seat], preset: model.presets[preset]}),
      x: {kind: "log", title: words.response.frequency, range: [model.frequency[0], model.frequency[model.frequency.length - 1]], tick: hertzTick},
      y: {kind: "linear", title: words.response.level, range: [top - SPAN_DB, top], tick: (value) => String(value)},
      lines: all[index]
    }, group, 320, width).element));
    tables.replaceChildren(...[summary(), limits()].filter((element): element is HTMLElement => element !== null));
  }

  chooser.on(["preset", "seats", "channels"], draw, charts);
  onTheme(draw);
  draw();
  return html("div", {}, html("h3", {}, words.system.loudestHead), html("p", {}, words.system.loudestHow), tables, charts);
}
