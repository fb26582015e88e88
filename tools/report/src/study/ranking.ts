// Table of the variants with the uncertainty of each value, sortable by any column.
import {button, html, own} from "../parts/elements";
import type {StudyModel} from "./study_model";
import {fill, words} from "../words";

/** Rows shown until the reader presses "Show all". */
const FIRST_ROWS = 50;

interface Row {
  variant: number;
  /** Sort key of each column; NaN comes last. */
  keys: (number | string)[];
  cells: (string | HTMLElement)[];
}

interface Column {
  head: string;
  right: boolean;
}

export const number = (value: number) => (Number.isFinite(value) ? Number(value.toPrecision(3)).toString().replace("-", "\u2212") : "–");

function columnsOf(study: StudyModel): Column[] {
  return [
    {head: words.study.rank, right: true},
    {head: words.study.variant, right: false},
    {head: words.study.points, right: true},
    ...study.measures.map((name, measure) => ({head: study.units[measure] && study.units[measure] !== "1" ? `${name}, ${study.units[measure]}` : name, right: true})),
    {head: words.study.broken, right: true},
    ...(study.samples > 0 ? [{head: words.study.best, right: true}, {head: words.study.better, right: true}] : [])
  ];
}

function rowsOf(study: StudyModel): Row[] {
  const rank = study.perVariant("rank"), points = study.perVariant("points"), broken = study.perVariant("broken_limits");
  const timesBest = study.perLeading("/draws/times_best"), timesBetter = study.perLeading("/draws/times_better");
  const share = (times: number | undefined) => (times === undefined || times < 0 ? NaN : (100 * times) / study.samples);
  const percent = (value: number) => (Number.isFinite(value) ? `${Math.round(value)} %` : "–");
  return study.labels.map((label, variant) => {
    const lead = study.leading.indexOf(variant), position = rank?.[variant] ?? variant;
    const values = study.measures.map((_, measure) => study.value(variant, measure));
    const shares = [share(lead < 0 ? undefined : timesBest?.[lead]), share(lead < 0 ? undefined : timesBetter?.[lead])];
    return {
      variant,
      keys: [position < 0 ? Infinity : position, label, points?.[variant] ?? NaN, ...values, broken?.[variant] ?? 0, ...(study.samples > 0 ? shares : [])],
      cells: [
        position < 0 ? "–" : String(position + 1),
        own(label || words.study.asDrawn),
        number(points?.[variant] ?? NaN),
        ...values.map((value, measure) => {
          const band = lead < 0 ? null : study.sampleRange(lead, measure);
          return html("span", {}, number(value), band && html("small", {}, ` ${number(band.low)} … ${number(band.high)}`));
        }),
        String(broken?.[variant] ?? 0),
        ...(study.samples > 0 ? shares.map(percent) : [])
      ]
    };
  });
}

function before(a: number | string, b: number | string): number {
  if (typeof a === "string" || typeof b === "string") return String(a).localeCompare(String(b));
  if (Number.isNaN(a) || Number.isNaN(b)) return Number(Number.isNaN(a)) - Number(Number.isNaN(b));
  return a - b;
}

export function ranking(study: StudyModel): HTMLElement {
  const columns = columnsOf(study), rows = rowsOf(study);
  const body = html("tbody"), more = html("p");
  let by = 0, descending = false, all = false;
  const heads = columns.map(({head, right}, column) =>
    html("th", {scope: "col", class: right ? "right" : null}, button(head, () => {
      descending = by === column ? !descending : false;
      by = column;
      draw();
    }, {class: "sorter"})));

  function draw(): void {
    const sorted = [...rows].sort((a, b) => {
      // NaN comes last in both directions.
      const missing = [a, b].map((row) => Number.isNaN(row.keys[by]));
      return missing[0] || missing[1] ? before(a.keys[by], b.keys[by]) : (descending ? -1 : 1) * before(a.keys[by], b.keys[by]);
    });
    heads.forEach((head, column) => head.setAttribute("aria-sort", column === by ? (descending ? "descending" : "ascending") : "none"));
    body.replaceChildren(...(all ? sorted : sorted.slice(0, FIRST_ROWS)).map(({cells}) => html("tr", {}, cells.map((cell, column) => html(column === 1 ? "th" : "td", {scope: column === 1 ? "row" : null, class: columns[column].right ? "right" : null}, cell)))));
    more.replaceChildren(...(all || rows.length <= FIRST_ROWS ? [] : [button(fill(words.study.all, {count: rows.length}), () => {
      all = true;
      draw();
    })]));
  }
  draw();
  const caption = fill(study.samples > 0 ? words.study.rankingSamples : words.study.ranking, {count: rows.length, samples: study.samples});
  return html("div", {}, html("div", {class: "scroll", tabindex: 0, role: "region", "aria-label": words.study.sections.ranking}, html("table", {class: "ranking"}, html("caption", {}, caption), html("thead", {}, html("tr", {}, heads)), body)), more);
}
