"""What the pictures share: type, colours, rendering that gives the same bytes for the same file."""
import contextlib
import io
import re
import textwrap

import matplotlib
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

# Colours that colour-blind readers tell apart: Okabe & Ito, Color Universal Design (2008). Its black is kept for sums,
# its yellow left out: too pale for a line on white.
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
    "svg.fonttype": "none",    # text stays text: searchable, readable aloud
    "svg.hashsalt": "cabinfield",
    "path.simplify": True,
}
DOTS_PER_INCH = 150


@contextlib.contextmanager
def drawing():
    """Our settings and no one else's, for as long as figures are drawn and rendered."""
    with matplotlib.rc_context():
        matplotlib.rcdefaults()
        matplotlib.rcParams.update(SETTINGS)
        yield


def new_figure(width, height):
    figure = Figure(figsize=(width, height), facecolor="white")
    FigureCanvasAgg(figure)
    return figure


def head(figure, title, subtitle, left=0.5):
    """Title of the scene and, below, what the picture shows; inches from the top left corner."""
    width, height = figure.get_size_inches()
    title = textwrap.shorten(title, int(width * 8.5), placeholder=" …") if title else "Untitled scene"
    figure.text(left / width, 1 - 0.22 / height, title, va="top", size=14, weight="bold", color=INK)
    figure.text(left / width, 1 - 0.52 / height, subtitle, va="top", size=9, color=SOFT_INK)


def field_words(results):
    return {"images": "field: mirror images", "free": "free field: no cabin in the scene"}.get(results.method)


def sentence(*parts):
    return "   ·   ".join(part for part in parts if part)


def partner(name):
    """The name with left and right swapped, or None."""
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
    """The library names clip paths after memory addresses; numbered in their order, the bytes repeat."""
    for number, name in enumerate(re.findall(rb'<clipPath id="(\w+)">', svg)):
        svg = svg.replace(b'<clipPath id="%s">' % name, b'<clipPath id="clip%d">' % number)
        svg = svg.replace(b"url(#%s)" % name, b"url(#clip%d)" % number)
    return svg
