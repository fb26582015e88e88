"""Plan and side view of the cabin to one scale in millimetres: drivers and their directions, heads, marks.

x points rearward, so the front is on the left; the plan view is from above (the vehicle's right is up), the side view from the
vehicle's left.
"""
from dataclasses import dataclass, field

import numpy as np
from matplotlib.collections import LineCollection, PolyCollection
from matplotlib.lines import Line2D
from matplotlib.patches import Circle, FancyArrowPatch, Polygon
from matplotlib.path import Path
from matplotlib.ticker import MultipleLocator

from plotting import labels, outline, style

MM = 1000.0
ARROW_MM = 190.0
USUAL_RADIUS_MM = 40.0     # for a driver whose size is not in the file
RIM_MM = 14.0              # thickness drawn, so that a driver is visible edge-on
HEAD_RADIUS_MM = 87.5      # if both ears have the same position in the file: Duda & Martens 1998
TOGETHER_MM = 25.0         # drivers this close in a view share one label
WIDTH, SIDE, GAP, HEAD, FOOT = 14.0, 0.85, 0.75, 0.95, 0.75  # inches
EDGE_MM = 230.0            # space for names around the cabin


@dataclass
class View:
    """One view: the coordinates to the right and up, and the side of the viewer."""
    title: str
    right: int
    up: int
    depth: int      # coordinate along the line of sight
    toward: float   # +1 if the viewer is at its large end, else -1
    up_text: str

    def flat(self, points):
        return MM * np.asarray(points)[..., [self.right, self.up]]


PLAN = View("Plan view", 0, 1, 2, 1.0, "y, mm (vehicle's right up)")
SIDE_VIEW = View("Side view from the left", 0, 2, 1, -1.0, "z, mm")


@dataclass
class Drawn:
    """The names of a view, and what they must not cover."""
    names: list = field(default_factory=list)     # (text, anchor mm, clearance mm, style)
    symbols: list = field(default_factory=list)   # [2, 2] boxes, mm
    lines: list = field(default_factory=list)     # [2, 2] segments, mm


def extent(results):
    """Lowest and highest corner of everything drawn, m. Parts of blocks outside the shell do not count: they are cut off."""
    parts = [part.reshape(-1, 3) for part in (results.driver_position, results.ear_position, results.mark_position)
             if part is not None]
    if results.triangle is not None:
        bodies = outline.bodies(results)
        hollow = [body for body in bodies.values() if outline.is_hollow(results.vertex, body)]
        parts += [results.vertex[outline.all_triangles(body)].reshape(-1, 3)
                  for body in (([bodies[""]] if "" in bodies else list(bodies.values())) + hollow)]
    points = np.concatenate(parts)
    return points.min(axis=0), points.max(axis=0)


def draw(results):
    low, high = extent(results)
    low, high = MM * low - EDGE_MM, MM * high + EDGE_MM
    scale = min((WIDTH - SIDE - 0.35) / (high[0] - low[0]), 8.0 / max(high[1] - low[1], high[2] - low[2]))  # inches per mm
    heights = [scale * (high[view.up] - low[view.up]) for view in (PLAN, SIDE_VIEW)]
    total = HEAD + sum(heights) + 2 * GAP + FOOT
    figure = style.new_figure(WIDTH, total)
    wheel = f"steering wheel on the {results.wheel_side}" if results.wheel_side else None
    style.head(figure, results.title, style.sentence("Cabin, speakers and seats", wheel, "plan and side view to the same scale"))
    top = HEAD
    for view, height in zip((PLAN, SIDE_VIEW), heights):
        axes = figure.add_axes([SIDE / WIDTH, 1 - (top + 0.2 + height) / total, scale * (high[0] - low[0]) / WIDTH,
                                height / total])
        axes.set_xlim(low[0], high[0])
        axes.set_ylim(low[view.up], high[view.up])
        draw_view(axes, results, view)
        top += height + GAP
    draw_key(figure, results)
    return figure


