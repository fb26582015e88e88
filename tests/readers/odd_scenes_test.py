#!/usr/bin/env -S /usr/bin/python3 -B
"""No results file holds a NaN or an infinity, however odd the scene: every number of every dataset is looked at.

    odd_scenes_test.py CABINFIELD [unittest options]

Scenes here are legal and foolish: drivers on edges and in corners, ears at walls, blocks that coincide, a driver shut in, one
that is muted, one frequency, no reflection, the lowest and highest frequencies that may be asked for.
"""
import pathlib
import subprocess
import sys
import tempfile
import unittest

import h5py
import numpy as np

import finite

PROGRAM = None

BOX = "cabin: {box: {length: 2 m, width: 1.4 m, height: 1.1 m}}\n"
BLOCKS = """
cabin:
  box: {length: 2 m, width: 1.4 m, height: 1.1 m}
  materials: {all: glass, floor: {specific_impedance: 20}}
  blocks:
    - {name: dash, profile: [[0, 0.4], [0.5, 0.4], [0.5, 0.8], [0, 0.8]], y: [-0.6, 0.6], material: carpet}
    - {name: twin, profile: [[0, 0.4], [0.5, 0.4], [0.5, 0.8], [0, 0.8]], y: [-0.6, 0.6]}
    - {name: half, profile: [[0, 0.4], [0.5, 0.4], [0.5, 0.8], [0, 0.8]], y: [0, 0.9]}
    - {name: sliver, profile: [[1, 0], [1.001, 0], [1.001, 0.5], [1, 0.5]], y: [-0.6, 0.6]}
    - {name: cell, profile: [[1.6, 0], [2.0, 0], [2.0, 0.4], [1.6, 0.4]], y: [-0.3, 0.3]}
    - {name: hollow, profile: [[1.7, 0.1], [1.9, 0.1], [1.9, 0.3], [1.7, 0.3]], y: [-0.2, 0.2], material: air}
"""
SEATS = """
seats:
  middle: {head: [1.3, -0.3, 0.9]}
  at_a_wall: {head: [1.5, 0.6125, 0.9]}
  five_centimetres: {head: [1.5, 0.5625, 0.7], head_shape: sphere}
  under_the_roof: {head: [1.2, 0, 1.1], head_shape: sphere}
  in_a_corner: {head: [2, -0.6125, 1.1]}
"""
DRIVERS = """
drivers:
  on_an_edge: {model: tweeter_25, position: [2, 0.7, 0.5], surface: rear}
  in_a_corner: {model: sub_250_single, position: [0, 0.7, 0], surface: floor}
  free_in_a_corner: {model: tweeter_25, position: [0, -0.7, 1.1]}
  free_on_the_edge_of_a_block: {model: mid_75, position: [0.5, -0.2, 0.8], aim: {seat: middle}}
  hemisphere: {model: {thiele_small: {Fs: 90 Hz, Qes: 0.5, Qms: 4, Re: 3 ohm, Sd: 314.159265358 cm2, Mms: 20 g}},
               position: [0.8, 0, 0.9], pod_radius: 100 mm, aim: {direction: [0, 0, 1.0e-200]}}
  near_an_ear: {model: tweeter_25, position: [1.3, -0.38, 0.91], aim: {seat: middle}}
  into_the_wall: {model: tweeter_25, position: [1.0, -0.7, 0.6], surface: left, aim: {direction: [1, 1.0e-6, 0]}}
"""
SHUT_IN = "  shut_in: {model: mid_75, position: [1.8, 0, 0.2], aim: {direction: [1, 0, 0]}, loading: {rear_into: [1.75, 0, 0.2]}}\n"
CHANNELS = """
channels:
  edge: {drives: [on_an_edge, free_in_a_corner], signal: left, highpass: {order: 4, frequency: 5 kHz}}
  corner: {drives: [in_a_corner], lowpass: {order: 8, frequency: 5 Hz}, gain: -80 dB}
  block: {drives: [free_on_the_edge_of_a_block], signal: side}
  dome: {drives: [hemisphere], signal: {left: 0, right: 0}}
  ear: {drives: [near_an_ear, into_the_wall], signal: right, mute: yes}
presets:
  silent: {channels: {edge: {mute: yes}, corner: {mute: yes}, block: {mute: yes}, dome: {mute: yes}}}
"""


def compute(frequencies, order, field="images"):
    return f"compute: {{image_order: {order}, field: {field}, frequencies: {frequencies}}}\n"


