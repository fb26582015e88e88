"""Where the sound is: the level of each channel at ear height, one picture a frequency, one scale for all of it."""
import math

import numpy as np
from matplotlib.cm import ScalarMappable
from matplotlib.colors import BoundaryNorm
from matplotlib.ticker import MultipleLocator

from plotting import style

MM = 1000.0
REFERENCE_PA = 20e-6
LEVEL = "ear height"
STEP_DB = 3                 # of the colours: what is just told apart is no finer
MOST_STEPS = 12             # quieter than so many steps below the loudest is one colour
QUIET_PA2 = 1e-20
COLOURS = "viridis"         # rises evenly in lightness: also read in grey and by colour-blind readers
COLUMNS, WIDTH, SIDE, HEAD, FOOT, GAP = 2, 14.0, 0.8, 0.95, 0.6, 0.6  # inches


def there(results):
    return results.map_of_channel is not None and results.map_surface is not None and LEVEL in results.map_surface


def draw(results, number):
    """The picture of one frequency."""
    on_level = results.map_triangle[results.map_triangle_surface == results.map_surface.index(LEVEL)]
    used, triangles = np.unique(on_level, return_inverse=True)
    triangles = triangles.reshape(-1, 3)
    x, y = MM * results.map_point[used, 0], MM * results.map_point[used, 1]
    power = np.sum(results.map_of_channel[:, number][:, used] ** 2, axis=2)
    level = 10 * np.log10(np.maximum(power, QUIET_PA2) / REFERENCE_PA**2)
    loudest = STEP_DB * math.ceil(level.max() / STEP_DB)
    quietest = max(loudest - STEP_DB * MOST_STEPS, STEP_DB * math.floor(level.min() / STEP_DB))
    steps = np.arange(quietest, loudest + STEP_DB, STEP_DB)

    heard = [channel for channel in range(len(results.channel)) if level[channel].max() > quietest]
    silent = [name for channel, name in enumerate(results.channel) if channel not in heard]
    columns = min(COLUMNS, len(heard))
    rows = math.ceil(len(heard) / columns)
    width = (WIDTH - SIDE - 1.0) / columns - 0.35
    height = width * (np.ptp(y) + 200) / (np.ptp(x) + 400)
    total = HEAD + rows * (height + GAP) + FOOT
    figure = style.new_figure(WIDTH, total)
    style.head(figure, results.title,
               style.sentence(f"Level at ear height, {results.map_frequency[number]:g} Hz",
                              "each channel by itself as drawn", "from above, front on the left",
                              "red: its drivers"))
    norm = BoundaryNorm(steps, 256, extend="min")
    for place, channel in enumerate(heard):
        row, column = divmod(place, columns)
        axes = figure.add_axes([(SIDE + column * (width + 0.35)) / WIDTH,
                                1 - (HEAD + row * (height + GAP) + height) / total, width / WIDTH, height / total])
        axes.tricontourf(x, y, triangles, np.maximum(level[channel], quietest - 1), levels=steps, cmap=COLOURS, norm=norm,
                         extend="min")
        axes.set_title(f"{results.channel[channel]}: {level[channel].min():.0f} to {level[channel].max():.0f} dB")
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
    bar = figure.add_axes([1 - 0.75 / WIDTH, 1 - (HEAD + min(rows * height, 5)) / total, 0.16 / WIDTH, min(rows * height, 5) / total])
    figure.colorbar(ScalarMappable(norm, COLOURS), cax=bar, ticks=steps, extend="min")
    if silent:
        figure.text(SIDE / WIDTH, 0.12 / total, "Muted or far quieter at this frequency: " + ", ".join(silent), size=8,
                    color=style.SOFT_INK, wrap=True)
    bar.set_title("dB SPL", fontsize=8, loc="center", fontweight="normal")
    return figure


def seats(axes, results):
    if results.ear_position is None:
        return
    for name, ears in zip(results.seat, MM * results.ear_position):
        middle = ears.mean(axis=0)
        axes.plot(middle[0], middle[1], "o", markersize=11, markerfacecolor="white", markeredgecolor=style.INK)
        axes.annotate(name, middle[:2], (0, 8), textcoords="offset points", ha="center", fontsize=7.5,
                      bbox={"facecolor": "white", "alpha": 0.75, "edgecolor": "none", "pad": 0.8})


def drivers(axes, results, channel):
    """Those that the channel feeds stand out."""
    if results.driver_position is None:
        return
    for driver, place in enumerate(MM * results.driver_position):
        own = results.drives is not None and results.drives[channel, driver]
        axes.plot(place[0], place[1], "D", markersize=7 if own else 3.5, markeredgecolor=style.INK, clip_on=False, zorder=5,
                  markerfacecolor=style.VERMILLION if own else "white")
