"""Level over frequency at each seat, one figure per preset: the sum of all channels and each channel alone.

Both inputs play the same (mono) signal; power is averaged over the two ears and over a fraction of an octave. Levels are
dB re 20 uPa (ISO 1683).
"""
import math

import numpy as np
from matplotlib.lines import Line2D
from matplotlib.ticker import FixedFormatter, FixedLocator, MultipleLocator, NullLocator

from plotting import style

REFERENCE_POWER = (20e-6) ** 2  # Pa2, ISO 1683
WINDOW_DB = 50
LOW_HZ, HIGH_HZ = 20.0, 20000.0
TICKS = [20, 50, 100, 200, 500, 1000, 2000, 5000, 10000, 20000]
TICK_TEXTS = ["20", "50", "100", "200", "500", "1 k", "2 k", "5 k", "10 k", "20 k"]
DASHES = {"left": "-", "right": (0, (4, 1.6)), "": (0, (1, 1.2))}
PANEL_HEIGHT, HEAD, KEY_ROW = 4.1, 0.85, 0.22  # inches


def smoothed(frequency, power, fraction):
    """Mean power over 1/fraction octave about each frequency (last axis); at the edges, over the part inside the range."""
    if fraction is None or not spacing_is_fine(frequency, fraction):
        return power
    octave = np.log2(frequency)
    steps = np.diff(octave) * (power[..., 1:] + power[..., :-1]) / 2
    integral = np.concatenate([np.zeros(power.shape[:-1] + (1,)), np.cumsum(steps, axis=-1)], axis=-1)
    low = np.maximum(octave - 0.5 / fraction, octave[0])
    high = np.minimum(octave + 0.5 / fraction, octave[-1])
    flat = integral.reshape(-1, len(frequency))
    spans = np.array([np.interp(high, octave, line) - np.interp(low, octave, line) for line in flat])
    return np.maximum(spans.reshape(power.shape), 0) / (high - low)


def spacing_is_fine(frequency, fraction):
    """True if no gap between frequencies is wider than the smoothing."""
    return len(frequency) > 2 and np.max(np.diff(np.log2(frequency))) <= 1 / fraction


def level_db(power):
    with np.errstate(divide="ignore"):
        return 10 * np.log10(power / REFERENCE_POWER)


def looks(channels):
    """{channel: (colour, dashes)}: a left-right pair shares a colour; left is solid, right dashed, others dotted."""
    found, used = {}, 0
    for name in channels:
        partner = style.partner(name)
        side = next((s for s in ("left", "right") if s in name), "")
        if partner in found:
            colour = found[partner][0]
        else:
            colour = style.SERIES[used % len(style.SERIES)]
            used += 1
        found[name] = (colour, DASHES[side])
    return found


def top_of_window(results, smoothing):
    """Upper end of the level axis, the same for every preset and seat so that pictures can be compared."""
    parts = [part.reshape(-1, len(results.frequency))
             for part in (results.signal_power, results.channel_power) if part is not None]
    power = smoothed(results.frequency, np.concatenate(parts), smoothing)
    heard = power[:, (results.frequency >= LOW_HZ) & (results.frequency <= HIGH_HZ)]
    peak = np.max(heard) if heard.size else 0
    return 5 * math.ceil((level_db(peak) + 1) / 5) if peak > 0 else 100


def draw(results, preset, smoothing):
    seats = len(results.seat)
    columns = min(2, seats)
    rows = math.ceil(seats / columns)
    channels = results.channel if results.channel_power is not None else []
    look = looks(channels)
    silent = [c for c in range(len(channels)) if not np.any(results.channel_power[preset, c])]
    key_columns = 4 if columns == 2 else 2
    key = HEAD + KEY_ROW * key_rows(channels, key_columns)
    width, height = (14 if columns == 2 else 8.5), key + 0.15 + rows * PANEL_HEIGHT
    figure = style.new_figure(width, height)
    fine = smoothing is not None and spacing_is_fine(results.frequency, smoothing)
    volts = f"{results.terminal_voltage:g} V" if results.terminal_voltage is not None else "the scene's voltage"
    style.head(figure, results.title,
               style.sentence(f"Response, preset {results.preset[preset]}", "both inputs (mono)", "mean power of the two ears",
                              f"1/{smoothing}-octave smoothing" if fine else "no smoothing",
                              f"full-scale sine, {volts} before gain", style.method_text(results)))
    top = top_of_window(results, smoothing)
    for seat in range(seats):
        row, column = divmod(seat, columns)
        left, panel_width = column * width / columns + 0.75, width / columns - 1.0
        axes = figure.add_axes([left / width, 1 - (key + (row + 1) * PANEL_HEIGHT - 0.5) / height, panel_width / width,
                                (PANEL_HEIGHT - 0.85) / height])
        frame(axes, top)
        axes.set_title(results.seat[seat])
        lines = []
        for number in range(len(channels)):
            if number in silent:
                continue
            level = level_db(smoothed(results.frequency, results.channel_power[preset, number, seat], smoothing))
            colour, dashes = look[channels[number]]
            plot(axes, results.frequency, level, color=colour, linestyle=dashes, linewidth=1.2, zorder=3)
            lines.append((number, level, colour))
        if results.signal_power is not None:
            total = level_db(smoothed(results.frequency, results.signal_power[preset, seat], smoothing))
            plot(axes, results.frequency, total, color="black", linewidth=2.4, zorder=4, solid_joinstyle="round")
            lines.append((None, total, "black"))
        put_numbers(axes, results.frequency, lines)
    draw_key(figure, results, channels, look, silent, key_columns)
    return figure


