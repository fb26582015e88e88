#!/usr/bin/env -S /usr/bin/python3 -B
"""Do other people's readers see the same study file? As readers_test.py does, but NaN is "no such value" here.

    study_readers_test.py STUDY.h5 [unittest options]
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
from readers_test import h5py_datasets, ncdump_datasets, xarray_datasets

STUDY = None
FORMAT_PAGE = pathlib.Path(__file__).resolve().parents[2] / "engine" / "study" / "FORMAT.md"


class StudyReaders(unittest.TestCase):
    maxDiff = None

    @classmethod
    def setUpClass(cls):
        cls.expected = h5py_datasets(STUDY)
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
                self.assertTrue(np.array_equal(np.asarray(other_values), values, equal_nan=values.dtype.kind == "f"))

    def test_everything_that_a_study_finds_is_there(self):
        for name in ("/variants/value", "/leading/response", "/contribution/without", "/draws/value_high", "/paint/triangle",
                     "/impossible/why"):
            self.assertIn(name, self.expected)

    def test_nothing_is_infinite_and_where_nothing_is_known_is_nan(self):
        for name, values in finite.numbers(STUDY).items():
            self.assertFalse(values.dtype.kind in "fc" and np.any(np.isinf(values)), name)
        impossible = self.expected["/variants/possible"][0] == 0
        self.assertTrue(np.any(impossible))
        for name in ("points", "value", "value_at_seat"):
            missing = np.isnan(self.expected["/variants/" + name][0])
            self.assertTrue(np.all(missing[impossible]), name)
            self.assertFalse(np.all(missing[~impossible]), name)

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

    def test_triangles_count_points_and_cover_them(self):
        triangle = self.expected["/paint/triangle"][0]
        points = len(self.expected["/paint/value"][0])
        self.assertTrue(np.all((triangle >= 0) & (triangle < points)))
        self.assertGreater(len(np.unique(triangle)), 0.9 * points)

    def test_ncdump(self):
        self.compare(ncdump_datasets(STUDY))

    def test_xarray_with_netcdf4(self):
        self.compare(xarray_datasets(STUDY, "netcdf4", self.groups))

    def test_xarray_with_h5netcdf(self):
        self.compare(xarray_datasets(STUDY, "h5netcdf", self.groups))

    def test_root_attributes(self):
        with h5py.File(STUDY) as study:
            expected = dict(study.attrs)
        self.assertEqual(expected["file_format"], "cabinfield-study")
        self.assertRegex(expected["created"], r"^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ$")
        for engine in ("netcdf4", "h5netcdf"):
            with xarray.open_dataset(STUDY, engine=engine) as opened:
                self.assertEqual(opened.attrs["title"], expected["title"])
                self.assertEqual(list(opened.attrs["format_version"]), [1, 0])

    def test_examples_of_the_format_page_run(self):
        page = FORMAT_PAGE.read_text(encoding="utf-8")
        examples = re.findall(r"```python\n(.*?)```", page, flags=re.S)
        self.assertEqual(len(examples), 2)
        with tempfile.TemporaryDirectory() as folder:
            shutil.copy(STUDY, os.path.join(folder, "S.h5"))
            shown = [subprocess.run([sys.executable, "-c", example], cwd=folder, check=True, capture_output=True, text=True).stdout
                     for example in examples]
            for command in re.findall(r"`((?:ncdump|h5dump) [^`]*S\.h5)`", page):
                if shutil.which(command.split()[0]):
                    subprocess.run(command.split(), cwd=folder, check=True, stdout=subprocess.DEVNULL)
        # The first prints the ranking: every possible variant, the best first.
        rank, label = self.expected["/variants/rank"][0], self.expected["/variants/label"][0]
        lines = shown[0].splitlines()
        self.assertEqual(len(lines), np.count_nonzero(rank >= 0))
        for place, line in enumerate(lines):
            self.assertTrue(line.startswith(f"{place + 1} {label[list(rank).index(place)]} "), line)


if __name__ == "__main__":
    if len(sys.argv) < 2 or sys.argv[1].startswith("-"):
        sys.exit(__doc__)
    STUDY = sys.argv.pop(1)
    unittest.main()
