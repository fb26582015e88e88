// The cabin: drawings to scale, 3-D view, sound paths, sound maps, lowest modes.
import {html, own, picker, svg, table} from "../parts/elements";
import {distanceText, decibelText, heightText, hertzText, sideText, timeText} from "../parts/units";
import {earName, oneEar, Page, Section} from "../parts/page";
import {edgesOf, planesOf} from "./outline";
import {boundsOf, drawCabin} from "./drawing";
import {colours, drawEarHeight, LevelMap, levelMap, mapScale} from "./maps";
import {pathsOf} from "./paths";
import {view3d} from "./view_3d";
import {modes} from "./modes";
import type {Solid} from "./view_3d_types";
import {fill, words} from "../words";

const DEFAULT_RADIUS_M = 0.03;

function solidOf({model}: Page): {solid: Solid; planes: ReturnType<typeof planesOf>} {
  const triangles = model.triangles(), planes = triangles ? planesOf(triangles) : [];
  const axes = model.driverAxes(), radii = model.driverRadii(), ears = model.ears();
  return {
    planes,
    solid: {
      triangles,
      edges: triangles ? edgesOf(triangles, planes) : [],
      drivers: (model.driverPositions() ?? []).map((at, index) => ({name: model.drivers[index], at, axis: axes?.[index] ?? null, radius: radii?.[index] ?? DEFAULT_RADIUS_M})),
      seats: (ears ?? []).map((pair, index) => ({name: model.seats[index], ears: pair}))
    }
  };
}

/** What the maps show: nothing, the selected channels, or one driver. */
const NO_MAP = "none", OF_CHANNELS = "channels";

