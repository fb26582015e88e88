#!/usr/bin/env -S /usr/bin/python3 -B
"""Tests tools/plot on a results file: the pictures, and the messages for files that it cannot use.

    plot_test.py RESULTS.h5 [unittest options]
"""
import contextlib
import io
import os
import pathlib
import shutil
import subprocess
import sys
import tempfile
import types
import unittest
import xml.etree.ElementTree as ElementTree

import h5py
import matplotlib.image
import numpy as np

TOOLS = pathlib.Path(__file__).resolve().parents[2] / "tools"
sys.path.insert(0, str(TOOLS))

from plotting import arrivals, cabin, command, labels, maps, outline, response, results_file, style  # noqa: E402

RESULTS = None
SVG = "{http://www.w3.org/2000/svg}"


class InFolder(unittest.TestCase):
    def setUp(self):
        holder = tempfile.TemporaryDirectory()
        self.addCleanup(holder.cleanup)
        self.folder = holder.name
        self.pictures = os.path.join(self.folder, "pictures")

    def plot(self, *arguments):
        """Runs the command in this process: the libraries load once, and an uncaught exception fails the test."""
        out, err = io.StringIO(), io.StringIO()
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            try:
                status = command.main(list(arguments))
            except SystemExit as end:
                status = end.code
        return types.SimpleNamespace(returncode=status, stdout=out.getvalue(), stderr=err.getvalue())

    def changed(self, change):
        """A copy of the results file after `change(file)`."""
        path = os.path.join(self.folder, "changed.h5")
        shutil.copy(RESULTS, path)
        with h5py.File(path, "r+") as file:
            change(file)
        return path

    def texts(self, name):
        tree = ElementTree.parse(os.path.join(self.pictures, name))
        return [text.text for text in tree.iter(SVG + "text")]


class Pictures(InFolder):
    @classmethod
    def setUpClass(cls):
        holder = tempfile.TemporaryDirectory()
        cls.addClassCleanup(holder.cleanup)
        cls.made = os.path.join(holder.name, "pictures")
        cls.done = subprocess.run([str(TOOLS / "plot"), RESULTS, "-o", cls.made], capture_output=True, text=True)

    def setUp(self):
        super().setUp()
        self.pictures = self.made

    def test_every_picture_is_written_and_not_blank(self):
        self.assertEqual((self.done.returncode, self.done.stderr), (0, ""))
        with h5py.File(RESULTS) as file:
            presets = list(file["preset"].asstr()[:])
            title = file.attrs["title"]
            of_maps = [f"map_{frequency:g}_Hz{part}" for frequency in file["map_frequency"][:] for part in ("", "_surfaces")]
        names = ["cabin", "arrivals"] + command.file_names(presets) + of_maps
        expected = [os.path.join(self.made, f"{name}.{kind}") for name in names for kind in ("png", "svg")]
        self.assertEqual(self.done.stdout.splitlines(), expected)
        self.assertEqual(sorted(os.listdir(self.made)), sorted(map(os.path.basename, expected)))
        for name in names:
            grey = matplotlib.image.imread(os.path.join(self.made, name + ".png"))[..., :3].mean(axis=2)
            self.assertGreater(np.mean(grey < 0.9), 0.01, name)
            self.assertGreater(grey.shape[1], 1000)
            # The title is in the picture letter for letter, with dollar signs and quotes.
            self.assertIn(title[:40], " ".join(filter(None, self.texts(name + ".svg"))))
            self.assertNotIn("dc:date", pathlib.Path(self.made, name + ".svg").read_text(encoding="utf-8"))

    def test_same_file_gives_the_same_bytes(self):
        other = os.path.join(self.folder, "other")
        self.assertEqual(self.plot(RESULTS, "-o", other).returncode, 0)
        for name in os.listdir(self.made):
            self.assertEqual(pathlib.Path(self.made, name).read_bytes(), pathlib.Path(other, name).read_bytes(), name)

    def test_arrivals_match_the_file(self):
        shown = self.texts("arrivals.svg")
        with h5py.File(RESULTS) as file:
            length = file["paths/length"][:].mean(axis=1)
            arrival = file["paths/arrival"][:].mean(axis=1)
            names = set(file["driver"].asstr()[:])
        self.assertTrue(names <= set(shown))
        for ms, mm in zip(1000 * arrival.ravel(), 1000 * length.ravel()):
            self.assertTrue(any(text and text.startswith(f"{ms:.1f} ms") and text.endswith(f" {10 * round(mm / 10):.0f} mm")
                                for text in shown), (ms, mm))

    def test_cabin_shows_every_name_in_both_views(self):
        shown = " ".join(text for text in self.texts("cabin.svg") if text)
        with h5py.File(RESULTS) as file:
            for axis in ("driver", "seat", "mark"):
                for name in file[axis].asstr()[:] if axis in file else []:
                    self.assertGreaterEqual(shown.count(name), 2, name)

    def test_maps_show_their_frequency_and_scale(self):
        for part, text in (("", "Level at ear height, 40 Hz"), ("_surfaces", "Level on the surfaces, 40 Hz")):
            shown = " ".join(text for text in self.texts(f"map_40_Hz{part}.svg") if text)
            for word in (text, "dB SPL", "red: speakers of the channel"):
                self.assertIn(word, shown)

    def test_smoothing_is_an_option(self):
        self.pictures = os.path.join(self.folder, "smoother")
        self.assertEqual(self.plot(RESULTS, "-o", self.pictures, "--smoothing", "1/3").returncode, 0)
        name = next(name for name in os.listdir(self.pictures) if name.startswith("response") and name.endswith("svg"))
        self.assertTrue(any("1/3-octave" in text for text in self.texts(name) if text))
        for wrong in ("0", "1/0", "half", "1/100", "-3"):
            done = self.plot(RESULTS, "-o", self.pictures, "--smoothing=" + wrong)
            self.assertEqual(done.returncode, 2)
            self.assertIn("1/1 to 1/48", done.stderr)


