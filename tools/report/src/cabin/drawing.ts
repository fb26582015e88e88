// Plan and side view to scale, front on the left, with drivers and seats that can be selected.
import {isolated, svg} from "../parts/elements";
import type {Solid, SoundPath} from "./view_3d_types";
import type {Point} from "./vector";
import {fill, words} from "../words";

export interface Selection {
  driver: number;
  seat: number;
}

type Flat = [number, number];
const MARGIN_M = 0.22;
const HEAD_RADIUS_M = 0.0875;

const PROJECTIONS = {
  /** From above: with the front on the left, the vehicle's right is up. */
  plan: ([x, y]: Point): Flat => [x, -y],
  /** From the vehicle's left. */
  side: ([x, , z]: Point): Flat => [x, -z]
};

interface Box {
  x: number;
  y: number;
  width: number;
  height: number;
}

const overlap = (a: Box, b: Box) =>
  Math.max(0, Math.min(a.x + a.width, b.x + b.width) - Math.max(a.x, b.x)) * Math.max(0, Math.min(a.y + a.height, b.y + b.height) - Math.max(a.y, b.y));

/** Positions of names near their points, with as little overlap as possible. */
function labelBoxes(points: {at: Flat; text: string}[], size: number, paper: Box): Box[] {
  const taken: Box[] = points.map(({at: [x, y]}) => ({x: x - 0.04, y: y - 0.04, width: 0.08, height: 0.08}));
  return points.map(({at: [x, y], text}) => {
    const width = text.length * size * 0.56, height = size * 1.15;
    const candidates: Box[] = [];
    for (const far of [0.06, 0.12, 0.2, 0.3])
      for (const angle of [0, 180, 60, 120, -60, -120, 90, -90]) {
        const cosine = Math.cos((angle * Math.PI) / 180), sine = Math.sin((angle * Math.PI) / 180);
        const box = {x: x + far * cosine - (width * (1 - cosine)) / 2, y: y + far * sine - height / 2, width, height};
        box.x = Math.min(Math.max(box.x, paper.x + size * 0.4), paper.x + paper.width - width - size * 0.4);
        candidates.push(box);
      }
    let best = candidates[0], least = Infinity;
    candidates.forEach((box, rank) => {
      const cost = taken.reduce((sum, other) => sum + overlap(box, other), 0) + rank * 1e-5;
      if (cost < least) [best, least] = [box, cost];
    });
    taken.push(best);
    return best;
  });
}

/** Outline of a flat disc in the projection `flat`, as polygon points. */
function disc(at: Point, axis: Point | null, radius: number, flat: (point: Point) => Flat): string {
  const along = axis ?? [0, 0, 1];
  const helper: Point = Math.abs(along[2]) < 0.9 ? [0, 0, 1] : [1, 0, 0];
  const u: Point = [along[1] * helper[2] - along[2] * helper[1], along[2] * helper[0] - along[0] * helper[2], along[0] * helper[1] - along[1] * helper[0]];
  const size = Math.hypot(...u);
  const a = u.map((part) => part / size) as Point;
  const b: Point = [along[1] * a[2] - along[2] * a[1], along[2] * a[0] - along[0] * a[2], along[0] * a[1] - along[1] * a[0]];
  return Array.from({length: 24}, (_, step) => {
    const angle = (step * Math.PI) / 12, cosine = radius * Math.cos(angle), sine = radius * Math.sin(angle);
    return flat([0, 1, 2].map((part) => at[part] + cosine * a[part] + sine * b[part]) as Point).map((value) => value.toFixed(4)).join();
  }).join(" ");
}

export function boundsOf(solid: Solid): {low: Point; high: Point} {
  const points = [...solid.edges.flatMap(({from, to}) => [from, to]), ...solid.drivers.map(({at}) => at), ...solid.seats.flatMap(({ears}) => ears)];
  const ends = (pick: (...values: number[]) => number) => [0, 1, 2].map((axis) => points.reduce((end, point) => pick(end, point[axis]), points[0]?.[axis] ?? 0)) as Point;
  return {low: ends(Math.min), high: ends(Math.max)};
}

