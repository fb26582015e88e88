"""Sound maps: the level of each channel at ear height and on the surfaces, two pictures per frequency with the same scale."""
import math

import numpy as np
from matplotlib.cm import ScalarMappable
from matplotlib.collections import LineCollection, PolyCollection
from matplotlib.colors import BoundaryNorm
from matplotlib.ticker import MultipleLocator

from plotting import style

MM = 1000.0
REFERENCE_PA = 20e-6
LEVEL = "ear height"
STEP_DB = 3                 # of the colours: finer steps cannot be told apart
MOST_STEPS = 12             # everything further below the loudest level has one colour
QUIET_PA2 = 1e-20
RIM = (0.07, 0.07, 0.07, 1.0)
COLOURS = "viridis"         # rises evenly in lightness: works in grey and for colour-blind readers
COLUMNS, WIDTH, SIDE, HEAD, FOOT, GAP, BETWEEN = 2, 14.0, 0.8, 0.95, 0.6, 0.6, 0.55  # inches


# Direction to the viewer of the surfaces: to the left, behind and above, so that the front is on the left as in the plan.
VIEWER = np.array([0.40, -0.72, 0.57]) / np.linalg.norm([0.40, -0.72, 0.57])
RIGHTWARD = np.cross([0.0, 0.0, 1.0], VIEWER) / np.linalg.norm(np.cross([0.0, 0.0, 1.0], VIEWER))
UPWARD = np.cross(VIEWER, RIGHTWARD)


def available(results):
    return results.map_of_channel is not None and len(level_triangles(results)) > 0


def level_triangles(results):
    """The triangles at ear height; none if the file has no such surface."""
    known = (results.map_surface, results.map_point, results.map_triangle, results.map_triangle_surface)
    if any(part is None for part in known) or LEVEL not in results.map_surface:
        return np.empty((0, 3), int)
    return results.map_triangle[results.map_triangle_surface == results.map_surface.index(LEVEL)]


def levels(results, number):
    """[C, Q] dB of every channel at every point, the steps of the colours, and the channels loud enough for a panel.

    The steps cover the levels at ear height: it is louder beside a driver, but no ear is there.
    """
    power = np.sum(results.map_of_channel[:, number] ** 2, axis=2)
    level = 10 * np.log10(np.maximum(power, QUIET_PA2) / REFERENCE_PA**2)
    at_ears = level[:, np.unique(level_triangles(results))]
    loudest = STEP_DB * math.ceil(at_ears.max() / STEP_DB)
    quietest = max(loudest - STEP_DB * MOST_STEPS, STEP_DB * math.floor(at_ears.min() / STEP_DB))
    steps = np.arange(quietest, loudest + STEP_DB, STEP_DB)
    if len(steps) < 2:  # silence, or the same level everywhere
        steps = np.array([quietest - STEP_DB, quietest])
    heard = [channel for channel in range(len(results.channel)) if at_ears[channel].max() > steps[0]]
    return level, steps, heard or list(range(len(results.channel)))


