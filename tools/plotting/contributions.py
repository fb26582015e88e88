"""What each channel adds at each seat, band by band: the level of the sum with the channel minus the level without it."""
import math

import numpy as np
from matplotlib.lines import Line2D
from matplotlib.ticker import FixedFormatter, FixedLocator, MultipleLocator, NullLocator

from plotting import response, style

LOWEST_DB, HIGHEST_DB = -12.0, 12.0   # limits of the axis; a line beyond them runs along the edge
PANEL, HEAD, KEY_ROW, KEY_COLUMNS = 3.1, 0.9, 0.24, 4   # inches


def shown_variant(study):
    """Index of the leading variant to show: the scene as drawn if it is one of them, else the best."""
    if study.as_drawn is not None:
        drawn = np.flatnonzero(study.as_drawn[study.leading])
        if len(drawn):
            return int(drawn[0])
    return int(np.argmin(study.rank[study.leading])) if study.rank is not None else 0


def available(study):
    known = (study.leading, study.without, study.sum_level, study.band_middle, study.channel, study.seat)
    return all(part is not None and len(part) > 0 for part in known)


def added_db(study, place):
    """[C, S, B] dB; NaN for channels that the variant does not have."""
    return study.sum_level[place][None] - study.without[place]


def draw(study):
    place = shown_variant(study)
    added = added_db(study, place)
    has = np.any(np.isfinite(added), axis=(1, 2))
    channels = [name for name, present in zip(study.channel, has) if present]
    added = np.clip(added[has], LOWEST_DB, HIGHEST_DB)
    look = response.looks(channels)
    seats = len(study.seat)
    columns = min(2, seats)
    rows = math.ceil(seats / columns)
    key = HEAD + KEY_ROW * math.ceil(len(channels) / KEY_COLUMNS)
    width, height = (14 if columns == 2 else 8.5), key + 0.15 + rows * PANEL
    figure = style.new_figure(width, height)
    variant = study.leading[place]
    drawn = study.as_drawn is not None and study.as_drawn[variant]
    name = "the scene as drawn" if drawn else study.label[variant] if study.label else f"variant {study.variant[variant]}"
    style.head(figure, study.title, style.sentence(f"What each channel adds to the sum, {name}", "both inputs (mono)",
                                                   "third octaves", "below 0: cancellation",
                                                   f"clipped at {HIGHEST_DB:.0f} dB"))
    shown = [tick for tick in response.TICKS if study.band_middle[0] / 1.2 <= tick <= study.band_middle[-1] * 1.2]
    tick_texts = [text for tick, text in zip(response.TICKS, response.TICK_TEXTS) if tick in shown]
    # One panel per seat.
    for seat in range(seats):
        row, column = divmod(seat, columns)
        axes = figure.add_axes([(column * width / columns + 0.75) / width, 1 - (key + (row + 1) * PANEL - 0.5) / height,
                                (width / columns - 1.0) / width, (PANEL - 0.85) / height])
        axes.set_xscale("log")
        axes.set_xlim(study.band_middle[0] / 2 ** (1 / 6), study.band_middle[-1] * 2 ** (1 / 6))
        axes.set_ylim(LOWEST_DB, HIGHEST_DB)
        axes.axhspan(LOWEST_DB, 0, color="#F4F0EE", zorder=0, linewidth=0)
        axes.axhline(0, color=style.INK, linewidth=1.0, zorder=2)
        for name_of, level in zip(channels, added[:, seat]):
            colour, dashes = look[name_of]
            axes.plot(study.band_middle, level, color=colour, linestyle=dashes, linewidth=1.7, zorder=3,
                      marker="." if len(study.band_middle) < 40 else None, markersize=5)
        axes.xaxis.set_major_locator(FixedLocator(shown))
        axes.xaxis.set_major_formatter(FixedFormatter(tick_texts))
        axes.xaxis.set_minor_locator(NullLocator())
        axes.yaxis.set_major_locator(MultipleLocator(6))
        axes.yaxis.set_minor_locator(MultipleLocator(3))
        axes.grid(which="major", color="#DDDDDD", linewidth=0.7)
        axes.set_axisbelow(True)
        axes.set_title(study.seat[seat])
        axes.set_xlabel("Frequency, Hz")
        axes.set_ylabel("Adds, dB")
    # The legend.
    step = (width - 1.0) / KEY_COLUMNS
    for number, channel in enumerate(channels):
        row, column = divmod(number, KEY_COLUMNS)
        x, y = (0.5 + column * step) / width, 1 - (HEAD + KEY_ROW * (row + 0.35)) / height
        colour, dashes = look[channel]
        figure.add_artist(Line2D([x, x + 0.42 / width], [y, y], color=colour, linestyle=dashes, linewidth=1.7))
        figure.text(x + 0.5 / width, y, channel, va="center", size=9)
    return figure