def plot(axes, frequency, level, **line):
    """A line, with dots if the file has only a few frequencies."""
    if len(frequency) < 12:
        line.update(marker="o", markersize=4)
    axes.plot(frequency, np.where(np.isfinite(level), level, np.nan), **line)


def frame(axes, top):
    axes.set_xscale("log")
    axes.set_xlim(LOW_HZ, HIGH_HZ)
    axes.set_ylim(top - WINDOW_DB, top)
    axes.xaxis.set_major_locator(FixedLocator(TICKS))
    axes.xaxis.set_major_formatter(FixedFormatter(TICK_TEXTS))
    axes.xaxis.set_minor_locator(NullLocator())
    axes.yaxis.set_major_locator(MultipleLocator(10))
    axes.yaxis.set_minor_locator(MultipleLocator(5))
    axes.grid(which="major", color="#DDDDDD", linewidth=0.7)
    axes.grid(which="minor", axis="y", color="#EEEEEE", linewidth=0.6)
    axes.set_axisbelow(True)
    axes.set_xlabel("Frequency, Hz")
    axes.set_ylabel("Level, dB re 20 µPa")


def put_numbers(axes, frequency, lines):
    """Puts the number of each channel on its line, where the line is furthest from the others."""
    spots = np.geomspace(LOW_HZ * 1.1, HIGH_HZ / 1.1, 120)
    spots = spots[(spots >= frequency[0]) & (spots <= frequency[-1])]
    if not len(spots):
        return
    bottom, top = axes.get_ylim()
    heights = {number: np.interp(np.log(spots), np.log(frequency), np.maximum(level, -300.0))
               for number, level, _ in lines}
    pixels = {number: axes.transData.transform(np.column_stack([spots, height])) for number, height in heights.items()}
    taken = []
    for number, _, colour in lines:
        if number is None:
            continue
        inside = (heights[number] > bottom + 2) & (heights[number] < top - 2)
        if not np.any(inside):
            continue
        own = pixels[number]
        others = [pixels[other][:, 1] for other in pixels if other != number]
        clearance = np.min([np.abs(own[:, 1] - other) for other in others], axis=0) if others else np.full(len(spots), 99.0)
        apart = np.min([np.hypot(*(own - spot).T) for spot in taken], axis=0) if taken else np.full(len(spots), 99.0)
        below_peak = np.max(heights[number][inside]) - heights[number]
        score = np.minimum(clearance, 16) + 2 * np.minimum(apart, 26) - 0.8 * np.maximum(below_peak - 6, 0)
        best = int(np.argmax(np.where(inside, score, -np.inf)))
        taken.append(own[best])
        axes.text(spots[best], heights[number][best], str(number + 1), size=7.5, weight="bold", ha="center", va="center",
                  color=style.INK, zorder=6, clip_on=True,
                  bbox=dict(boxstyle="circle,pad=0.22", facecolor="white", edgecolor=colour, linewidth=1.1))


def key_rows(channels, columns):
    """Rows of the legend: an even number if more than one, so that right is below left."""
    rows = math.ceil(len(channels) / (columns - 1))
    return max(1, rows + rows % 2 if rows > 1 else rows)


def draw_key(figure, results, channels, look, silent, columns):
    width, height = figure.get_size_inches()
    rows = key_rows(channels, columns)
    entries = []
    if results.signal_power is not None:
        entries.append((0, 0, "all channels together", dict(color="black", linewidth=2.4)))
    for number, name in enumerate(channels):
        colour, dashes = look[name]
        text = f"{number + 1}  {name}" + ("  (silent)" if number in silent else "")
        entries.append((number % rows, 1 + number // rows, text, dict(color=colour, linestyle=dashes, linewidth=1.6)))
    step = (width - 1.0) / columns
    for row, column, text, line in entries:
        x, y = (0.5 + column * step) / width, 1 - (HEAD + KEY_ROW * (row + 0.35)) / height
        figure.add_artist(Line2D([x, x + 0.42 / width], [y, y], **line))
        figure.text(x + 0.5 / width, y, text, va="center", size=9)