def draw(results, number):
    """Plan view at ear height at one frequency."""
    used, triangles = np.unique(level_triangles(results), return_inverse=True)
    triangles = triangles.reshape(-1, 3)
    x, y = MM * results.map_point[used, 0], MM * results.map_point[used, 1]
    level, steps, heard = levels(results, number)
    level, quietest = level[:, used], steps[0]
    columns = min(COLUMNS, len(heard))
    rows = math.ceil(len(heard) / columns)
    width = (WIDTH - SIDE - 1.0) / columns - BETWEEN
    height = width * (np.ptp(y) + 200) / (np.ptp(x) + 400)
    total = HEAD + rows * (height + GAP) + FOOT
    figure = style.new_figure(WIDTH, total)
    style.head(figure, results.title,
               style.sentence(f"Level at ear height, {results.map_frequency[number]:g} Hz",
                              "each channel alone, preset as_drawn", "seen from above, front on the left",
                              "white: solid or outside", "red: speakers of the channel"))
    norm = BoundaryNorm(steps, 256, extend="both")
    for place, channel in enumerate(heard):
        row, column = divmod(place, columns)
        axes = figure.add_axes([(SIDE + column * (width + BETWEEN)) / WIDTH,
                                1 - (HEAD + row * (height + GAP) + height) / total, width / WIDTH, height / total])
        axes.tricontourf(x, y, triangles, np.maximum(level[channel], quietest - 1), levels=steps, cmap=COLOURS, norm=norm,
                         extend="both")
        axes.set_title(f"{results.channel[channel]}: {level[channel].min():.0f} to {level[channel].max():.0f} dB")
        outline_of_blocks(axes, results)
        axes.set_aspect("equal")
        axes.set_xlim(x.min() - 200, x.max() + 200)
        axes.set_ylim(y.min() - 100, y.max() + 100)
        axes.xaxis.set_major_locator(MultipleLocator(500))
        axes.yaxis.set_major_locator(MultipleLocator(500))
        if column == 0:
            axes.set_ylabel("y, mm (vehicle's right up)")
        if place + columns >= len(heard):
            axes.set_xlabel("x, mm (rearward)")
        seats(axes, results)
        drivers(axes, results, channel)
    scale_and_note(figure, results, norm, steps, heard, rows * height)
    return figure


def scale_and_note(figure, results, norm, steps, heard, high):
    total = figure.get_size_inches()[1]
    high = min(high, 5)
    bar = figure.add_axes([1 - 0.75 / WIDTH, 1 - (HEAD + high) / total, 0.16 / WIDTH, high / total])
    figure.colorbar(ScalarMappable(norm, COLOURS), cax=bar, ticks=steps)
    bar.set_title("dB SPL", fontsize=8, loc="center", fontweight="normal", pad=14)
    silent = [name for channel, name in enumerate(results.channel) if channel not in heard]
    if silent:
        figure.text(SIDE / WIDTH, 0.12 / total, "Muted, or much quieter at this frequency: " + ", ".join(silent), size=8,
                    color=style.SOFT_INK, wrap=True)


def draw_surfaces(results, number):
    """The cabin seen from outside with coloured surfaces at one frequency; only surfaces whose inner side faces the viewer."""
    corners, seen = results.map_point[results.map_triangle], faces_viewer(results)
    order = np.argsort(corners[seen].mean(axis=1) @ VIEWER, kind="stable")  # farthest first
    triangle, flat = results.map_triangle[seen][order], in_view(corners[seen][order])
    level, steps, heard = levels(results, number)
    norm = BoundaryNorm(steps, 256, extend="both")

    # Size of the figure from the extent of the cabin.
    every = in_view(results.map_point)
    low, high = every.min(axis=0) - 100, every.max(axis=0) + 100
    columns = min(COLUMNS, len(heard))
    rows = math.ceil(len(heard) / columns)
    width = (WIDTH - SIDE - 1.0) / columns - BETWEEN
    height = width * (high[1] - low[1]) / (high[0] - low[0])
    total = HEAD + rows * (height + GAP) + FOOT
    figure = style.new_figure(WIDTH, total)
    style.head(figure, results.title,
               style.sentence(f"Level on the surfaces, {results.map_frequency[number]:g} Hz", "each channel alone, preset as_drawn",
                              "seen from the left, behind and above, front on the left, near walls and roof removed",
                              "red: speakers of the channel"))
    # Each triangle is followed by its sides on the edge of the surface, so that nearer triangles cover both. Its other
    # sides have its own colour, so that no line shows between neighbours of the same colour.
    ends = surface_ends(triangle, results.map_triangle_surface[seen][order])
    shapes, owner, is_rim = [], [], []
    for index, corner in enumerate(flat):
        shapes.append(corner)
        owner.append(index)
        is_rim.append(False)
        for side in np.flatnonzero(ends[index]):
            shapes.append(corner[[side, (side + 1) % 3]])
            owner.append(index)
            is_rim.append(True)
    owner, is_rim = np.array(owner), np.array(is_rim)
    for place, channel in enumerate(heard):
        row, column = divmod(place, columns)
        axes = figure.add_axes([(SIDE + column * (width + BETWEEN)) / WIDTH,
                                1 - (HEAD + row * (height + GAP) + height) / total, width / WIDTH, height / total])
        of_triangle = 10 * np.log10(np.mean(10 ** (level[channel][triangle] / 10), axis=1))
        colours = ScalarMappable(norm, COLOURS).to_rgba(of_triangle)
        axes.add_collection(PolyCollection(shapes, facecolors=colours[owner], capstyle="round", rasterized=True,
                                           edgecolors=np.where(is_rim[:, None], RIM, colours[owner]),
                                           linewidths=np.where(is_rim, 0.9, 0.3)))
        axes.set_title(f"{results.channel[channel]}: {of_triangle.min():.0f} to {of_triangle.max():.0f} dB")
        axes.set_aspect("equal")
        axes.set_xlim(low[0], high[0])
        axes.set_ylim(low[1], high[1])
        axes.set_axis_off()
        seats(axes, results, in_view)
        drivers(axes, results, channel, in_view)
    scale_and_note(figure, results, norm, steps, heard, rows * height)
    return figure