def draw_view(axes, results, view):
    drawn = Drawn()
    axes.set_title(view.title)
    axes.set_xlabel("x, mm (rearward)", loc="right")
    axes.set_ylabel(view.up_text, loc="top")
    axes.yaxis.set_label_coords(-0.62 / (axes.get_position().width * WIDTH), 1.0)
    for axis in (axes.xaxis, axes.yaxis):
        axis.set_major_locator(MultipleLocator(500))
        axis.set_minor_locator(MultipleLocator(100))
    axes.tick_params(which="both", direction="out")
    axes.spines[["top", "right"]].set_visible(False)
    axes.text(0.008, 0.5, "◂ front", transform=axes.transAxes, color=style.SOFT_INK, size=9, va="center")
    if results.triangle is not None:
        draw_cabin(axes, results, view, drawn)
    if results.mark_position is not None:
        draw_marks(axes, results, view, drawn)
    if results.ear_position is not None:
        draw_heads(axes, results, view, drawn)
    if results.driver_position is not None:
        draw_drivers(axes, results, view, drawn)
    put_names(axes, drawn)


def draw_cabin(axes, results, view, drawn):
    """The shell with its cuts, then the parts of the blocks inside it, from far to near.

    Each is a filled silhouette with its bends as thin lines.
    """
    bodies = outline.bodies(results)
    hollow = [body for body in bodies if body == "" or outline.is_hollow(results.vertex, bodies[body])]

    def nearness(body):
        return view.toward * np.mean(results.vertex[np.unique(outline.all_triangles(bodies[body])), view.depth])

    solid = sorted((body for body in bodies if body not in hollow), key=lambda body: (nearness(body), body))
    inside = None
    if "" in hollow:
        triangles = np.concatenate([outline.all_triangles(bodies[body]) for body in hollow])
        inside = silhouette(view.flat(results.vertex[triangles])), axes.transData
    groups = ([hollow] if hollow else []) + [[body] for body in solid]
    for layer, group in enumerate(groups):
        shell = group is hollow
        flat = view.flat(results.vertex[np.concatenate([outline.all_triangles(bodies[body]) for body in group])])
        rim, fill, bend = (("#2B2B2B", "white", "#D2D2D2") if shell else ("#7A7A7A", "#EFEFEF", "#C2C2C2"))
        zorder = 1 + layer / (len(groups) + 1)
        bends = np.concatenate([outline.outline_edges(results.vertex, triangles) for body in group
                                for triangles in bodies[body].values()])
        segments = distinct(view.flat(bends))
        drawn.lines += list(segments)
        # A wide stroke around every triangle, then all triangles filled: the part of the stroke outside is the silhouette.
        for lines in (PolyCollection(flat, facecolors="none", edgecolors=rim, linewidths=3.2 if shell else 2.0,
                                     joinstyle="round", zorder=zorder),
                      PolyCollection(flat, facecolors=fill, edgecolors=fill, linewidths=0.4, zorder=zorder),
                      LineCollection(segments, colors=bend, linewidths=0.6, zorder=zorder, capstyle="round")):
            axes.add_collection(lines)
            if inside is not None and not shell:
                lines.set_clip_path(*inside)


def silhouette(flat):
    """The area of [T, 3, 2] triangles as one path, all with the same orientation so that overlaps count as filled."""
    across, along = flat[:, 1] - flat[:, 0], flat[:, 2] - flat[:, 0]
    area = across[:, 0] * along[:, 1] - across[:, 1] * along[:, 0]
    turned = np.where((area < 0)[:, None, None], flat[:, ::-1], flat)[np.abs(area) > 1e-6]
    closed = np.concatenate([turned, turned[:, :1]], axis=1)
    codes = np.tile([Path.MOVETO, Path.LINETO, Path.LINETO, Path.CLOSEPOLY], len(closed))
    return Path(closed.reshape(-1, 2), codes)


def distinct(segments):
    """Segments of the view without those of zero length and without duplicates."""
    keys = {}
    for segment in segments:
        ends = sorted(map(tuple, np.round(segment).astype(int)))
        if ends[0] != ends[1]:
            keys.setdefault(tuple(ends), segment)
    return np.array(list(keys.values())).reshape(-1, 2, 2)


