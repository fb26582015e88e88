"""A results file as plain arrays, each checked against its axes; what the file lacks is None."""
import re
from dataclasses import dataclass
from typing import Optional

import h5py
import numpy as np

FORMAT = "cabinfield-results"
MAJOR_VERSION = 1


class ResultsError(Exception):
    """The file cannot be used; the text says why in plain words."""


@dataclass
class Results:
    title: str
    method: Optional[str] = None               # images, free
    wheel_side: Optional[str] = None           # left, right
    terminal_voltage: Optional[float] = None   # V
    frequency: Optional[np.ndarray] = None     # [F] Hz
    seat: Optional[list] = None
    driver: Optional[list] = None
    channel: Optional[list] = None
    preset: Optional[list] = None
    mark: Optional[list] = None
    surface: Optional[list] = None
    vertex: Optional[np.ndarray] = None            # [V, 3] m
    triangle: Optional[np.ndarray] = None          # [T, 3]
    triangle_surface: Optional[np.ndarray] = None  # [T]
    driver_position: Optional[np.ndarray] = None   # [D, 3] m
    driver_axis: Optional[np.ndarray] = None       # [D, 3]
    driver_radius: Optional[np.ndarray] = None     # [D] m
    ear_position: Optional[np.ndarray] = None      # [S, 2, 3] m
    mark_position: Optional[np.ndarray] = None     # [M, 3] m
    path_length: Optional[np.ndarray] = None       # [S, 2, D] m
    arrival: Optional[np.ndarray] = None           # [S, 2, D] s
    direct: Optional[np.ndarray] = None            # [S, 2, D]
    mute: Optional[np.ndarray] = None              # [P, C]
    channel_power: Optional[np.ndarray] = None     # [P, C, S, F] Pa2, mean of the two ears
    signal_power: Optional[np.ndarray] = None      # [P, S, F] Pa2, both inputs alike, mean of the two ears
    drives: Optional[np.ndarray] = None            # [C, D] 1 where the channel feeds the driver
    map_frequency: Optional[np.ndarray] = None     # [G] Hz
    map_surface: Optional[list] = None
    map_point: Optional[np.ndarray] = None         # [Q, 3] m
    map_triangle: Optional[np.ndarray] = None      # [U, 3]
    map_triangle_surface: Optional[np.ndarray] = None  # [U]
    map_of_channel: Optional[np.ndarray] = None    # [C, G, Q, 2] Pa


NAMES = {"seat": "/seat", "driver": "/driver", "channel": "/channel", "preset": "/preset", "mark": "/mark",
         "surface": "/geometry/surface", "map_surface": "/map_surface"}

# member: (path, axes); an axis is a member with names, the frequencies, a fixed number, or None for any number of rows.
ARRAYS = {
    "frequency": ("/frequency", (None,)),
    "vertex": ("/geometry/vertex", (None, 3)),
    "triangle": ("/geometry/triangle", (None, 3)),
    "triangle_surface": ("/geometry/triangle_surface", ("triangle",)),
    "driver_position": ("/geometry/driver_position", ("driver", 3)),
    "driver_axis": ("/geometry/driver_axis", ("driver", 3)),
    "driver_radius": ("/geometry/driver_radius", ("driver",)),
    "ear_position": ("/geometry/ear_position", ("seat", 2, 3)),
    "mark_position": ("/geometry/mark_position", ("mark", 3)),
    "path_length": ("/paths/length", ("seat", 2, "driver")),
    "arrival": ("/paths/arrival", ("seat", 2, "driver")),
    "direct": ("/paths/direct", ("seat", 2, "driver")),
    "map_frequency": ("/map_frequency", (None,)),
    "map_point": ("/map/point", (None, 3)),
    "map_triangle": ("/map/triangle", (None, 3)),
    "map_triangle_surface": ("/map/triangle_surface", ("map_triangle",)),
    "map_of_channel": ("/map/of_channel", ("channel", "map_frequency", "map_point", 2)),
    "drives": ("/settings/drives", ("channel", "driver")),
    "mute": ("/settings/mute", ("preset", "channel")),
}
CHANNEL_RESPONSE = ("/response/channel", ("preset", "channel", "seat", 2, "frequency", 2))
SIGNAL_RESPONSE = ("/response/signal", ("preset", 3, "seat", 2, "frequency", 2))
MONO = 2


