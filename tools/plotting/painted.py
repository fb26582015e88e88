"""One measure all over a surface, with the driver at each of its points: where the hole would be best, how fast it gets worse."""
import numpy as np
from matplotlib.cm import ScalarMappable
from matplotlib.colors import BoundaryNorm
from matplotlib.lines import Line2D
from matplotlib.ticker import MaxNLocator

from plotting import style

MM = 1000.0
MOST_STEPS = 10
COLOURS = "viridis"          # rises evenly in lightness: also read in grey and by colour-blind readers
SPOTS = 5                    # the best points, numbered
WIDEST, NARROWEST, SIDE, HEAD, FOOT, SCALE_ROOM = 11.0, 7.5, 0.85, 0.95, 1.05, 1.35  # inches
# (to the right, upwards, words) by the axis that the surface faces most.
VIEWS = {0: (1, 2, "from behind", "y, mm (vehicle's right on the right)", "z, mm"),
         1: (0, 2, "from the side, front on the left", "x, mm (rearward)", "z, mm"),
         2: (0, 1, "from above, front on the left", "x, mm (rearward)", "y, mm (vehicle's right up)")}


def there(study):
    return study.painted is not None and study.point is not None and bool(np.any(np.isfinite(study.painted)))


def facing(study):
    """The axis along which the surface is seen largest."""
    if study.point_triangle is None or not len(study.point_triangle):
        return int(np.argmin(np.ptp(study.point, axis=0)))
    corner = study.point[study.point_triangle]
    area = np.abs(np.cross(corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0])).sum(axis=0)
    return int(np.argmax(area))


def steps_of(values):
    steps = MaxNLocator(MOST_STEPS).tick_values(np.min(values), np.max(values))
    return steps if len(steps) > 1 else np.array([steps[0] - 0.5, steps[0] + 0.5])


def draw(study):
    right, up, seen, right_words, up_words = VIEWS[facing(study)]
    x, y = MM * study.point[:, right], MM * study.point[:, up]
    known = np.isfinite(study.painted)
    steps = steps_of(study.painted[known])
    norm = BoundaryNorm(steps, 256)
    room = 80
    across, along = np.ptp(x) + 2 * room, np.ptp(y) + 2 * room
    scale = min((WIDEST - SIDE - SCALE_ROOM) / across, 8.0 / along)   # inches per mm
    width, total = max(SIDE + scale * across + SCALE_ROOM, NARROWEST), HEAD + scale * along + FOOT
    figure = style.new_figure(width, total)
    name = (study.judged_by or "a measure").replace("_", " ")
    style.head(figure, study.title,
               style.sentence(f"{name}, {study.painted_unit or ''}".rstrip(", "),
                              f"with the driver at each point of {study.surface}" if study.surface else None, seen))
    axes = figure.add_axes([SIDE / width, FOOT / total, scale * across / width, scale * along / total])
    axes.set_xlim(x.min() - room, x.max() + room)
    axes.set_ylim(y.min() - room, y.max() + room)
    if study.point_triangle is not None:
        whole = study.point_triangle[known[study.point_triangle].all(axis=1)]
        if len(whole):
            axes.tricontourf(x, y, whole, np.where(known, study.painted, steps[0]), levels=steps, cmap=COLOURS, norm=norm)
    axes.scatter(x[known], y[known], s=16, c=study.painted[known], cmap=COLOURS, norm=norm, edgecolors=style.INK,
                 linewidths=0.4, zorder=3)
    axes.plot(x[~known], y[~known], linestyle="none", marker="x", markersize=4, color=style.SOFT_INK, zorder=3)
    if study.point_rank is not None:
        for place in range(SPOTS):
            for point in np.flatnonzero(study.point_rank == place):
                axes.text(x[point], y[point], str(place + 1), size=8, weight="bold", ha="center", va="center", zorder=5,
                          bbox=dict(boxstyle="circle,pad=0.25", facecolor="white", edgecolor=style.VERMILLION, linewidth=1.3))
    axes.set_xlabel(right_words, loc="right")
    axes.set_ylabel(up_words, loc="top")
    axes.spines[["top", "right"]].set_visible(False)
    bar = figure.add_axes([(SIDE + scale * across + 0.35) / width, FOOT / total, 0.18 / width, scale * along / total])
    figure.colorbar(ScalarMappable(norm, COLOURS), cax=bar, ticks=steps)
    bar.set_title(study.painted_unit or "", fontsize=8, loc="center", fontweight="normal")
    handles = [Line2D([], [], linestyle="none", marker="o", markersize=8, markerfacecolor="white",
                      markeredgecolor=style.VERMILLION, label="the best places, in their order")] if study.point_rank is not None else []
    if not known.all():
        handles.append(Line2D([], [], linestyle="none", marker="x", markersize=4, color=style.SOFT_INK, label="no driver can be there"))
    if handles:
        figure.legend(handles=handles, loc="lower left", ncol=2, frameon=False, bbox_to_anchor=(SIDE / width, 0.05 / total),
                      borderaxespad=0)
    return figure
