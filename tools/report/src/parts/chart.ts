// A chart with a cursor and zoom, by pointer or keyboard. The charts of a group share their range and cursor.
import {button, html, svg} from "./elements";
import {drawPlot, Drawn, Plot} from "./plot";
import {Range} from "./scale";
import {saveCsv, savePng, saveSvg} from "./save";
import {fill, words} from "../words";

export class ChartGroup {
  private charts: Chart[] = [];
  range: Range | null = null;
  cursor: number | null = null;

  add(chart: Chart): void {
    this.charts.push(chart);
  }

  clear(): void {
    this.charts = [];
  }

  zoom(range: Range | null): void {
    this.range = range;
    for (const chart of this.charts) chart.draw();
  }

  point(value: number | null): void {
    this.cursor = value;
    for (const chart of this.charts) chart.drawCursor();
  }
}

/** Cursor step of an arrow key on a logarithmic axis. */
const STEP = 2 ** (1 / 24);
/** Shortest drag that zooms, px. */
const LEAST_DRAG = 6;
/** Width of a value and its gaps beside its name, px. */
const READ_WIDTH = 75;

export class Chart {
  readonly element: HTMLElement;
  private readonly place = html("div", {class: "chart-place"});
  private readonly readout = html("dl", {class: "readout"});
  private readonly spoken = html("p", {class: "unseen", role: "status"});
  private drawn: Drawn | null = null;
  private cursorMark: SVGLineElement | null = null;
  private dragFrom: number | null = null;
  private dragMark: SVGRectElement | null = null;
  private width = 0;

  constructor(private plot: Plot, private readonly group: ChartGroup, private readonly height: number, width: number) {
    this.width = width;
    const zoomed = (factor: number) => () => this.zoomBy(factor);
    this.element = html(
      "figure",
      {class: "chart"},
      this.place,
      html(
        "figcaption",
        {class: "tools"},
        button(words.chart.zoomIn, zoomed(0.5), {"aria-label": fill(words.chart.zoomInLong, {title: plot.title})}),
        button(words.chart.zoomOut, zoomed(2), {"aria-label": fill(words.chart.zoomOutLong, {title: plot.title})}),
        button(words.chart.fullRange, () => this.group.zoom(null), {"aria-label": fill(words.chart.fullRangeLong, {title: plot.title})}),
        button("PNG", () => void savePng(this.drawing(), this.plot.title), {"aria-label": fill(words.chart.saveAs, {title: plot.title, kind: "PNG"})}),
        button("SVG", () => saveSvg(this.drawing(), this.plot.title), {"aria-label": fill(words.chart.saveAs, {title: plot.title, kind: "SVG"})}),
        button("CSV", () => saveCsv(this.plot.x.title, this.plot.y.title, this.plot.lines, this.plot.title), {"aria-label": fill(words.chart.saveAs, {title: plot.title, kind: "CSV"})})
      ),
      // Below the buttons and with room for all values, so that nothing moves under the pointer when values appear or vanish.
      this.readout,
      this.spoken
    );
    const wide = plot.lines.reduce((sum, line) => sum + READ_WIDTH + line.name.length * 7, 2 * READ_WIDTH);
    this.readout.style.minHeight = `${(Math.ceil(wide / width) * 1.5).toFixed(1)}rem`;
    group.add(this);
    this.draw();
  }

  /** The drawing that the save buttons save. */
  drawing = () => this.drawn!.root;

  get range(): Range {
    return this.group.range ?? this.plot.x.range;
  }

  draw(): void {
    const drawn = drawPlot(this.plot, {width: this.width, height: this.height}, this.range);
    const {root, frame} = drawn;
    root.setAttribute("tabindex", "0");
    root.setAttribute("role", "group");
    root.setAttribute("aria-roledescription", words.chart.kind);
    root.setAttribute("aria-label", fill(words.chart.described, {title: this.plot.title, lines: this.plot.lines.map((line) => line.name).join(", ")}));
    this.cursorMark = svg("line", {class: "cursor", y1: frame.top, y2: frame.top + frame.height, stroke: "var(--ink)", "stroke-width": 1, "stroke-dasharray": "2 2", visibility: "hidden"});
    this.dragMark = svg("rect", {class: "cursor", y: frame.top, height: frame.height, fill: "var(--accent)", opacity: 0.2, visibility: "hidden"});
    root.append(this.dragMark, this.cursorMark);
    root.addEventListener("pointermove", (event) => this.moved(event));
    root.addEventListener("pointerdown", (event) => this.pressed(event));
    root.addEventListener("pointerup", (event) => this.released(event));
    root.addEventListener("pointerleave", () => this.dragFrom === null && this.group.point(null));
    root.addEventListener("dblclick", () => this.group.zoom(null));
    root.addEventListener("keydown", (event) => this.key(event));
    const focused = this.place.contains(document.activeElement);
    this.drawn = drawn;
    this.place.replaceChildren(root);
    if (focused) root.focus({preventScroll: true});
    this.drawCursor();
  }

