"""Common to all pictures: type, colours, and rendering that gives the same bytes for the same file."""
import contextlib
import io
import re
import textwrap

import matplotlib
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

# Colours that colour-blind readers can tell apart: Okabe & Ito, Color Universal Design (2008). Sums use its black; its
# yellow is not used because it is too pale for a line on white.
BLUE, VERMILLION, GREEN, PURPLE, ORANGE, SKY = "#0072B2", "#D55E00", "#009E73", "#CC79A7", "#E69F00", "#56B4E9"
SERIES = (BLUE, VERMILLION, GREEN, PURPLE, ORANGE, SKY)
INK, SOFT_INK, FAINT = "#111111", "#555555", "#BDBDBD"

SETTINGS = {
    "font.family": ["DejaVu Sans", "sans-serif"],
    "font.sans-serif": ["DejaVu Sans"],
    "font.size": 9,
    "axes.titlesize": 10,
    "axes.titleweight": "bold",
    "axes.titlelocation": "left",
    "axes.linewidth": 0.8,
    "axes.edgecolor": SOFT_INK,
    "xtick.color": INK,
    "ytick.color": INK,
    "text.parse_math": False,  # a title may hold dollar signs
    "hatch.linewidth": 0.8,
    "svg.fonttype": "none",    # text stays text: searchable, readable by screen readers
    "svg.hashsalt": "cabinfield",
    "path.simplify": True,
}
DOTS_PER_INCH = 150


@contextlib.contextmanager
def drawing():
    """Only the settings above apply while figures are drawn and rendered."""
    with matplotlib.rc_context():
        matplotlib.rcdefaults()
        matplotlib.rcParams.update(SETTINGS)
        yield


def new_figure(width, height):
    figure = Figure(figsize=(width, height), facecolor="white")
    FigureCanvasAgg(figure)
    return figure


def head(figure, title, subtitle, left=0.5):
    """Title of the scene and, below it, what the picture shows; `left` is inches from the left edge."""
    width, height = figure.get_size_inches()
    title = textwrap.shorten(title, int(width * 8.5), placeholder=" …") if title else "Untitled scene"
    figure.text(left / width, 1 - 0.22 / height, title, va="top", size=14, weight="bold", color=INK)
    figure.text(left / width, 1 - 0.52 / height, subtitle, va="top", size=9, color=SOFT_INK)


def method_text(results):
    return {"images": "direct sound and reflections only", "free": "free field: no cabin in the scene"}.get(results.method)


def sentence(*parts):
    return "   ·   ".join(part for part in parts if part)


def partner(name):
    """The name with left and right swapped; None if it has neither."""
    swapped = re.sub(r"left|right", lambda found: "right" if found[0] == "left" else "left", name)
    return swapped if swapped != name else None


def rendered(figure, kind):
    """The picture as bytes, without dates."""
    stream = io.BytesIO()
    if kind == "png":
        figure.savefig(stream, format="png", dpi=DOTS_PER_INCH, metadata={"Software": None})
        return stream.getvalue()
    figure.savefig(stream, format="svg", metadata={"Date": None, "Creator": "cabinfield"})
    return with_numbered_clips(stream.getvalue())


def with_numbered_clips(svg):
    """Numbers the clip paths in order: the library names them after memory addresses, which differ from run to run."""
    for number, name in enumerate(re.findall(rb'<clipPath id="(\w+)">', svg)):
        svg = svg.replace(b'<clipPath id="%s">' % name, b'<clipPath id="clip%d">' % number)
        svg = svg.replace(b"url(#%s)" % name, b"url(#clip%d)" % number)
    return svg