class HalfKnown(InFolder):
    def setUp(self):
        super().setUp()
        usual, style.DOTS_PER_INCH = style.DOTS_PER_INCH, 30  # these tests only check that the pictures are drawn
        self.addCleanup(setattr, style, "DOTS_PER_INCH", usual)

    def expect(self, change, written, message, maps_left_out=True):
        def change_without_maps(file):
            if maps_left_out:
                del file["map"]
            change(file)

        done = self.plot(self.changed(change_without_maps), "-o", self.pictures)
        self.assertEqual(done.returncode, 0, done.stderr)
        self.assertNotIn("Traceback", done.stderr)
        stems = {name.split("_")[0].split(".")[0] for name in os.listdir(self.pictures)}
        self.assertEqual(stems, written)
        self.assertIn(message, done.stderr)

    def test_maps_alone(self):
        def change(file):
            for name in ("geometry", "paths", "response"):
                del file[name]

        self.expect(change, {"map"}, "no cabin picture", maps_left_out=False)

    def test_silent_maps_at_ear_height_only(self):
        def change(file):
            for name in ("geometry", "paths", "response"):
                del file[name]
            level = list(file["map_surface"].asstr()[:]).index("ear height")
            file["map/triangle_surface"][:] = level
            file["map/of_channel"][:] = 0

        self.expect(change, {"map"}, "no cabin picture", maps_left_out=False)
        self.assertFalse(any("surfaces" in name for name in os.listdir(self.pictures)))

    def test_maps_without_ear_height(self):
        def change(file):
            del file["response"]
            file["map/triangle_surface"][:] = list(file["map_surface"].asstr()[:]).index("floor")

        self.expect(change, {"cabin", "arrivals"}, "no response pictures", maps_left_out=False)

    def test_without_a_cabin(self):
        def change(file):
            for name in ("vertex", "triangle", "triangle_surface", "surface"):
                del file["geometry/" + name]
            del file["response"]
        self.expect(change, {"cabin", "arrivals"}, "")
        self.assertIn("no cabin in the file", self.texts("cabin.svg"))

    def test_without_sizes_aims_and_marks(self):
        def change(file):
            for name in ("geometry/driver_radius", "geometry/driver_axis", "geometry/mark_position", "paths/direct", "response"):
                del file[name]
        self.expect(change, {"cabin", "arrivals"}, "")

    def test_without_responses(self):
        def change(file):
            del file["response"]
        self.expect(change, {"cabin", "arrivals"}, "no response pictures")

    def test_with_the_sum_alone_and_with_channels_alone(self):
        for part in ("channel", "signal"):
            def change(file):
                del file["response/" + part], file["geometry"], file["paths"]
            self.expect(change, {"response"}, "")

    def test_without_paths_or_positions(self):
        def change(file):
            del file["paths"], file["geometry"]
        self.expect(change, {"response"}, "no cabin picture")

    def test_two_frequencies(self):
        def change(file):
            for name in ("response/channel", "response/signal", "frequency"):
                values = file[name][..., 200:202, :] if file[name].ndim > 1 else file[name][200:202]
                del file[name]
                file[name] = values
        self.expect(change, {"cabin", "arrivals", "response"}, "")

    def test_preset_names_become_valid_file_names(self):
        self.assertEqual(command.file_names(["a/b", "a b", "../..", "A_B", "Tür"]),
                         ["response_a_b", "response_a_b_2", "response_preset", "response_A_B_2_2", "response_Tür"])

    def test_title_of_control_characters_and_quotes(self):
        for title in ("bell\x07 \x1b[31m \"quoted\" <b>&amp; $\\frac{1}{0$ \U0001f697", "", "x" * 5000, "a\nb"):
            def change(file):
                file.attrs["title"] = title
                del file["response"], file["paths"]
            self.expect(change, {"cabin"}, "")
            ElementTree.parse(os.path.join(self.pictures, "cabin.svg"))