def faces_viewer(results):
    """[U] true for triangles of surfaces that face the viewer."""
    corners = results.map_point[results.map_triangle]
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    return (normal @ VIEWER > 0) & (results.map_triangle_surface != results.map_surface.index(LEVEL))


def in_view(points):
    """Millimetres to the right and up, as the viewer of the surfaces sees them."""
    return MM * np.stack([points @ RIGHTWARD, points @ UPWARD], axis=-1)


def from_above(points):
    return MM * points[..., :2]


def surface_ends(triangle, surface):
    """[U, 3] true if the side from that corner to the next belongs to only one triangle of its surface."""
    sides = np.sort(np.stack([triangle, np.roll(triangle, -1, axis=1)], axis=-1), axis=-1).reshape(-1, 2)
    keys = np.column_stack([np.repeat(surface, 3), sides])
    _, place, times = np.unique(keys, axis=0, return_inverse=True, return_counts=True)
    return (times[place.reshape(-1)] == 1).reshape(-1, 3)


def outline_of_blocks(axes, results):
    """Edge of the map at ear height: a wall, a seat or a block ends it."""
    triangle = level_triangles(results)
    edges = np.sort(np.concatenate([triangle[:, [0, 1]], triangle[:, [1, 2]], triangle[:, [2, 0]]]), axis=1)
    edge, times = np.unique(edges, axis=0, return_counts=True)
    rim = from_above(results.map_point[edge[times == 1]])
    axes.add_collection(LineCollection(rim, colors=style.INK, linewidths=0.8))


def seats(axes, results, flat=from_above):
    if results.ear_position is None:
        return
    for name, ears in zip(results.seat, flat(results.ear_position)):
        middle = ears.mean(axis=0)
        axes.plot(middle[0], middle[1], "o", markersize=11, markerfacecolor="white", markeredgecolor=style.INK)
        axes.annotate(name, middle[:2], (0, 8), textcoords="offset points", ha="center", fontsize=7.5,
                      bbox={"facecolor": "white", "alpha": 0.75, "edgecolor": "none", "pad": 0.8})


def drivers(axes, results, channel, flat=from_above):
    """The speakers that the channel feeds are larger and red."""
    if results.driver_position is None:
        return
    for driver, place in enumerate(flat(results.driver_position)):
        own = results.drives is not None and results.drives[channel, driver]
        axes.plot(place[0], place[1], "D", markersize=7 if own else 3.5, markeredgecolor=style.INK, clip_on=False, zorder=5,
                  markerfacecolor=style.VERMILLION if own else "white")
