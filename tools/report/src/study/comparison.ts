// Two variants side by side: their measures, and the level at each seat with its uncertainty band.
import {Chart, ChartGroup} from "../parts/chart";
import {html, own, picker, table} from "../parts/elements";
import type {Line} from "../parts/plot";
import {hertzTick} from "../parts/scale";
import {chartWidth} from "../parts/theme";
import {number} from "./ranking";
import type {StudyModel} from "./study_model";
import {fill, words} from "../words";

const SPAN_DB = 50;

export function comparison(study: StudyModel): HTMLElement | null {
  const count = study.leading.length, frequencies = study.frequency.length, seats = study.seats.length;
  const response = study.numbers("/leading/response", [count, seats, frequencies]);
  if (count < 2 || !response || frequencies < 2) return null;
  const middles = study.numbers("/leading/band_middle", [null])?.data, group = new ChartGroup();
  const charts = html("div", {class: "charts"}), values = html("div"), pickers = html("div", {class: "picks"});
  const name = (leading: number) => study.leadingLabels[leading] || words.study.asDrawn;
  let one = 0, other = count - 1;

  function linesOf(leading: number, seat: number, colour: string, dash?: string): Line[] {
    const start = (leading * seats + seat) * frequencies;
    const lines: Line[] = [{name: name(leading), colour, dash, width: 2.2, x: study.frequency, y: Float64Array.from(response!.data.slice(start, start + frequencies))}];
    if (!middles) return lines;
    for (const [side, template] of [["low", words.study.low], ["high", words.study.high]] as const) {
      const band = study.numbers(`/draws/level_${side}`, [count, seats, middles.length]);
      const at = (leading * seats + seat) * middles.length;
      if (band) lines.push({name: fill(template, {variant: name(leading)}), colour, dash: "1.5 3", width: 1.3, x: middles, y: Float64Array.from(band.data.slice(at, at + middles.length))});
    }
    return lines;
  }

  function draw(): void {
    group.clear();
    const all = study.seats.map((_, seat) => [...linesOf(one, seat, "--line-1"), ...linesOf(other, seat, "--line-2", "7 3")]);
    const most = all.flat().reduce((most, line) => Array.from(line.y).reduce((best, value) => (value > best ? value : best), most), 40);
    const top = Math.ceil((most + 2) / 5) * 5;
    charts.replaceChildren(...study.seats.map((seat, index) => new Chart({
      title: fill(words.study.comparisonTitle, {seat}),
      x: {kind: "log", title: words.response.frequency, range: [study.frequency[0], study.frequency[frequencies - 1]], tick: hertzTick},
      y: {kind: "linear", title: words.response.level, range: [top - SPAN_DB, top], tick: (value) => String(value)},
      lines: all[index]
    }, group, 300, chartWidth(charts)).element));
    const cell = (leading: number, measure: number) => {
      const band = study.sampleRange(leading, measure), value = number(study.value(study.leading[leading], measure));
      return band ? `${value} (${number(band.low)} … ${number(band.high)})` : value;
    };
    values.replaceChildren(table(words.study.comparisonCaption, [{head: words.study.measure}, {head: own(name(one)), right: true}, {head: own(name(other)), right: true}],
      study.measures.map((measure, index) => [study.units[index] && study.units[index] !== "1" ? `${measure}, ${study.units[index]}` : measure, cell(one, index), cell(other, index)])));
  }
  const options = study.leading.map((_, leading) => ({value: String(leading), text: name(leading)}));
  pickers.append(
    picker(words.study.one, options, String(one), (value) => {
      one = Number(value);
      draw();
    }),
    picker(words.study.other, options, String(other), (value) => {
      other = Number(value);
      draw();
    })
  );
  draw();
  return html("div", {}, pickers, values, charts);
}
