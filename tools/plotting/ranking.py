"""The ranking of a study: a row for each leading variant, a column for each measure, with the range of the Monte Carlo samples."""
import math
import textwrap

import numpy as np
from matplotlib.lines import Line2D
from matplotlib.patches import Patch
from matplotlib.ticker import MaxNLocator

from plotting import style

ROW, COLUMN, GAP, HEAD, FOOT, EDGE = 0.3, 2.3, 0.3, 1.2, 0.95, 0.4  # inches
SHARE = 0.85                 # inches; the column that shows how often a variant is best
MOST_COLUMNS, LONGEST_LABEL = 8, 46
BAND = "#A9D3EA"


def rows_of(study):
    """Indices of the leading variants, the best first."""
    if study.leading is None or study.rank is None or study.value is None or not study.measure:
        return np.empty(0, int)
    order = np.argsort(study.rank[study.leading], kind="stable")
    return order[study.rank[study.leading[order]] >= 0]


def available(study):
    return len(rows_of(study)) > 0


def label_of(study, row):
    variant = study.leading[row]
    name = study.label[variant] if study.label else f"variant {study.variant[variant]}"
    text = textwrap.shorten(name, LONGEST_LABEL, placeholder=" …") if len(name) > LONGEST_LABEL else name
    if study.as_drawn is not None and study.as_drawn[variant]:
        text += "  (as drawn)"
    return f"{text}  {study.rank[variant] + 1}"


def draw(study):
    rows = rows_of(study)
    measures = range(min(len(study.measure), MOST_COLUMNS))
    labels = [label_of(study, row) for row in rows]
    names = EDGE + 0.083 * max(len(label) for label in labels)
    with_samples = study.low is not None and study.high is not None and study.median is not None and study.samples
    shares = with_samples and study.times_best is not None
    # Size of the figure.
    width = max(names + len(measures) * (COLUMN + GAP) + (SHARE + GAP if shares else 0) + EDGE, 8.5)
    height = HEAD + ROW * len(rows) + FOOT
    figure = style.new_figure(width, height)
    count = np.count_nonzero(study.rank >= 0)
    style.head(figure, study.title,
               style.sentence(f"The leading {len(rows)} of {count} variants, the best on top",
                              f"{np.count_nonzero(study.rank < 0)} impossible" if np.any(study.rank < 0) else None,
                              f"{study.samples} samples (uncertain values changed at random)" if with_samples else None))
    # One column per measure: sample range and median, then the value itself.
    column = None
    for place, measure in enumerate(measures):
        column = new_column(figure, names + place * (COLUMN + GAP), COLUMN, rows, labels if place == 0 else None)
        unit = study.unit[measure] if study.unit else ""
        column.set_title("\n".join(textwrap.wrap(study.measure[measure].replace("_", " "), 26)[:2]), fontsize=9)
        column.set_xlabel(unit)
        if with_samples:
            low, median, high = (part[rows, measure] for part in (study.low, study.median, study.high))
            column.barh(range(len(rows)), high - low, left=low, height=0.56, color=BAND, zorder=2)
            column.plot(median, range(len(rows)), linestyle="none", marker="|", markersize=10, markeredgewidth=1.4,
                        color=style.INK, zorder=3)
        values = study.value[study.leading[rows], measure]
        within_limits = study.broken[study.leading[rows]] == 0 if study.broken is not None else np.full(len(rows), True)
        for which, fill in ((within_limits, style.BLUE), (~within_limits, "white")):
            column.plot(np.where(which, values, np.nan), range(len(rows)), linestyle="none", marker="o", markersize=6,
                        markerfacecolor=fill, markeredgecolor=style.BLUE, markeredgewidth=1.3, zorder=4)
        column.xaxis.set_major_locator(MaxNLocator(4))
        shown = [values] + ([low, high] if with_samples else [])
        if np.any(np.isfinite(shown)):
            least, most = np.nanmin(shown), np.nanmax(shown)
            room = 0.08 * (most - least) or 0.5
            column.set_xlim(least - room, most + room)
    # Last column: how often each variant is best.
    if shares:
        column = new_column(figure, names + len(measures) * (COLUMN + GAP), SHARE, rows, None)
        share = 100 * study.times_best[rows] / study.samples
        column.barh(range(len(rows)), share, height=0.56, color=style.SKY, edgecolor=style.INK, linewidth=0.7)
        for row, percent in enumerate(share):
            column.annotate(f"{percent:.0f}", (percent, row), (3, 0), textcoords="offset points", va="center", size=7.5)
        column.set_xlim(0, 100 * 1.35)
        column.set_xticks([0, 100])
        column.set_title("best in", fontsize=9)
        column.set_xlabel("% of samples")
    draw_key(figure, with_samples, study.broken is not None and np.any(study.broken[study.leading[rows]] > 0))
    return figure


def new_column(figure, left, across, rows, labels):
    width, height = figure.get_size_inches()
    column = figure.add_axes([left / width, FOOT / height, across / width, ROW * len(rows) / height])
    column.set_ylim(len(rows) - 0.5, -0.5)
    column.set_yticks(range(len(rows)), labels if labels else [""] * len(rows))
    column.tick_params(axis="y", length=0)
    column.spines[["top", "right", "left"]].set_visible(False)
    column.grid(axis="x", color="#E4E4E4", linewidth=0.6)
    column.set_axisbelow(True)
    for row in range(0, len(rows), 2):
        column.axhspan(row - 0.5, row + 0.5, color="#F6F6F6", zorder=0, linewidth=0)
    return column


def draw_key(figure, with_samples, any_broken):
    width, height = figure.get_size_inches()
    dot = dict(linestyle="none", marker="o", markeredgecolor=style.BLUE, markersize=6)
    handles = [Line2D([], [], markerfacecolor=style.BLUE, label="value without uncertainty", **dot)]
    if any_broken:
        handles.append(Line2D([], [], markerfacecolor="white", label="the same, but the variant breaks a limit", **dot))
    if with_samples:
        handles += [Patch(color=BAND, label="10th to 90th percentile of the samples"),
                    Line2D([], [], linestyle="none", marker="|", markersize=10, markeredgewidth=1.4, color=style.INK,
                           label="median of the samples")]
    figure.legend(handles=handles, loc="lower left", ncol=math.ceil(len(handles)), frameon=False,
                  bbox_to_anchor=(EDGE / width, 0.05 / height), borderaxespad=0)