def box_about(points, room=0.0):
    return np.array([np.min(points, axis=0) - room, np.max(points, axis=0) + room])


def draw_marks(axes, results, view, drawn):
    points = view.flat(results.mark_position)
    axes.plot(*points.T, linestyle="none", marker="+", markersize=8, markeredgewidth=1.3, color=style.INK, zorder=4)
    for name, point in joined(results.mark, points):
        drawn.names.append((name, point, 14.0, dict(style="italic", size=7.5, color=style.SOFT_INK)))
        drawn.symbols.append(box_about(point[None], 14.0))


def draw_heads(axes, results, view, drawn):
    centres = view.flat(np.mean(results.ear_position, axis=1))
    radii = MM * np.linalg.norm(results.ear_position[:, 1] - results.ear_position[:, 0], axis=1) / 2
    radii = np.where(radii > 1, radii, HEAD_RADIUS_MM)
    for centre, radius in zip(centres, radii):
        axes.add_patch(Circle(centre, radius, facecolor="white", edgecolor=style.INK, linewidth=1.8, zorder=5))
        nose = centre + radius * np.array([[-0.98, 0.2], [-1.28, 0.0], [-0.98, -0.2]])
        axes.add_patch(Polygon(nose, closed=False, facecolor="white", edgecolor=style.INK, linewidth=1.8, zorder=5))
        drawn.symbols.append(box_about(np.vstack([centre - radius, centre + radius, nose])))
    for ears in view.flat(results.ear_position):
        axes.plot(*ears.T, linestyle="none", marker="o", markersize=3, color=style.INK, zorder=6)
    for name, centre in joined(results.seat, centres):
        drawn.names.append((name, centre, float(np.max(radii)), dict(weight="bold", size=8.5)))


def draw_drivers(axes, results, view, drawn):
    points = view.flat(results.driver_position)
    turn = np.linspace(0, 2 * np.pi, 49)
    for index, point in enumerate(points):
        radius = MM * results.driver_radius[index] if results.driver_radius is not None else 0.0
        radius = radius if radius > 1 else USUAL_RADIUS_MM
        if results.driver_axis is None:
            axes.add_patch(Circle(point, radius, facecolor=style.BLUE, edgecolor=style.INK, linewidth=1.0, zorder=7))
            drawn.symbols.append(box_about(point[None], radius))
            continue
        facing = results.driver_axis[index]
        across = np.cross(facing, np.eye(3)[np.argmin(np.abs(facing))])
        across /= np.linalg.norm(across)
        ring = radius * (np.outer(np.cos(turn), across) + np.outer(np.sin(turn), np.cross(facing, across)))
        both = np.concatenate([ring, ring - RIM_MM * facing])
        disc = hull(point + both[:, [view.right, view.up]])
        axes.add_patch(Polygon(disc, facecolor=style.BLUE, edgecolor=style.INK, linewidth=1.4, joinstyle="round", zorder=7))
        drawn.symbols.append(box_about(disc))
        arrow = ARROW_MM * facing[[view.right, view.up]]
        if np.linalg.norm(arrow) < 0.2 * ARROW_MM:
            # Facing the viewer or away: a dot or a cross, as for vectors in drawings.
            coming = view.toward * facing[view.depth] > 0
            axes.plot(*point, marker="o" if coming else "x", markersize=4, markeredgewidth=1.4, color="white", zorder=8)
            continue
        tip = point + arrow
        axes.add_patch(FancyArrowPatch(point, tip, arrowstyle="-|>,head_length=5,head_width=2.6", shrinkA=0, shrinkB=0,
                                       linewidth=1.7, color=style.VERMILLION, zorder=7.5, mutation_scale=1))
        # Three boxes along the arrow: one box around a slanting arrow would keep names too far away.
        for start in (0.0, 1 / 3, 2 / 3):
            drawn.symbols.append(box_about(np.array([point + start * arrow, point + (start + 1 / 3) * arrow]), 6.0))
    for name, point in joined(results.driver, points):
        drawn.names.append((name, point, 22.0, dict(size=8, color=style.INK)))