class Refused(InFolder):
    def refuse(self, path, message):
        done = self.plot(path, "-o", self.pictures)
        self.assertEqual(done.returncode, 2, done.stderr)
        self.assertIn(message, done.stderr)
        self.assertEqual(len(done.stderr.splitlines()), 1, done.stderr)
        self.assertEqual(done.stdout, "")
        self.assertFalse(os.path.exists(self.pictures))

    def written(self, content):
        path = os.path.join(self.folder, "bad.h5")
        pathlib.Path(path).write_bytes(content)
        return path

    def test_missing_folder_empty_text(self):
        self.refuse(os.path.join(self.folder, "none.h5"), "no such file")
        self.refuse(self.folder, "folder")
        self.refuse(self.written(b""), "not an HDF5 file, or cut short")
        self.refuse(self.written(b"cabinfield: 1\n" * 100), "not an HDF5 file, or cut short")

    def test_cut_short_anywhere(self):
        whole = pathlib.Path(RESULTS).read_bytes()
        for share in (0.001, 0.1, 0.5, 0.9, 0.999):
            self.refuse(self.written(whole[:int(len(whole) * share)]), "cut short")

    def test_overwritten_inside(self):
        whole = bytearray(pathlib.Path(RESULTS).read_bytes())
        with h5py.File(RESULTS) as file:
            dataset = file["response/signal"]
            self.assertIsNotNone(dataset.chunks, "the test needs a compressed dataset")
            start = dataset.id.get_chunk_info(0).byte_offset
        whole[start:start + 200] = b"\xff" * 200
        self.refuse(self.written(bytes(whole)), "damaged")

    def test_as_a_program(self):
        done = subprocess.run([str(TOOLS / "plot"), os.devnull, "-o", self.pictures], capture_output=True, text=True)
        self.assertEqual((done.returncode, len(done.stderr.splitlines()), done.stdout), (2, 1, ""))

    def test_foreign_file(self):
        path = os.path.join(self.folder, "foreign.h5")
        with h5py.File(path, "w") as file:
            file["data"] = [1, 2, 3]
        self.refuse(path, "not a results file")

    def test_newer_format(self):
        def change(file):
            file.attrs["format_version"] = np.array([2, 0], np.int32)
        self.refuse(self.changed(change), "format 2.0")

    def test_nothing_to_draw(self):
        def change(file):
            del file["paths"], file["geometry"], file["response"], file["map"]
        self.refuse(self.changed(change), "the file has nothing to draw")

    def test_shape_that_does_not_fit(self):
        def change(file):
            values = file["paths/arrival"][..., :-1]
            del file["paths/arrival"]
            file["paths/arrival"] = values
        self.refuse(self.changed(change), "/paths/arrival has")

    def test_axis_that_is_missing(self):
        self.refuse(self.changed(lambda file: file.pop("driver")), "which the file lacks")

    def test_value_that_is_not_a_number(self):
        def change(file):
            file["paths/arrival"][0, 0, 0] = np.nan
        self.refuse(self.changed(change), "/paths/arrival holds a value that is not a number")

    def test_triangle_with_an_index_outside(self):
        def change(file):
            file["geometry/triangle"][0, 0] = 10 ** 6
        self.refuse(self.changed(change), "/geometry/triangle holds an index outside its list")

    def test_map_triangle_with_an_index_outside(self):
        def change(file):
            file["map/triangle"][0, 0] = 10 ** 6
        self.refuse(self.changed(change), "/map/triangle holds an index outside its list")

    def test_map_without_points(self):
        self.refuse(self.changed(lambda file: file["map"].pop("point")), "/map/")

    def test_wrong_data_type(self):
        def change(file):
            del file["seat"]
            file["seat"] = [1, 2, 3, 4]
        self.refuse(self.changed(change), "/seat does not hold names")

    def test_output_folder_that_is_a_file(self):
        path = self.written(b"mine")
        done = self.plot(RESULTS, "-o", path)
        self.assertEqual(done.returncode, 3)
        self.assertIn("cannot write", done.stderr)
        self.assertEqual(pathlib.Path(path).read_bytes(), b"mine")


