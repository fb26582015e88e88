#!/usr/bin/env -S /usr/bin/python3 -B
"""Tests tools/plot on a study file: the pictures, and the messages for files that it cannot use.

    plot_study_test.py STUDY.h5 [unittest options]
"""
import os
import pathlib
import shutil
import subprocess
import sys
import tempfile
import unittest

import h5py
import matplotlib.image
import numpy as np

import plot_test
from plot_test import TOOLS, InFolder
from plotting import contributions, placement_map, ranking, results_file, study_file, style

STUDY = None
PICTURES = ("ranking", "contributions", "painted")


def study_of(path):
    return results_file.read_with(path, lambda file: study_file.read_study(path, file))


class Pictures(InFolder):
    @classmethod
    def setUpClass(cls):
        holder = tempfile.TemporaryDirectory()
        cls.addClassCleanup(holder.cleanup)
        cls.made = os.path.join(holder.name, "pictures")
        cls.done = subprocess.run([str(TOOLS / "plot"), STUDY, "-o", cls.made], capture_output=True, text=True)

    def setUp(self):
        super().setUp()
        self.pictures = self.made

    def shown(self, name):
        return [text for text in self.texts(name + ".svg") if text]

    def test_every_picture_is_written_and_not_blank(self):
        self.assertEqual((self.done.returncode, self.done.stderr), (0, ""))
        expected = [os.path.join(self.made, f"{name}.{kind}") for name in PICTURES for kind in ("png", "svg")]
        self.assertEqual(self.done.stdout.splitlines(), expected)
        self.assertEqual(sorted(os.listdir(self.made)), sorted(map(os.path.basename, expected)))
        with h5py.File(STUDY) as file:
            title = file.attrs["title"]
        for name in PICTURES:
            grey = matplotlib.image.imread(os.path.join(self.made, name + ".png"))[..., :3].mean(axis=2)
            self.assertGreater(np.mean(grey < 0.9), 0.01, name)
            self.assertIn(title, self.shown(name))

    def test_ranking_matches_the_file_and_its_order(self):
        shown = self.shown("ranking")
        with h5py.File(STUDY) as file:
            leading = file["leading/variant"][:]
            label, rank = file["variants/label"].asstr()[:], file["variants/rank"][:]
            drawn = file["variants/as_drawn"][:]
            measures, best, draws = file["measure"].asstr()[:], file["draws/times_best"][:], file["draws/count"][()]
        wanted = [f"{label[v]}{'  (as drawn)' if drawn[v] else ''}  {rank[v] + 1}" for v in leading]
        self.assertEqual([text for text in shown if text in wanted], wanted)
        for measure in measures:
            self.assertIn(measure.replace("_", " "), shown)
        for times in best:
            self.assertIn(f"{100 * times / draws:.0f}", shown)
        self.assertTrue(any(f"{np.count_nonzero(rank < 0)} impossible" in text for text in shown))

    def test_ranges_and_dots_of_the_ranking_match_the_file(self):
        study = study_of(STUDY)
        with style.drawing():
            figure = ranking.draw(study)
        column = figure.axes[1]
        bars = column.containers[0].patches
        np.testing.assert_allclose([bar.get_x() for bar in bars], study.low[:, 1])
        np.testing.assert_allclose([bar.get_x() + bar.get_width() for bar in bars], study.high[:, 1])
        dots = np.nansum([line.get_xdata() for line in column.lines if line.get_marker() == "o"], axis=0)
        np.testing.assert_allclose(dots, study.value[study.leading, 1])
        left, right = column.get_xlim()
        self.assertTrue(np.all((study.low[:, 1] > left) & (study.high[:, 1] < right)), "nothing is cut off")

    def test_contributions_match_the_file(self):
        study = study_of(STUDY)
        self.assertTrue(study.as_drawn[study.leading[contributions.shown_variant(study)]], "the scene as drawn")
        with h5py.File(STUDY) as file:
            place = list(file["leading/variant"][:]).index(int(np.argmax(file["variants/as_drawn"][:])))
            adds = file["contribution/sum"][place][None] - file["contribution/without"][place]
            channels = file["channel"].asstr()[:]
        np.testing.assert_array_equal(contributions.added_db(study, place), adds)
        with style.drawing():
            figure = contributions.draw(study)
        lines = [line for line in figure.axes[1].lines if len(line.get_xdata()) == adds.shape[2]]
        self.assertEqual(len(lines), len(channels))
        for line, level in zip(lines, adds[:, 1]):
            np.testing.assert_allclose(line.get_ydata(), np.clip(level, -12, 12))
        shown = self.shown("contributions")
        for name in list(channels) + study.seat:
            self.assertIn(name, shown)

    def test_placement_map_has_a_scale_and_numbered_best_points(self):
        shown = self.shown("painted")
        study = study_of(STUDY)
        self.assertEqual(placement_map.facing(study), 2, "the view of the dash top is from above")
        steps = placement_map.steps_of(study.point_value[np.isfinite(study.point_value)])
        self.assertLessEqual(steps[0], np.nanmin(study.point_value))
        self.assertGreaterEqual(steps[-1], np.nanmax(study.point_value))
        for word in ("1", "5", "x, mm (rearward)", study.point_unit):
            self.assertIn(word, shown)
        self.assertTrue(any("evenness" in text and "dash.top" in text for text in shown))
        with style.drawing():
            axes = placement_map.draw(study).axes[0]
        best = next(text for text in axes.texts if text.get_text() == "1")
        np.testing.assert_allclose(best.get_position(), 1000 * study.point[study.point_rank == 0][0, :2])

    def test_same_file_gives_the_same_bytes(self):
        other = os.path.join(self.folder, "other")
        self.assertEqual(self.plot(STUDY, "-o", other).returncode, 0)
        for name in os.listdir(self.made):
            self.assertEqual(pathlib.Path(self.made, name).read_bytes(), pathlib.Path(other, name).read_bytes(), name)


