#!/usr/bin/env -S /usr/bin/python3 -B
"""Do other people's readers see the same results file? Values and units of every dataset, not just "it opens".

    readers_test.py RESULTS.h5 [unittest options]

h5py, ncdump (its text is parsed), and xarray with the netcdf4 and the h5netcdf engine read one file; each must give the values,
axes, units and long names that h5py gives. That h5py's values are the ones predicted is the writer's own test.
"""
import os
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile
import unittest

import h5py
import numpy as np
import xarray

import finite

RESULTS = None


def h5py_datasets(path):
    """{path: (values, axes, attributes)} as h5py reads them."""
    found = {}
    with h5py.File(path) as results:
        def visit(name, thing):
            if isinstance(thing, h5py.Dataset):
                values = thing.asstr()[()] if h5py.check_string_dtype(thing.dtype) else thing[()]
                is_axis = thing.attrs.get("CLASS") == b"DIMENSION_SCALE"
                axes = [name] if is_axis else [d[0].name[1:] if len(d) else "" for d in thing.dims]
                found["/" + name] = (np.asarray(values), axes, thing.attrs.get("units"), thing.attrs.get("long_name"))
        results.visititems(visit)
    return found


TOKEN = re.compile(r'"(?:[^"\\]|\\.)*"|//[^\n]*|[{};=,]|[^\s{};=,"]+')
ESCAPE = {"n": "\n", "t": "\t", "r": "\r", '"': '"', "\\": "\\", "'": "'", "f": "\f", "b": "\b", "v": "\v"}


def unquoted(text):
    return re.sub(r"\\(.)", lambda m: ESCAPE.get(m[1], m[1]), text[1:-1], flags=re.S)


def ncdump_datasets(path):
    """The same from the text that ncdump prints (CDL, NetCDF User's Guide, appendix on CDL)."""
    text = subprocess.run(["ncdump", "-p", "9,17", str(path)], check=True, capture_output=True).stdout.decode()
    sizes, axes_of, attributes, values = {}, {}, {}, {}
    group, section, statement = "", None, []
    for match in TOKEN.finditer(text):
        token = match[0]
        if token.startswith("//"):
            continue
        if token == "{":
            if statement[0] == "group:":
                group += "/" + statement[1]
        elif token == "}":
            group = group.rpartition("/")[0]
        elif token in ("dimensions:", "variables:", "data:"):
            section = token
        elif token != ";":
            statement.append(token)
            continue
        elif section == "dimensions:":
            sizes[statement[0]] = int(statement[2])
        elif section == "data:":
            values[f"{group}/{statement[0]}"] = statement[2::2]
        elif "=" in statement:
            name, _, attribute = statement[statement.index("=") - 1].partition(":")
            if statement[-1].startswith('"'):
                attributes[f"{group}/{name}", attribute] = unquoted(statement[-1])
        else:
            name, _, axes = "".join(statement[1:]).partition("(")
            axes_of[f"{group}/{name}"] = axes.rstrip(")").split(",") if axes else []
        statement = []
    found = {}
    for name, axes in axes_of.items():
        # An empty text is printed as "_": it is the fill value of texts (netCDF-C, NC_FILL_STRING).
        is_text = values[name][0].startswith(('"', "_"))
        array = np.array([("" if v == "_" else unquoted(v)) if is_text else float(v) for v in values[name]],
                         dtype=object if is_text else float)
        found[name] = (array.reshape([sizes[a] for a in axes]), axes, attributes.get((name, "units")),
                       attributes.get((name, "long_name")))
    return found


def xarray_datasets(path, engine, groups):
    found = {}
    for group in groups:
        # Names without values of their own come as coordinates of the root group alone.
        with xarray.open_dataset(path, engine=engine, group=group or None) as opened:
            for name, variable in opened.variables.items():
                found[f"{group}/{name}"] = (variable.values, list(variable.dims), variable.attrs.get("units"),
                                            variable.attrs.get("long_name"))
    return found


