"""First arrival from each speaker at each seat: bars in order of arrival, mean of the two ears, without delays."""
import math

import numpy as np
from matplotlib.patches import Patch

from plotting import style

FREE, ONE_EAR, BLOCKED = range(3)
TEXTS = {FREE: "direct line to both ears", ONE_EAR: "direct line to one ear only",
         BLOCKED: "no direct line: travels around an obstacle"}
LOOKS = {FREE: dict(facecolor=style.BLUE, edgecolor=style.INK),
         ONE_EAR: dict(facecolor="#A9D3EA", edgecolor=style.INK, hatch="///"),
         BLOCKED: dict(facecolor="white", edgecolor=style.INK, hatch="xxx")}
BAR, PANEL_EDGE, HEAD, FOOT = 0.27, 0.75, 0.95, 0.45  # inches


def line_of_sight(results):
    """[S, D] FREE, ONE_EAR or BLOCKED; None if the file does not say."""
    if results.direct is None:
        return None
    free_ears = np.sum(results.direct != 0, axis=1)
    return np.select([free_ears == 2, free_ears == 1], [FREE, ONE_EAR], BLOCKED)


def draw(results):
    seats, drivers = len(results.seat), len(results.driver)
    columns = min(2, seats)
    rows = math.ceil(seats / columns)
    panel = BAR * (drivers + 1) + PANEL_EDGE
    width, height = (13 if columns == 2 else 8.5), HEAD + rows * panel + FOOT
    figure = style.new_figure(width, height)
    style.head(figure, results.title, style.sentence("First arrival from each speaker", "mean of the two ears",
                                                     "travel time only, without delays"))
    arrival_ms = 1000 * np.mean(results.arrival, axis=1)
    length_mm = 1000 * np.mean(results.path_length, axis=1)
    free = line_of_sight(results)
    name_width = 0.35 + 0.075 * max(len(name) for name in results.driver)
    longest = float(np.max(arrival_ms)) or 1.0
    for seat in range(seats):
        row, column = divmod(seat, columns)
        panel_width = width / columns - name_width - 0.35
        axes = figure.add_axes([(column * width / columns + name_width + 0.1) / width,
                                1 - (HEAD + (row + 1) * panel - PANEL_EDGE + 0.3) / height,
                                panel_width / width, (panel - PANEL_EDGE) / height])
        order = np.argsort(arrival_ms[seat], kind="stable")
        bars = axes.barh(range(drivers), arrival_ms[seat][order], height=0.68, linewidth=0.8,
                         facecolor=style.SKY, edgecolor=style.INK)
        for place, (bar, driver) in enumerate(zip(bars, order)):
            if free is not None:
                bar.set(**LOOKS[int(free[seat, driver])])
            # No more precise than a tape measure: 10 mm and 0.1 ms.
            axes.annotate(f"{arrival_ms[seat, driver]:.1f} ms   {10 * round(length_mm[seat, driver] / 10):.0f} mm",
                          (arrival_ms[seat, driver], place), (5, 0), textcoords="offset points", va="center", size=8.5)
        axes.set_yticks(range(drivers), [results.driver[driver] for driver in order])
        axes.set_ylim(drivers - 0.4, -0.6)
        axes.set_xlim(0, longest * (1 + 1.35 / (panel_width - 1.3)))
        axes.set_title(results.seat[seat])
        axes.set_xlabel("Arrival time, ms", loc="right", labelpad=1)
        axes.tick_params(axis="y", length=0)
        axes.spines[["top", "right"]].set_visible(False)
        axes.grid(axis="x", color="#E4E4E4", linewidth=0.6)
        axes.set_axisbelow(True)
    if free is not None:
        figure.legend(handles=[Patch(label=TEXTS[kind], **LOOKS[kind]) for kind in TEXTS], loc="lower left", ncol=3,
                      frameon=False, bbox_to_anchor=(0.4 / width, 0.08 / height), borderaxespad=0)
    return figure