  private inDrawing(event: PointerEvent): number {
    const box = this.drawn!.root.getBoundingClientRect();
    return ((event.clientX - box.left) / box.width) * this.width;
  }

  private inRange(value: number): number {
    return Math.min(Math.max(value, this.range[0]), this.range[1]);
  }

  private moved(event: PointerEvent): void {
    const x = this.inDrawing(event), drawn = this.drawn!;
    if (this.dragFrom !== null) {
      this.dragMark!.setAttribute("visibility", Math.abs(x - this.dragFrom) > LEAST_DRAG ? "visible" : "hidden");
      this.dragMark!.setAttribute("x", String(Math.min(x, this.dragFrom)));
      this.dragMark!.setAttribute("width", String(Math.abs(x - this.dragFrom)));
    }
    const inside = x >= drawn.frame.left && x <= drawn.frame.left + drawn.frame.width;
    this.group.point(inside ? drawn.valueAt(x) : null);
  }

  private pressed(event: PointerEvent): void {
    if (event.button !== 0 || event.pointerType === "touch") return;
    this.dragFrom = this.inDrawing(event);
    this.drawn!.root.setPointerCapture(event.pointerId);
  }

  private released(event: PointerEvent): void {
    if (this.dragFrom === null) return;
    const from = this.dragFrom, to = this.inDrawing(event);
    this.dragFrom = null;
    this.dragMark!.setAttribute("visibility", "hidden");
    if (Math.abs(to - from) <= LEAST_DRAG) return;
    const ends = [from, to].map((x) => this.inRange(this.drawn!.valueAt(x))).sort((a, b) => a - b);
    if (ends[1] > ends[0]) this.group.zoom([ends[0], ends[1]]);
  }

  private zoomBy(factor: number): void {
    const whole = this.plot.x.range, log = this.plot.x.kind === "log";
    const to = log ? Math.log : (value: number) => value, back = log ? Math.exp : (value: number) => value;
    const [low, high] = this.range.map(to), middle = this.group.cursor === null ? (low + high) / 2 : to(this.inRange(this.group.cursor));
    const ends: Range = [Math.max(whole[0], back(middle - (middle - low) * factor)), Math.min(whole[1], back(middle + (high - middle) * factor))];
    this.group.zoom(ends[0] <= whole[0] && ends[1] >= whole[1] ? null : ends);
  }

  private key(event: KeyboardEvent): void {
    const [low, high] = this.range, log = this.plot.x.kind === "log";
    const here = this.group.cursor ?? (log ? Math.sqrt(low * high) : (low + high) / 2);
    const size = event.shiftKey ? 8 : 1;
    const moves: Record<string, () => void> = {
      ArrowLeft: () => this.group.point(this.inRange(log ? here / STEP ** size : here - ((high - low) / 200) * size)),
      ArrowRight: () => this.group.point(this.inRange(log ? here * STEP ** size : here + ((high - low) / 200) * size)),
      Home: () => this.group.point(low),
      End: () => this.group.point(high),
      Escape: () => this.group.point(null),
      "+": () => this.zoomBy(0.5),
      "-": () => this.zoomBy(2),
      "0": () => this.group.zoom(null)
    };
    if (event.ctrlKey || event.metaKey || event.altKey || !moves[event.key]) return;
    event.preventDefault();
    moves[event.key]();
    this.spoken.textContent = this.readout.textContent ?? "";
  }

  drawCursor(): void {
    const cursor = this.group.cursor, [low, high] = this.range;
    const shown = cursor !== null && cursor >= low && cursor <= high;
    this.cursorMark!.setAttribute("visibility", shown ? "visible" : "hidden");
    if (!shown) {
      this.readout.replaceChildren(html("div", {class: "hint"}, html("dt", {}, words.chart.hint), html("dd", {})));
      return;
    }
    const x = this.drawn!.xAt(cursor);
    this.cursorMark!.setAttribute("x1", String(x));
    this.cursorMark!.setAttribute("x2", String(x));
    const entry = (name: string, value: string) => html("div", {}, html("dt", {}, name), html("dd", {}, value));
    this.readout.replaceChildren(
      entry(this.plot.x.title, this.plot.x.kind === "log" ? Number(cursor.toPrecision(4)).toString() : cursor.toFixed(2)),
      ...this.plot.lines.map((line) => {
        const value = between(line, cursor);
        return entry(line.name, value === null ? "–" : value.toFixed(Math.abs(value) < 10 && this.plot.x.kind !== "log" ? 3 : 1));
      })
    );
  }
}

/** The line's value at x, between its two nearest points. */
function between(line: {x: ArrayLike<number>; y: ArrayLike<number>}, x: number): number | null {
  const last = line.x.length - 1;
  if (last < 0 || x < line.x[0] || x > line.x[last]) return null;
  let low = 0, high = last;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (line.x[middle] <= x) low = middle;
    else high = middle;
  }
  if (high === low) return line.y[low];
  return line.y[low] + ((line.y[high] - line.y[low]) * (x - line.x[low])) / (line.x[high] - line.x[low]);
}