export const cabinSection: Section = {
  id: "cabin",
  title: words.sections.cabin,
  make(page) {
    const {model, chooser} = page;
    const {solid, planes} = solidOf(page);
    if (solid.drivers.length === 0 && solid.seats.length === 0 && solid.edges.length === 0) return null;
    const pick = (what: "driver" | "seat", index: number) => chooser.set({[what]: index});
    const view = view3d(page, solid, pick);
    const plan = html("figure", {class: "drawing"}), side = html("figure", {class: "drawing"});
    const paths = html("div", {class: "paths"}), between = html("div", {class: "picks"});
    const mapTools = html("div", {class: "picks"}), mapPlace = html("div", {class: "map-place"});
    const low = boundsOf(solid);
    const mapped = model.file.has("/map/point") && model.file.has("/map/triangle");
    const mapHertz = mapped ? Array.from(model.file.numbers("/map_frequency", [null])?.data ?? []) : [];
    let row = 0, mapOf = NO_MAP, mapAt = 0, mapShown = "surfaces", map: LevelMap | null = null;

    /** Redraws plan, side view, the paths in the 3-D view, and the table of paths. */
    function drawPaths(): void {
      const {driver, seat, ear, unit} = chooser.now, one = oneEar(ear);
      if (solid.drivers.length === 0 || solid.seats.length === 0) return;
      const found = pathsOf(model, planes, solid.triangles?.surfaces ?? [], seat, one, driver, row);
      const drawn = found.drawn.filter((path) => path !== null).sort((a, b) => Number(a.selected) - Number(b.selected));
      const bar = unit === "mm" ? {length_m: 0.5, text: "500 mm"} : {length_m: 0.508, text: "20 in"};
      const focused = document.activeElement?.closest(".marker");
      const again = focused && {name: focused.getAttribute("data-name"), from: plan.contains(focused) ? plan : side.contains(focused) ? side : null};
      plan.replaceChildren(drawCabin(solid, "plan", {driver, seat}, drawn, bar, pick), html("figcaption", {}, words.cabin.plan));
      side.replaceChildren(drawCabin(solid, "side", {driver, seat}, drawn, bar, pick), html("figcaption", {}, words.cabin.side));
      again?.from?.querySelector<SVGElement>(`.marker[data-name="${CSS.escape(again.name ?? "")}"]`)?.focus({preventScroll: true});
      underlay();
      view.paths(drawn);
      view.choose(driver, seat);

      // The table: direct sound first, then the reflections; a button in each row highlights its path.
      const angles = model.angles(seat, driver);
      const mark = (index: number, text: string) =>
        html("button", {type: "button", class: `row-pick${index === row ? " chosen" : ""}`, "aria-pressed": String(index === row), click: () => {
          row = index;
          drawPaths();
          paths.querySelectorAll<HTMLElement>(".row-pick")[index]?.focus();
        }}, text);
      const direct = found.direct;
      paths.replaceChildren(
        html("p", {class: "from-to"},
          fill(words.cabin.path, {driver: model.drivers[driver], seat: model.seats[seat], ear: earName(one)}), " ",
          angles && fill(words.cabin.angles, {side: sideText(angles[0]), height: heightText(angles[1]), off: Math.round(angles[2])}), " ",
          direct && !direct.free && words.cabin.blocked),
        table(
          words.cabin.pathsCaption,
          [{head: words.cabin.via}, {head: words.cabin.length, right: true}, {head: words.cabin.extraLength, right: true}, {head: words.cabin.arrival, right: true}, {head: words.cabin.levelRe, right: true}, {head: words.cabin.firstNotch, right: true}],
          [
            ...(direct ? [[mark(0, direct.free ? words.cabin.direct : words.cabin.aroundEdges), distanceText(direct.length_m, unit), "", timeText(direct.arrival_s), decibelText(0), ""]] : []),
            ...found.reflections.map((reflection, index) => [
              [mark(index + 1, reflection.surfaces.join(" → ")), found.drawn[index + 1] ? null : html("small", {}, " ", words.cabin.notDrawn)],
              distanceText(reflection.length_m, unit),
              direct ? distanceText(reflection.length_m - direct.length_m, unit) : "",
              timeText(reflection.arrival_s),
              decibelText(reflection.level_db),
              reflection.first_notch_hz > 0 ? hertzText(reflection.first_notch_hz) : "–"
            ])
          ],
          {class: "paths-table"}
        )
      );
    }

    /** The lists for speaker and seat. */
    function drawPicks(): void {
      const {driver, seat} = chooser.now;
      const options = (names: string[]) => names.map((text, value) => ({value: String(value), text}));
      between.replaceChildren(
        picker(words.cabin.from, options(model.drivers), String(driver), (value) => chooser.set({driver: Number(value)})),
        picker(words.cabin.to, options(model.seats), String(seat), (value) => chooser.set({seat: Number(value)}))
      );
    }

    /** Puts the map at ear height under the plan. */
    function underlay(): void {
      if (!map) return;
      const canvas = html("canvas", {});
      const at = drawEarHeight(map, canvas);
      if (!at) return;
      plan.querySelector("svg")?.prepend(svg("image", {x: at.left, y: at.top, width: at.width, height: at.height, href: canvas.toDataURL(), preserveAspectRatio: "none", class: "map-underlay"}));
    }

    /** Redraws the sound map in the 3-D view, its scale, and then the drawings above it. */
    function drawMap(): void {
      const {channels} = chooser.now;
      map = mapOf === NO_MAP ? null : levelMap(model, mapAt, mapOf === OF_CHANNELS ? {channels: channels.filter((channel) => !model.muted(0, channel))} : {driver: Number(mapOf)});
      const surfaces = map?.triangles.surfaces ?? [];
      view.colour(map && {triangles: map.triangles, colour: colours(map), shown: surfaces.map((name) => (name === "ear height" ? mapShown !== "surfaces" : mapShown !== "earHeight"))});
      const title = map ? fill(words.cabin.mapTitle, {frequency: hertzText(mapHertz[mapAt]), of: mapOf === OF_CHANNELS ? words.cabin.mapOfChannels : model.drivers[Number(mapOf)]}) : "";
      mapPlace.replaceChildren(...(map ? [html("p", {class: "map-title"}, title), mapScale(map, title)] : []));
      drawPaths();
    }

    // The map starts with the selected channels; its controls exist only if the file has maps.
    if (mapped) {
      mapOf = OF_CHANNELS;
      mapTools.append(
        picker(words.cabin.mapShows, [{value: OF_CHANNELS, text: words.cabin.mapOfChannels}, ...model.drivers.map((text, value) => ({value: String(value), text: fill(words.cabin.mapSpeaker, {name: text})})), {value: NO_MAP, text: words.cabin.mapNone}], mapOf, (value) => {
          mapOf = value;
          drawMap();
        }),
        picker(words.cabin.mapFrequency, mapHertz.map((value, index) => ({value: String(index), text: hertzText(value)})), "0", (value) => {
          mapAt = Number(value);
          drawMap();
        }),
        picker(words.cabin.mapSurfaces, (["surfaces", "earHeight", "both"] as const).map((value) => ({value, text: words.cabin.mapShown[value]})), mapShown, (value) => {
          mapShown = value;
          drawMap();
        })
      );
      chooser.on(["channels"], drawMap, plan);
    }
    chooser.on(["driver", "seat", "ear", "unit"], () => {
      row = 0;
      drawPicks();
      drawPaths();
    });
    page.onTheme(drawPaths);
    drawPicks();
    // Without a speaker or a seat there is no path: draw the cabin alone.
    if (solid.drivers.length === 0 || solid.seats.length === 0) {
      const bar = {length_m: 0.5, text: "500 mm"};
      plan.append(drawCabin(solid, "plan", {driver: -1, seat: -1}, [], bar, pick));
      side.append(drawCabin(solid, "side", {driver: -1, seat: -1}, [], bar, pick));
    } else drawMap();
    const tall = (low.high[2] - low.low[2] + 0.54) / (low.high[0] - low.low[0] + 0.44);
    return html(
      "div",
      {style: `--side-share: ${tall.toFixed(3)}`},
      !solid.triangles && html("p", {class: "note"}, words.cabin.noCabin),
      html("div", {class: "drawings"}, plan, side),
      mapped && [mapTools, mapPlace],
      view.element,
      html("h3", {}, words.cabin.pathsHead),
      between,
      paths,
      cutouts(page),
      modes(page)
    );
  }
};

/** Position of each driver: straight-line distances from its centre to the nearest marks. */
function cutouts({model, chooser}: Page): HTMLElement | null {
  const at = model.driverPositions(), marks = model.markPositions();
  if (!at || !marks || marks.length === 0) return null;
  const place = html("div", {});
  function follow(): void {
    const {unit} = chooser.now;
    place.replaceChildren(
      table(
        words.cabin.cutoutsCaption,
        [{head: words.cabin.speaker}, {head: words.cabin.nearest}, {head: words.cabin.second}, {head: words.cabin.third}],
        at!.map((point, driver) => {
          const near = marks!
            .map((mark, index) => ({name: model.marks[index], far: Math.hypot(mark[0] - point[0], mark[1] - point[1], mark[2] - point[2])}))
            .sort((a, b) => a.far - b.far)
            .slice(0, 3);
          return [own(model.drivers[driver]), ...near.map(({name, far}) => [html("b", {}, unit === "mm" ? `${Math.round(far * 1000)} mm` : `${(far / 0.0254).toFixed(1)} in`), ` ${words.cabin.fromMark} `, own(name)])];
        })
      )
    );
  }
  chooser.on(["unit"], follow);
  follow();
  return html("details", {}, html("summary", {}, words.cabin.cutoutsHead), place);
}