def printable(text):
    """One line that every picture format can hold: no control characters, no halves of characters."""
    text = str(text).encode("utf-8", "replace").decode("utf-8")
    return re.sub(r"\s+", " ", re.sub(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ufffe\uffff]", "", text)).strip()


class Reader:
    """Reads parts of one open file, saying which part is wrong."""

    def __init__(self, path, file, nothing_is_nan=False):
        self.path, self.file, self.nothing_is_nan = path, file, nothing_is_nan

    def fail(self, words):
        raise ResultsError(f"{self.path}: {words}")

    def check_version(self, major):
        version = [int(part) for part in np.atleast_1d(self.file.attrs.get("format_version", []))]
        if len(version) != 2 or version[0] != major:
            told = ".".join(map(str, version)) or "unknown"
            self.fail(f"written in format {told}; this program reads format {major}.x")

    def dataset(self, name):
        found = self.file.get(name)
        if found is not None and not isinstance(found, h5py.Dataset):
            self.fail(f"{name} is not a dataset")
        return found

    def texts(self, name):
        dataset = self.dataset(name)
        if dataset is None:
            return None
        if h5py.check_string_dtype(dataset.dtype) is None or dataset.ndim > 1:
            self.fail(f"{name} does not hold names")
        values = dataset.asstr(errors="replace")[()]
        return [printable(value) for value in np.atleast_1d(values)]

    def numbers(self, name, axes, results):
        dataset = self.dataset(name)
        if dataset is None:
            return None
        if dataset.dtype.kind not in "fiu":
            self.fail(f"{name} does not hold numbers")
        if dataset.ndim != len(axes):
            self.fail(f"{name} has {dataset.ndim} dimensions, not {len(axes)}")
        for dimension, axis in enumerate(axes):
            extent = axis
            if isinstance(axis, str):
                along = getattr(results, axis)
                if along is None:
                    self.fail(f"{name} lies along {axis}, which the file lacks")
                extent = len(along)
            if extent is not None and dataset.shape[dimension] != extent:
                self.fail(f"{name} has {dataset.shape[dimension]} entries along {axis}, not {extent}")
        values = dataset[()]
        if np.any(np.isinf(values)) or not self.nothing_is_nan and np.any(np.isnan(values)):
            self.fail(f"{name} holds a value that is not a number")
        return values

    def power(self, layout, results, pick=slice(None)):
        pressure = self.numbers(*layout, results)
        if pressure is None:
            return None
        return np.mean(np.sum(pressure[:, pick] ** 2, axis=-1), axis=-2)


def read_results(path):
    """The results file at `path`. Raises ResultsError for a file that is missing, foreign, cut short or inconsistent."""
    return read_with(path, lambda file: read_open(Reader(path, file)))


def read_with(path, read):
    """What `read` makes of the open file at `path`; ResultsError says in plain words what is wrong with it."""
    try:
        file = h5py.File(path, "r")
    except FileNotFoundError:
        raise ResultsError(f"{path}: no such file") from None
    except PermissionError:
        raise ResultsError(f"{path}: no permission to read it") from None
    except IsADirectoryError:
        raise ResultsError(f"{path}: it is a folder, not a results file") from None
    except (OSError, ValueError):
        raise ResultsError(f"{path}: not an HDF5 file, or cut short") from None
    with file:
        try:
            return read(file)
        except (OSError, RuntimeError, KeyError, ValueError, TypeError, MemoryError) as error:
            raise ResultsError(f"{path}: damaged, part of it cannot be read ({error})") from None


def read_open(reader):
    attributes = reader.file.attrs
    if attributes.get("file_format") != FORMAT:
        reader.fail(f"not a results file of cabinfield (its file_format is not '{FORMAT}')")
    reader.check_version(MAJOR_VERSION)
    results = Results(title=printable(attributes.get("title", "")))
    for member, name in NAMES.items():
        setattr(results, member, reader.texts(name))
    for member, (name, axes) in ARRAYS.items():
        setattr(results, member, reader.numbers(name, axes, results))
    results.method = (reader.texts("/field/method") or [None])[0]
    results.wheel_side = (reader.texts("/scene/wheel_side") or [None])[0]
    voltage = reader.numbers("/source/terminal_voltage", (), results)
    results.terminal_voltage = None if voltage is None else float(voltage)
    results.channel_power = reader.power(CHANNEL_RESPONSE, results)
    results.signal_power = reader.power(SIGNAL_RESPONSE, results, MONO)
    check_triangles(reader, results)
    if results.frequency is not None and (np.any(results.frequency <= 0) or np.any(np.diff(results.frequency) <= 0)):
        reader.fail("/frequency does not rise from above zero")
    return results


def check_triangles(reader, results):
    check_counts(reader, (("/geometry/triangle", results.triangle, results.vertex),
                          ("/geometry/triangle_surface", results.triangle_surface, results.surface)))
    check_counts(reader, (("/map/triangle", results.map_triangle, results.map_point),
                          ("/map/triangle_surface", results.map_triangle_surface, results.map_surface)))


def check_counts(reader, counts):
    """The first may be missing, and then all may."""
    if counts[0][1] is None:
        return
    for name, numbers, rows in counts:
        if numbers is None or rows is None:
            reader.fail(f"{name} or what it counts is missing")
        if numbers.dtype.kind not in "iu" or np.any(numbers < 0) or np.any(numbers >= len(rows)):
            reader.fail(f"{name} points outside what it counts")