class HalfKnown(InFolder):
    def setUp(self):
        super().setUp()
        usual, style.DOTS_PER_INCH = style.DOTS_PER_INCH, 30  # these tests only check that the pictures are drawn
        self.addCleanup(setattr, style, "DOTS_PER_INCH", usual)

    def changed(self, change):
        path = os.path.join(self.folder, "changed.h5")
        shutil.copy(STUDY, path)
        with h5py.File(path, "r+") as file:
            change(file)
        return path

    def expect(self, change, written, message):
        done = self.plot(self.changed(change), "-o", self.pictures)
        self.assertEqual(done.returncode, 0, done.stderr)
        self.assertEqual({name.split(".")[0] for name in os.listdir(self.pictures)}, written)
        self.assertIn(message, done.stderr)

    def refuse(self, change, message):
        done = self.plot(self.changed(change), "-o", self.pictures)
        self.assertEqual(done.returncode, 2, done.stderr)
        self.assertIn(message, done.stderr)
        self.assertEqual(len(done.stderr.splitlines()), 1, done.stderr)
        self.assertFalse(os.path.exists(self.pictures))

    def test_without_samples_and_placement_map(self):
        def change(file):
            del file["draws"], file["paint"]
        self.expect(change, {"ranking", "contributions"}, "no placement map: the study has no paint:")

    def test_a_measure_and_some_points_without_values(self):
        def change(file):
            file["variants/value"][:, 0] = np.nan
            for name in ("low", "median", "high"):
                file["draws/value_" + name][:, 0] = np.nan
            file["paint/value"][::3] = np.nan
            file["paint/rank"][::3] = -1
        self.expect(change, set(PICTURES), "")
        self.assertIn("no speaker possible here", self.texts("painted.svg"))

    def test_upright_surfaces_are_drawn_from_the_side_they_face(self):
        for axis, text_of_view in ((0, "from behind"), (1, "from the side")):
            def change(file):
                flat = file["paint/position"][:]
                file["paint/position"][:] = np.roll(flat, axis + 1, axis=1)
                del file["leading"], file["contribution"], file["draws"]
            self.expect(change, {"painted"}, "the study judged no variant")
            self.assertTrue(any(text and text_of_view in text for text in self.texts("painted.svg")), text_of_view)

    def test_same_value_everywhere(self):
        def change(file):
            file["paint/value"][:] = 3.0
        self.expect(change, set(PICTURES), "")

    def test_no_possible_variant(self):
        def change(file):
            for name in ("leading", "contribution", "draws", "paint"):
                del file[name]
        self.refuse(change, "the file has nothing to draw")

    def test_newer_format(self):
        def change(file):
            file.attrs["format_version"] = np.array([2, 0], np.int32)
        self.refuse(change, "format 2.0")

    def test_infinite_value(self):
        def change(file):
            file["variants/value"][0, 0] = np.inf
        self.refuse(change, "/variants/value holds a value that is not a number")

    def test_indices_outside_their_lists(self):
        def leading(file):
            file["leading/variant"][0] = 10 ** 6
        self.refuse(leading, "/leading/variant holds an index outside its list")

        def triangle(file):
            file["paint/triangle"][0, 0] = 10 ** 6
        self.refuse(triangle, "/paint/triangle holds an index outside its list")

    def test_shape_that_does_not_fit(self):
        def change(file):
            values = file["contribution/sum"][..., :-1]
            del file["contribution/sum"]
            file["contribution/sum"] = values
        self.refuse(change, "/contribution/sum has")


if __name__ == "__main__":
    if len(sys.argv) < 2 or sys.argv[1].startswith("-"):
        sys.exit(__doc__)
    STUDY = plot_test.RESULTS = sys.argv.pop(1)
    unittest.main()