class Readers(unittest.TestCase):
    maxDiff = None

    @classmethod
    def setUpClass(cls):
        cls.expected = h5py_datasets(RESULTS)
        cls.groups = [""] + sorted({name.rpartition("/")[0] for name in cls.expected} - {""})

    def compare(self, found):
        self.assertEqual(sorted(found), sorted(self.expected))
        for name, (values, axes, units, long_name) in self.expected.items():
            with self.subTest(dataset=name):
                other_values, other_axes, other_units, other_long_name = found[name]
                self.assertEqual(other_axes, axes)
                self.assertEqual(other_units, units)
                self.assertEqual(other_long_name, long_name)
                self.assertEqual(np.shape(other_values), values.shape)
                # Equal to the last bit: seventeen digits tell any two doubles apart (IEEE 754-2019, 5.12.2).
                self.assertTrue(np.array_equal(np.asarray(other_values), values))

    def test_something_was_written(self):
        self.assertIn("/air/sound_speed", self.expected)
        self.assertGreater(len(self.expected), 10)

    def test_every_number_is_finite(self):
        self.assertEqual(finite.not_finite(RESULTS), [])

    def test_every_number_has_units(self):
        for name, (values, axes, units, long_name) in self.expected.items():
            with self.subTest(dataset=name):
                self.assertTrue(long_name)
                if values.dtype.kind in "fi":
                    self.assertTrue(units)
                else:
                    self.assertIn(values.dtype.kind, "OU", "neither number nor text")

    def test_axes_are_attached_everywhere_and_stand_at_the_root(self):
        for name, (values, axes, _, _) in self.expected.items():
            with self.subTest(dataset=name):
                self.assertEqual(len(axes), values.ndim)
                for axis, extent in zip(axes, values.shape):
                    self.assertNotIn("/", axis)
                    self.assertEqual(self.expected["/" + axis][0].shape, (extent,))

    def test_ncdump(self):
        self.compare(ncdump_datasets(RESULTS))

    def test_xarray_with_netcdf4(self):
        self.compare(xarray_datasets(RESULTS, "netcdf4", self.groups))

    def test_xarray_with_h5netcdf(self):
        self.compare(xarray_datasets(RESULTS, "h5netcdf", self.groups))

    def test_root_attributes(self):
        with h5py.File(RESULTS) as results:
            expected = dict(results.attrs)
        self.assertEqual(expected["file_format"], "cabinfield-results")
        self.assertRegex(expected["created"], r"^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ$")
        self.assertEqual(list(expected["format_version"]), [1, 0])
        for engine in ("netcdf4", "h5netcdf"):
            with xarray.open_dataset(RESULTS, engine=engine) as opened:
                self.assertEqual(opened.attrs["title"], expected["title"])
                self.assertEqual(list(opened.attrs["format_version"]), [1, 0])

    def test_examples_of_the_format_page_run(self):
        page = pathlib.Path(__file__).resolve().parents[2] / "engine" / "output" / "FORMAT.md"
        examples = re.findall(r"```python\n(.*?)```", page.read_text(encoding="utf-8"), flags=re.S)
        self.assertEqual(len(examples), 2)
        with tempfile.TemporaryDirectory() as folder:
            shutil.copy(RESULTS, os.path.join(folder, "R.h5"))
            for example in examples:
                subprocess.run([sys.executable, "-c", example], cwd=folder, check=True)
            for command in re.findall(r"`((?:ncdump|h5dump) [^`]*R\.h5)`", page.read_text(encoding="utf-8")):
                subprocess.run(command.split(), cwd=folder, check=True, stdout=subprocess.DEVNULL)


if __name__ == "__main__":
    if len(sys.argv) < 2 or sys.argv[1].startswith("-"):
        sys.exit(__doc__)
    RESULTS = sys.argv.pop(1)
    unittest.main()
