#!/usr/bin/env -S /usr/bin/python3 -B
"""Maps of the sound as another program's reader sees them: meshio on the VTK file, h5py on the results.

    maps_test.py RESULTS.h5 MAPS.vtu
"""
import sys
import unittest

import h5py
import meshio
import numpy as np

RESULTS, MAPS = sys.argv[1:3]


class Maps(unittest.TestCase):
    def setUp(self):
        self.file = h5py.File(RESULTS)
        self.addCleanup(self.file.close)
        self.mesh = meshio.read(MAPS)

    def test_both_files_hold_the_same_triangles(self):
        np.testing.assert_array_equal(self.mesh.points, self.file["map/point"][()])
        (cells,) = self.mesh.cells
        self.assertEqual(cells.type, "triangle")
        np.testing.assert_array_equal(cells.data, self.file["map/triangle"][()])
        np.testing.assert_array_equal(self.mesh.cell_data["surface"][0].ravel(), self.file["map/triangle_surface"][()])

    def test_both_files_hold_the_same_sound(self):
        frequencies = self.file["map_frequency"][()]
        np.testing.assert_allclose(frequencies, [40, 80])
        for kind in ("driver", "channel"):
            values = self.file[f"map/of_{kind}"][()]
            for n, name in enumerate(self.file[kind].asstr()[()]):
                for f, frequency in enumerate(frequencies):
                    of = f"{kind} {name} {frequency:g} Hz"
                    np.testing.assert_array_equal(self.mesh.point_data[f"{of} pressure Pa"], values[n, f])
                    level = 10 * np.log10(np.maximum(np.sum(values[n, f] ** 2, axis=1), 1e-30) / 20e-6**2)
                    np.testing.assert_allclose(self.mesh.point_data[f"{of} level dB"].ravel(), np.maximum(level, -100), atol=1e-9)

    def test_a_channel_that_plays_is_as_loud_on_the_map_as_at_the_ears(self):
        """The nearest points to an ear are at most a step away; at 40 Hz nothing changes much on the way."""
        channel = list(self.file["channel"].asstr()[()]).index("sub")
        frequency = np.argmin(np.abs(self.file["frequency"][()] - 40))
        response = self.file["response/channel"][0, channel, :, :, frequency]
        at_ears = 10 * np.log10(np.sum(response**2, axis=-1))
        values = self.file["map/of_channel"][channel, 0]
        level = 10 * np.log10(np.sum(values**2, axis=1))
        points = self.file["map/point"][()]
        for ear, ear_level in zip(self.file["geometry/ear_position"][()].reshape(-1, 3), at_ears.ravel()):
            nearest = np.argmin(np.linalg.norm(points - ear, axis=1))
            self.assertLess(abs(level[nearest] - ear_level), 1.0)


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1])