class Drawing(unittest.TestCase):
    def test_levels_re_20_micropascal(self):
        # 1 Pa is 93.98 dB: ISO 1683 reference value 20 uPa, recomputed.
        self.assertAlmostEqual(float(response.level_db(np.array(1.0))), 93.9794, places=4)

    def test_smoothing_keeps_a_flat_response_and_the_power_of_a_peak(self):
        frequency = 10 * 2 ** (np.arange(530) / 48)
        np.testing.assert_allclose(response.smoothed(frequency, np.full((2, 530), 3.0), 12), 3.0, rtol=1e-12)
        peak = np.zeros(530)
        peak[265] = 1.0
        spread = response.smoothed(frequency, peak, 12)
        self.assertAlmostEqual(np.sum(spread), 1.0, places=9)
        # A twelfth of an octave is four steps of the grid: the peak spreads over at most that plus its own width.
        self.assertLessEqual(np.count_nonzero(spread > 1e-12), 6)

    def test_smoothing_leaves_sparse_lists_alone(self):
        power = np.array([1.0, 4.0, 9.0])
        self.assertTrue(np.array_equal(response.smoothed(np.array([60.0, 120.0, 240.0]), power, 12), power))

    def test_cube_has_twelve_edges(self):
        vertex = np.array([[x, y, z] for x in (0, 1) for y in (0, 1) for z in (0, 1)], float)
        quads = [(0, 1, 3, 2), (4, 5, 7, 6), (0, 1, 5, 4), (2, 3, 7, 6), (0, 2, 6, 4), (1, 3, 7, 5)]
        triangle = np.array([t for q in quads for t in ((q[0], q[1], q[2]), (q[0], q[2], q[3]))])
        edges = np.concatenate([outline.outline_edges(vertex, triangle[2 * i:2 * i + 2]) for i in range(6)])
        self.assertEqual(len(cabin.distinct(edges[..., :2] * 1000)), 4)
        self.assertEqual(len({tuple(sorted(map(tuple, edge))) for edge in edges}), 12)
        # One surface around a corner: the bend is an edge of both planes, the diagonals are not edges.
        bent = outline.outline_edges(vertex, triangle)
        self.assertEqual(len({tuple(sorted(map(tuple, edge))) for edge in bent}), 12)

    def test_surface_ends_are_the_sides_of_only_one_triangle(self):
        triangle = np.array([[0, 1, 2], [2, 1, 3], [3, 1, 4]])
        np.testing.assert_array_equal(maps.surface_ends(triangle, np.array([0, 0, 1])),
                                      [[True, False, True], [False, True, True], [True, True, True]])

    def test_viewer_of_the_surfaces_sees_the_front_on_the_left_and_the_roof_on_top(self):
        rearward, upward = maps.in_view(np.array([[1.0, 0, 0], [0, 0, 1.0]]))
        self.assertGreater(rearward[0], 500)
        self.assertGreater(upward[1], 500)
        self.assertAlmostEqual(upward[0], 0)

    def test_orientation_separates_a_cut_from_a_block(self):
        vertex = np.array([[x, y, z] for x in (5, 6) for y in (5, 6) for z in (5, 6)], float)
        quads = [(0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3)]
        outward = np.array([t for q in quads for t in ((q[0], q[1], q[2]), (q[0], q[2], q[3]))])
        self.assertFalse(outline.is_hollow(vertex, {"block.all": outward}))
        self.assertTrue(outline.is_hollow(vertex, {"cut.all": outward[:, ::-1]}))

    def test_no_line_between_neighbouring_triangles_of_different_size(self):
        # A unit square and, beside it, two half-high ones: a vertex lies in the middle of the shared side.
        vertex = np.array([[0, 0, 0], [1, 0, 0], [1, 1, 0], [0, 1, 0], [1, 0.5, 0], [2, 0, 0], [2, 0.5, 0], [2, 1, 0]], float)
        triangle = np.array([[0, 1, 2], [0, 2, 3], [1, 5, 6], [1, 6, 4], [4, 6, 7], [4, 7, 2]])
        edges = outline.outline_edges(vertex, triangle)
        self.assertEqual(np.round(np.sum(np.linalg.norm(edges[:, 1] - edges[:, 0], axis=1)), 9), 6.0)
        self.assertFalse(np.any(np.all(edges[:, :, 0] == 1, axis=1)))

    def test_names_do_not_cover_one_another(self):
        wanted = [labels.Label(np.array([200.0 + 9 * (i % 4), 200.0 + 9 * (i // 4)]), 4.0, np.array([70.0, 9.0]))
                  for i in range(12)]
        placed = labels.place(wanted, np.empty((0, 2, 2)), np.empty((0, 2, 2)), np.array([[0.0, 0.0], [400.0, 400.0]]))
        boxes = np.array([box for box, _ in placed])
        for index, box in enumerate(boxes):
            self.assertEqual(np.count_nonzero(labels.overlap(box, np.delete(boxes, index, axis=0))), 0)

    def test_left_and_right_differ_without_colour(self):
        look = response.looks(["mid_left", "mid_right", "centre", "left_rear", "right_rear"])
        self.assertEqual(look["mid_left"][0], look["mid_right"][0])
        self.assertNotEqual(look["mid_left"][1], look["mid_right"][1])
        self.assertNotEqual(look["mid_left"][0], look["left_rear"][0])

    def test_line_of_sight_counts_ears(self):
        results = results_file.Results(title="", direct=np.array([[[1, 1, 0], [1, 0, 0]]]))
        self.assertEqual(arrivals.line_of_sight(results).tolist(), [[arrivals.FREE, arrivals.ONE_EAR, arrivals.BLOCKED]])

    def test_series_colours_match_the_published_set(self):
        # Okabe & Ito, Color Universal Design (2008): RGB values of the set, from memory.
        published = {(0, 114, 178), (213, 94, 0), (0, 158, 115), (204, 121, 167), (230, 159, 0), (86, 180, 233)}
        self.assertEqual({tuple(bytes.fromhex(colour[1:])) for colour in style.SERIES}, published)


if __name__ == "__main__":
    if len(sys.argv) < 2 or sys.argv[1].startswith("-"):
        sys.exit(__doc__)
    RESULTS = sys.argv.pop(1)
    unittest.main()
