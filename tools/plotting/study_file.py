"""A study file as plain arrays (layout: engine/study/FORMAT.md); None if the file lacks one, NaN where there is no value."""
from dataclasses import dataclass
from typing import Optional

import numpy as np

from plotting.results_file import Reader, check_indices, printable

FORMAT = "cabinfield-study"
MAJOR_VERSION = 1


@dataclass
class Study:
    title: str
    seat: Optional[list] = None
    measure: Optional[list] = None
    unit: Optional[list] = None                    # of each measure
    variant: Optional[np.ndarray] = None           # [V] variant numbers
    label: Optional[list] = None                   # [V]
    rank: Optional[np.ndarray] = None              # [V] -1 if impossible
    as_drawn: Optional[np.ndarray] = None          # [V] 1 for the scene as drawn
    broken: Optional[np.ndarray] = None            # [V] limits broken
    value: Optional[np.ndarray] = None             # [V, M]
    channel: Optional[list] = None
    band: Optional[list] = None
    leading_index: Optional[np.ndarray] = None     # [L]
    leading: Optional[np.ndarray] = None           # [L] index of each leading variant
    band_middle: Optional[np.ndarray] = None       # [B] Hz
    sum_level: Optional[np.ndarray] = None         # [L, S, B] dB
    without: Optional[np.ndarray] = None           # [L, C, S, B] dB
    samples: Optional[int] = None                  # number of Monte Carlo samples
    times_best: Optional[np.ndarray] = None        # [L]
    low: Optional[np.ndarray] = None               # [L, M] 10th percentile of the samples
    median: Optional[np.ndarray] = None            # [L, M]
    high: Optional[np.ndarray] = None              # [L, M] 90th percentile
    point: Optional[np.ndarray] = None             # [Q, 3] m
    point_triangle: Optional[np.ndarray] = None    # [T, 3]
    point_value: Optional[np.ndarray] = None       # [Q]
    point_rank: Optional[np.ndarray] = None        # [Q] -1 where the driver does not fit
    judged_by: Optional[str] = None
    point_unit: Optional[str] = None
    surface: Optional[str] = None


NAMES = {"seat": "/seat", "measure": "/measure", "unit": "/measures/unit", "label": "/variants/label", "channel": "/channel",
         "band": "/band"}

# member: (path, axes), as in results_file.py.
ARRAYS = {
    "variant": ("/variant", (None,)),
    "rank": ("/variants/rank", ("variant",)),
    "as_drawn": ("/variants/as_drawn", ("variant",)),
    "broken": ("/variants/broken_limits", ("variant",)),
    "value": ("/variants/value", ("variant", "measure")),
    "leading_index": ("/leading_index", (None,)),
    "leading": ("/leading/variant", ("leading_index",)),
    "band_middle": ("/leading/band_middle", ("band",)),
    "sum_level": ("/contribution/sum", ("leading_index", "seat", "band")),
    "without": ("/contribution/without", ("leading_index", "channel", "seat", "band")),
    "times_best": ("/draws/times_best", ("leading_index",)),
    "low": ("/draws/value_low", ("leading_index", "measure")),
    "median": ("/draws/value_median", ("leading_index", "measure")),
    "high": ("/draws/value_high", ("leading_index", "measure")),
    "point": ("/paint/position", (None, 3)),
    "point_triangle": ("/paint/triangle", (None, 3)),
    "point_value": ("/paint/value", ("point",)),
    "point_rank": ("/paint/rank", ("point",)),
}
TEXTS = {"judged_by": "/paint/judged_by", "point_unit": "/paint/unit", "surface": "/paint/surface"}


def is_study(file):
    return file.attrs.get("file_format") == FORMAT


def read_study(path, file):
    """The study in an open file. Raises ResultsError if it is inconsistent."""
    reader = Reader(path, file, nan_allowed=True)
    reader.check_version(MAJOR_VERSION)
    study = Study(title=printable(file.attrs.get("title", "")))
    for member, name in NAMES.items():
        setattr(study, member, reader.texts(name))
    for member, (name, axes) in ARRAYS.items():
        setattr(study, member, reader.numbers(name, axes, study))
    for member, name in TEXTS.items():
        setattr(study, member, (reader.texts(name) or [None])[0])
    count = reader.numbers("/draws/count", (), study)
    study.samples = None if count is None else int(count)
    for name, texts, rows in (("/variants/label", study.label, study.variant), ("/measures/unit", study.unit, study.measure)):
        if texts is not None and (rows is None or len(texts) != len(rows)):
            reader.fail(f"{name} must have one text per entry of its axis")
    check_indices(reader, (("/paint/triangle", study.point_triangle, study.point),))
    check_indices(reader, (("/leading/variant", study.leading, study.variant),))
    return study