ALL = "{list: [1 Hz, 2 Hz, 20 Hz, 200 Hz, 210 Hz, 1.5 kHz, 6 kHz, 24 kHz]}"
WIDE = "{from: 1 Hz, to: 24 kHz, per_octave: 6}"
SCENES = {
    "nothing": ("cabinfield: 1\n", []),
    "free_field": (SEATS + DRIVERS + CHANNELS + compute(WIDE, 3), []),
    "empty_box_without_reflections": (BOX + SEATS + DRIVERS + CHANNELS + compute(ALL, 0), []),
    "empty_box": (BOX + SEATS + DRIVERS + CHANNELS + compute(WIDE, 20), []),
    "blocks_without_reflections": (BLOCKS + SEATS + DRIVERS + SHUT_IN + CHANNELS + compute(ALL, 0), []),
    "blocks": (BLOCKS + SEATS + DRIVERS + SHUT_IN + CHANNELS + compute(WIDE, 2), []),
    "one_frequency": (BLOCKS + SEATS + DRIVERS + SHUT_IN + CHANNELS + compute("{list: [1 kHz]}", 1), []),
    "impulse_responses": (BLOCKS + SEATS + DRIVERS + SHUT_IN + CHANNELS + compute(ALL, 1), ["--impulse", "48kHz"]),
    "waves": (BLOCKS + SEATS + DRIVERS + CHANNELS + compute(ALL, 1, "joined, wave_top: 120 Hz"), []),
    "waves_alone": (BLOCKS + SEATS + DRIVERS + CHANNELS + compute("{list: [1 Hz, 60 Hz, 120 Hz]}", 0,
                                                                  "wave, wave_top: 120 Hz"), []),
    "no_channels": (BLOCKS + SEATS + DRIVERS + SHUT_IN + compute(ALL, 1), []),
    "no_seats": (BLOCKS + DRIVERS.replace("aim: {seat: middle}", "aim: {direction: [1, 0, 0]}") + compute(ALL, 1), []),
}


def predicted(folder, name, text, options=()):
    scene, results = pathlib.Path(folder, name + ".yaml"), pathlib.Path(folder, name + ".h5")
    scene.write_text(text if text.startswith("cabinfield") else "cabinfield: 1\n" + text, encoding="utf-8")
    # One thread: on a busy machine threads that wait for each other take far longer than the work.
    command = [PROGRAM, "predict", scene, "-o", results, "--threads", "1", *options]
    run = subprocess.run(command, capture_output=True, text=True, check=False)
    return results, run


class OddScenes(unittest.TestCase):
    def test_every_number_is_finite(self):
        for name, (text, options) in SCENES.items():
            with self.subTest(scene=name), tempfile.TemporaryDirectory() as folder:
                results, run = predicted(folder, name, text, options)
                self.assertIn(run.returncode, (0, 1), run.stderr)
                self.assertEqual(finite.not_finite(results), [])
                for word in ("nan", "inf"):
                    self.assertNotRegex(run.stdout, rf"(?i)(?<![a-z]){word}(?![a-z])")

    def test_waves_do_not_reach_a_driver_that_is_shut_in(self):
        with tempfile.TemporaryDirectory() as folder:
            results, run = predicted(folder, "scene", BLOCKS + SEATS + DRIVERS + SHUT_IN + compute(ALL, 1, "joined"))
            self.assertEqual(run.returncode, 2, run.stderr)
            # The fault stands where the file says its position.
            before = pathlib.Path(folder, "scene.yaml").read_text(encoding="utf-8")
            before = before[:before.index("[", before.index("position:", before.index("shut_in:")))]
            line, column = before.count("\n") + 1, len(before) - before.rindex("\n")
            self.assertIn(f"scene.yaml:{line}:{column}: shut_in: no sound path to middle", run.stderr)
            self.assertFalse(results.exists())

    def test_coinciding_blocks_count_as_the_first_of_them(self):
        fields = []
        for blocks in (BLOCKS, "\n".join(line for line in BLOCKS.split("\n") if "name: twin" not in line)):
            with tempfile.TemporaryDirectory() as folder:
                results, run = predicted(folder, "scene", blocks + SEATS + DRIVERS + compute(ALL, 2))
                self.assertEqual(run.returncode, 0, run.stderr)
                with h5py.File(results) as file:
                    fields.append(file["field/transfer"][()])
        # The twin adds no sound path; sums of the same paths in another order differ in the last places.
        np.testing.assert_allclose(fields[0], fields[1], rtol=1e-9, atol=1e-9 * np.abs(fields[1]).max())


class Scan(unittest.TestCase):
    """The scan itself sees what it is meant to see."""

    def test_it_sees_every_kind_of_number(self):
        with tempfile.TemporaryDirectory() as folder:
            path = pathlib.Path(folder, "x.h5")
            with h5py.File(path, "w") as file:
                file["good"] = [1.0, 2.0]
                file["text"] = "nan"
                file["deep/down/scalar"] = np.nan
                file["whole"] = [1, 2]
                file["endless"] = [[0.0, -np.inf]]
                pair = np.zeros(2, dtype=[("length", "f8"), ("at", "f4", (3,)), ("order", "i4")])
                pair["at"][1, 2] = np.nan
                file["table"] = pair
                file["good"].attrs["margin"] = np.nan
                file.attrs["version"] = [1, 0]
            self.assertEqual(finite.not_finite(path), ["/deep/down/scalar", "/endless", "/good@margin", "/table.at"])
            self.assertIn("/whole", finite.numbers(path))
            self.assertIn("/table.order", finite.numbers(path))


if __name__ == "__main__":
    if len(sys.argv) < 2 or sys.argv[1].startswith("-"):
        sys.exit(__doc__)
    PROGRAM = sys.argv.pop(1)
    unittest.main()