def hull(points):
    """Corners of the convex hull in order (monotone chain)."""
    def half(ordered):
        chain = []
        for point in ordered:
            while len(chain) > 1:
                (ax, ay), (bx, by) = chain[-1] - chain[-2], point - chain[-2]
                if ax * by - ay * bx > 0:
                    break
                chain.pop()
            chain.append(point)
        return chain[:-1]

    ordered = points[np.lexsort(points.T[::-1])]
    return np.array(half(ordered) + half(ordered[::-1]))


def joined(names, points):
    """[(name, point)]; names at the same point share one label of several lines."""
    groups = []
    for name, point in zip(names, points):
        for group in groups:
            if np.linalg.norm(group[1] - point) < TOGETHER_MM:
                group[0].append(name)
                break
        else:
            groups.append(([name], point))
    return [("\n".join(group), point) for group, point in groups]


def put_names(axes, drawn):
    if not drawn.names:
        return
    figure = axes.figure
    renderer = figure.canvas.get_renderer()
    pixel = 72 / figure.dpi  # points
    texts = [axes.text(*anchor, name, ha="center", va="center", zorder=9, linespacing=1.05, **look)
             for name, anchor, _, look in drawn.names]

    def points_of(millimetres):
        millimetres = np.asarray(millimetres, float)
        return pixel * axes.transData.transform(millimetres.reshape(-1, 2)).reshape(millimetres.shape)

    per_mm = pixel * np.linalg.norm(axes.transData.transform((1, 0)) - axes.transData.transform((0, 0)))
    wanted = []
    for text, (_, anchor, clearance, _) in zip(texts, drawn.names):
        box = text.get_window_extent(renderer)
        wanted.append(labels.Label(points_of(anchor), clearance * per_mm, pixel * np.array([box.width, box.height])))
    bounds = points_of(np.column_stack([axes.get_xlim(), axes.get_ylim()]))
    placed = labels.place(wanted, points_of(np.array(drawn.symbols).reshape(-1, 2, 2)),
                          points_of(np.array(drawn.lines).reshape(-1, 2, 2)), bounds)
    back = axes.transData.inverted()
    for text, (box, leader) in zip(texts, placed):
        text.set_position(back.transform(box.mean(axis=0) / pixel))
        text.set_bbox(dict(boxstyle="square,pad=0.08", facecolor="white", edgecolor="none", alpha=0.8))
        if leader is not None:
            axes.plot(*back.transform(leader / pixel).T, color=style.SOFT_INK, linewidth=0.7, zorder=6.5)


def draw_key(figure, results):
    width, height = figure.get_size_inches()
    size = "cone to scale" if results.driver_radius is not None else "size not in the file"
    handles = []
    if results.driver_position is not None:
        handles.append(Line2D([], [], linestyle="none", marker="o", markersize=9, markerfacecolor=style.BLUE,
                              markeredgecolor=style.INK, label=f"speaker, {size}"))
        handles.append(Line2D([], [], color=style.VERMILLION, linewidth=1.7, marker=">", markevery=[1],
                              label="direction it faces"))
    if results.ear_position is not None:
        handles.append(Line2D([], [], linestyle="none", marker="o", markersize=10, markerfacecolor="white",
                              markeredgecolor=style.INK, markeredgewidth=1.8, label="head, nose forward"))
    if results.mark_position is not None:
        handles.append(Line2D([], [], linestyle="none", marker="+", markersize=9, markeredgewidth=1.3, color=style.INK,
                              label="mark (reference point on the car)"))
    note = [] if results.triangle is not None else ["no cabin in the file"]
    figure.legend(handles=handles, loc="lower left", ncol=4, frameon=False, borderaxespad=0,
                  bbox_to_anchor=(0.5 / width, 0.12 / height))
    if note:
        figure.text(1 - 0.5 / width, 0.2 / height, note[0], ha="right", color=style.SOFT_INK)