export function drawCabin(
  solid: Solid,
  from: "plan" | "side",
  selected: Selection,
  paths: SoundPath[],
  scaleBar: {length_m: number; text: string},
  pick: (what: "driver" | "seat", index: number) => void
): SVGSVGElement {
  const flat = PROJECTIONS[from], {low, high} = boundsOf(solid);
  const ends = [flat(low), flat(high)];
  const left = Math.min(ends[0][0], ends[1][0]) - MARGIN_M, top = Math.min(ends[0][1], ends[1][1]) - MARGIN_M;
  const width = Math.abs(ends[1][0] - ends[0][0]) + 2 * MARGIN_M, height = Math.abs(ends[1][1] - ends[0][1]) + 2 * MARGIN_M + 0.1;
  const size = width / 48, thin = width / 900;

  // Edges of the cabin, each drawn once.
  const seen = new Set<string>();
  const drawnEdges: SVGElement[] = [];
  for (const {from: a, to: b, surface} of solid.edges) {
    const ends = [flat(a), flat(b)].map((end) => end.map((value) => value.toFixed(3)).join(" ")).sort();
    const key = ends.join(" ");
    if (ends[0] === ends[1] || seen.has(key)) continue;
    seen.add(key);
    const block = solid.triangles?.surfaces[surface]?.includes(".");
    drawnEdges.push(svg("path", {d: `M${ends[0]}L${ends[1]}`, stroke: block ? "var(--faint)" : "var(--ink)", "stroke-width": block ? thin : 1.7 * thin, opacity: block ? 0.75 : 0.9}));
  }

  // Names beside seats and drivers.
  const points = [
    ...solid.seats.map(({name, ears}) => ({at: flat([0, 1, 2].map((axis) => (ears[0][axis] + ears[1][axis]) / 2) as Point), text: name})),
    ...solid.drivers.map(({name, at}) => ({at: flat(at), text: name}))
  ];
  const boxes = labelBoxes(points, size, {x: left, y: top, width, height});

  /** The name and the clickable area. Shapes are in a layer below, so that none covers a name. */
  const marker = (what: "driver" | "seat", index: number, label: Box, text: string) => {
    const isSelected = selected[what] === index;
    const press = () => pick(what, index);
    const point = points[what === "seat" ? index : solid.seats.length + index].at;
    const nearest: Flat = [Math.min(Math.max(point[0], label.x), label.x + label.width), Math.min(Math.max(point[1], label.y), label.y + label.height)];
    return svg(
      "g",
      {
        class: `marker ${what}${isSelected ? " chosen" : ""}`,
        role: "button",
        tabindex: 0,
        "aria-pressed": String(isSelected),
        "aria-label": fill(what === "driver" ? words.cabin.pickSpeaker : words.cabin.pickSeat, {name: text}),
        "data-name": text,
        click: press,
        keydown: (event: KeyboardEvent) => {
          if (event.key !== "Enter" && event.key !== " ") return;
          event.preventDefault();
          press();
        }
      },
      svg("line", {x1: point[0], y1: point[1], x2: nearest[0], y2: nearest[1], stroke: "var(--faint)", "stroke-width": thin}),
      svg("circle", {cx: point[0], cy: point[1], r: size * 1.3, fill: "transparent"}),
      svg("rect", {x: label.x - size * 0.2, y: label.y, width: label.width + size * 0.4, height: label.height, rx: size * 0.2, fill: isSelected ? "var(--accent)" : "var(--paper)", opacity: isSelected ? 1 : 0.82}),
      svg("text", {x: label.x + label.width / 2, y: label.y + size * 0.88, "text-anchor": "middle", "font-size": size, fill: isSelected ? "var(--on-accent)" : "var(--ink)", textLength: label.width}, isolated(text))
    );
  };

  // Bottom to top: edges, paths, heads, drivers, names, scale bar.
  const root = svg(
    "svg",
    {
      viewBox: [left, top, width, height].map((value) => value.toFixed(4)).join(" "),
      class: "cabin-drawing",
      role: "group",
      "aria-label": from === "plan" ? words.cabin.planLong : words.cabin.sideLong,
      "font-family": "var(--sans)"
    },
    svg("g", {fill: "none", "stroke-linecap": "round"}, drawnEdges),
    svg(
      "g",
      {fill: "none", "stroke-linejoin": "round", class: "sound-paths"},
      paths.map(({corners, selected, dashed}) =>
        svg("polyline", {points: corners.map((corner) => flat(corner).join()).join(" "), stroke: selected ? "var(--path)" : "var(--other-path)", "stroke-width": selected ? 4 * thin : 2 * thin, "stroke-dasharray": dashed ? `${8 * thin} ${6 * thin}` : null})
      )
    ),
    solid.seats.map(({ears}, index) => {
      const head = flat([0, 1, 2].map((axis) => (ears[0][axis] + ears[1][axis]) / 2) as Point);
      return [
        svg("circle", {cx: head[0], cy: head[1], r: HEAD_RADIUS_M, fill: "var(--seat)", stroke: "var(--ink)", "stroke-width": index === selected.seat ? 3 * thin : thin}),
        ears.map((ear) => svg("circle", {cx: flat(ear)[0], cy: flat(ear)[1], r: 0.016, fill: "var(--ink)"}))
      ];
    }),
    solid.drivers.map(({at, axis, radius}) => {
      const here = flat(at), tip = axis ? flat(at.map((part, along) => part + 0.16 * axis[along]) as Point) : here;
      return [
        svg("line", {x1: here[0], y1: here[1], x2: tip[0], y2: tip[1], stroke: "var(--driver)", "stroke-width": 3 * thin}),
        svg("polygon", {points: disc(at, axis, Math.max(radius, 0.02), flat), fill: "var(--driver)", stroke: "var(--driver)", "stroke-width": 4 * thin, "fill-opacity": 0.45})
      ];
    }),
    // The selected markers come last, so that they are on top where markers overlap.
    [
      ...solid.seats.map(({name}, index) => ({what: "seat" as const, index, box: boxes[index], name})),
      ...solid.drivers.map(({name}, index) => ({what: "driver" as const, index, box: boxes[solid.seats.length + index], name}))
    ]
      .sort((a, b) => Number(selected[a.what] === a.index) - Number(selected[b.what] === b.index))
      .map(({what, index, box, name}) => marker(what, index, box, name)),
    svg("path", {d: `M${left + 0.08} ${top + height - 0.07}h${scaleBar.length_m}m0 -0.02v0.04m${-scaleBar.length_m} -0.04v0.04`, stroke: "var(--ink)", "stroke-width": 1.5 * thin, fill: "none"}),
    svg("text", {x: left + 0.12 + scaleBar.length_m, y: top + height - 0.055, "font-size": size * 0.9, fill: "var(--ink)"}, scaleBar.text),
    svg("text", {x: left + 0.05, y: top + size * 1.3, "font-size": size, fill: "var(--faint)"}, `← ${words.cabin.front}`)
  );
  return root;
}
