"""The placement map of a study: one measure over a surface, with the speaker at each of its points."""
import numpy as np
from matplotlib.cm import ScalarMappable
from matplotlib.colors import BoundaryNorm
from matplotlib.lines import Line2D
from matplotlib.ticker import MaxNLocator

from plotting import style

MM = 1000.0
MOST_STEPS = 10
COLOURS = "viridis"          # rises evenly in lightness: works in grey and for colour-blind readers
BEST_POINTS = 5              # numbered in the picture
WIDEST, NARROWEST, SIDE, HEAD, FOOT, SCALE_ROOM = 11.0, 7.5, 0.85, 0.95, 1.05, 1.35  # inches
# Coordinates to the right and up, viewing direction, axis labels; by the axis that the surface faces most.
VIEWS = {0: (1, 2, "seen from behind", "y, mm (vehicle's right on the right)", "z, mm"),
         1: (0, 2, "seen from the side, front on the left", "x, mm (rearward)", "z, mm"),
         2: (0, 1, "seen from above, front on the left", "x, mm (rearward)", "y, mm (vehicle's right up)")}


def available(study):
    return study.point_value is not None and study.point is not None and bool(np.any(np.isfinite(study.point_value)))


def facing(study):
    """The axis along which the surface looks largest."""
    if study.point_triangle is None or not len(study.point_triangle):
        return int(np.argmin(np.ptp(study.point, axis=0)))
    corner = study.point[study.point_triangle]
    area = np.abs(np.cross(corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0])).sum(axis=0)
    return int(np.argmax(area))


def steps_of(values):
    steps = MaxNLocator(MOST_STEPS).tick_values(np.min(values), np.max(values))
    return steps if len(steps) > 1 else np.array([steps[0] - 0.5, steps[0] + 0.5])


def draw(study):
    # Size of the figure from the extent of the surface.
    right, up, seen, right_text, up_text = VIEWS[facing(study)]
    x, y = MM * study.point[:, right], MM * study.point[:, up]
    known = np.isfinite(study.point_value)
    steps = steps_of(study.point_value[known])
    norm = BoundaryNorm(steps, 256)
    room = 80
    across, along = np.ptp(x) + 2 * room, np.ptp(y) + 2 * room
    scale = min((WIDEST - SIDE - SCALE_ROOM) / across, 8.0 / along)   # inches per mm
    width, total = max(SIDE + scale * across + SCALE_ROOM, NARROWEST), HEAD + scale * along + FOOT
    figure = style.new_figure(width, total)
    name = (study.judged_by or "a measure").replace("_", " ")
    style.head(figure, study.title,
               style.sentence(f"{name}, {study.point_unit or ''}".rstrip(", "),
                              f"with the speaker at each point of {study.surface}" if study.surface else None, seen))
    # The measure in colours, then the points: those with a value, those without, the best ones.
    axes = figure.add_axes([SIDE / width, FOOT / total, scale * across / width, scale * along / total])
    axes.set_xlim(x.min() - room, x.max() + room)
    axes.set_ylim(y.min() - room, y.max() + room)
    if study.point_triangle is not None:
        whole = study.point_triangle[known[study.point_triangle].all(axis=1)]
        if len(whole):
            axes.tricontourf(x, y, whole, np.where(known, study.point_value, steps[0]), levels=steps, cmap=COLOURS, norm=norm)
    axes.scatter(x[known], y[known], s=16, c=study.point_value[known], cmap=COLOURS, norm=norm, edgecolors=style.INK,
                 linewidths=0.4, zorder=3)
    axes.plot(x[~known], y[~known], linestyle="none", marker="x", markersize=4, color=style.SOFT_INK, zorder=3)
    if study.point_rank is not None:
        for place in range(BEST_POINTS):
            for point in np.flatnonzero(study.point_rank == place):
                axes.text(x[point], y[point], str(place + 1), size=8, weight="bold", ha="center", va="center", zorder=5,
                          bbox=dict(boxstyle="circle,pad=0.25", facecolor="white", edgecolor=style.VERMILLION, linewidth=1.3))
    axes.set_xlabel(right_text, loc="right")
    axes.set_ylabel(up_text, loc="top")
    axes.spines[["top", "right"]].set_visible(False)
    # Colour scale and legend.
    bar = figure.add_axes([(SIDE + scale * across + 0.35) / width, FOOT / total, 0.18 / width, scale * along / total])
    figure.colorbar(ScalarMappable(norm, COLOURS), cax=bar, ticks=steps)
    bar.set_title(study.point_unit or "", fontsize=8, loc="center", fontweight="normal")
    handles = [Line2D([], [], linestyle="none", marker="o", markersize=8, markerfacecolor="white",
                      markeredgecolor=style.VERMILLION, label="best points, in order")] if study.point_rank is not None else []
    if not known.all():
        handles.append(Line2D([], [], linestyle="none", marker="x", markersize=4, color=style.SOFT_INK,
                              label="no speaker possible here"))
    if handles:
        figure.legend(handles=handles, loc="lower left", ncol=2, frameon=False, bbox_to_anchor=(SIDE / width, 0.05 / total),
                      borderaxespad=0)
    return figure
