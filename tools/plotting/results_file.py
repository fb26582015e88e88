"""A results file as plain arrays, each checked against its axes; None where the file lacks one."""
import re
from dataclasses import dataclass
from typing import Optional

import h5py
import numpy as np

FORMAT = "cabinfield-results"
MAJOR_VERSION = 1


class ResultsError(Exception):
    """The file cannot be used; the message says why."""


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
    signal_power: Optional[np.ndarray] = None      # [P, S, F] Pa2, both inputs (mono), mean of the two ears
    drives: Optional[np.ndarray] = None            # [C, D] 1 if the channel feeds the driver
    map_frequency: Optional[np.ndarray] = None     # [G] Hz
    map_surface: Optional[list] = None
    map_point: Optional[np.ndarray] = None         # [Q, 3] m
    map_triangle: Optional[np.ndarray] = None      # [U, 3]
    map_triangle_surface: Optional[np.ndarray] = None  # [U]
    map_of_channel: Optional[np.ndarray] = None    # [C, G, Q, 2] Pa


NAMES = {"seat": "/seat", "driver": "/driver", "channel": "/channel", "preset": "/preset", "mark": "/mark",
         "surface": "/geometry/surface", "map_surface": "/map_surface"}

# member: (path, axes); an axis is the name of another member, a fixed length, or None for any length.
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
    """The text as one line for any picture format: no control characters, no unpaired surrogates."""
    text = str(text).encode("utf-8", "replace").decode("utf-8")
    return re.sub(r"\s+", " ", re.sub(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ufffe\uffff]", "", text)).strip()


class Reader:
    """Reads parts of one open file; an error names the part that is wrong."""

    def __init__(self, path, file, nan_allowed=False):
        self.path, self.file, self.nan_allowed = path, file, nan_allowed

    def fail(self, message):
        raise ResultsError(f"{self.path}: {message}")

    def check_version(self, major):
        version = [int(part) for part in np.atleast_1d(self.file.attrs.get("format_version", []))]
        if len(version) != 2 or version[0] != major:
            found = ".".join(map(str, version)) or "unknown"
            self.fail(f"the file has format {found}; this program reads format {major}.x. Use the version that wrote the file.")

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
            self.fail(f"{name} has {dataset.ndim} dimensions; it must have {len(axes)}")
        for dimension, axis in enumerate(axes):
            extent = axis
            if isinstance(axis, str):
                along = getattr(results, axis)
                if along is None:
                    self.fail(f"{name} needs the axis {axis}, which the file lacks")
                extent = len(along)
            if extent is not None and dataset.shape[dimension] != extent:
                self.fail(f"{name} has {dataset.shape[dimension]} entries along {axis}; it must have {extent}")
        values = dataset[()]
        if np.any(np.isinf(values)) or not self.nan_allowed and np.any(np.isnan(values)):
            self.fail(f"{name} holds a value that is not a number")
        return values

    def power(self, layout, results, pick=slice(None)):
        pressure = self.numbers(*layout, results)
        if pressure is None:
            return None
        return np.mean(np.sum(pressure[:, pick] ** 2, axis=-1), axis=-2)


def read_results(path):
    """The results file at `path`. Raises ResultsError if it is missing, foreign, cut short or inconsistent."""
    return read_with(path, lambda file: read_open(Reader(path, file)))


def read_with(path, read):
    """The result of `read` on the open file at `path`. Raises ResultsError if the file cannot be opened or read."""
    try:
        file = h5py.File(path, "r")
    except FileNotFoundError:
        raise ResultsError(f"{path}: no such file") from None
    except PermissionError:
        raise ResultsError(f"{path}: no permission to read the file") from None
    except IsADirectoryError:
        raise ResultsError(f"{path}: this is a folder; give a results file") from None
    except (OSError, ValueError):
        raise ResultsError(f"{path}: not an HDF5 file, or cut short; copy it again or compute it again") from None
    with file:
        try:
            return read(file)
        except (OSError, RuntimeError, KeyError, ValueError, TypeError, MemoryError) as error:
            raise ResultsError(f"{path}: damaged: part of it cannot be read ({error}); copy it again or compute it again") from None


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
        reader.fail("the values of /frequency must be above 0 and rise")
    return results


def check_triangles(reader, results):
    check_indices(reader, (("/geometry/triangle", results.triangle, results.vertex),
                          ("/geometry/triangle_surface", results.triangle_surface, results.surface)))
    check_indices(reader, (("/map/triangle", results.map_triangle, results.map_point),
                          ("/map/triangle_surface", results.map_triangle_surface, results.map_surface)))


def check_indices(reader, indices):
    """Checks that every index is inside its list. If the first of `indices` is missing, all may be."""
    if indices[0][1] is None:
        return
    for name, numbers, rows in indices:
        if numbers is None or rows is None:
            reader.fail(f"{name} or the list that it refers to is missing")
        if numbers.dtype.kind not in "iu" or np.any(numbers < 0) or np.any(numbers >= len(rows)):
            reader.fail(f"{name} holds an index outside its list")
