"""getfem_modes.py reads the mesh format and is right: a rigid box, and the L of three unit squares.

Meshes here are grids of bricks cut into six tetrahedra each, so that no mesher is needed.
"""
import itertools
import json
import pathlib
import subprocess
import sys
import tempfile
import unittest

import numpy as np

SCRIPT = pathlib.Path(__file__).with_name("getfem_modes.py")


def grid_mesh(size, cells, keep=lambda centre: True):
    """Nodes and tetrahedra of a brick grid, each brick along its diagonal (Kuhn), where `keep` says so."""
    steps = np.array(cells) + 1
    node = np.array(list(itertools.product(*(np.linspace(0, s, n) for s, n in zip(size, steps)))))
    number = np.arange(len(node)).reshape(steps)
    tetrahedron = []
    for cell in itertools.product(*(range(n) for n in cells)):
        if not keep((np.array(cell) + 0.5) * np.array(size) / np.array(cells)):
            continue
        for order in itertools.permutations(range(3)):
            corner = np.array(cell)
            four = [number[tuple(corner)]]
            for axis in order:
                corner = corner + np.eye(3, dtype=int)[axis]
                four.append(number[tuple(corner)])
            if np.linalg.det(node[four[1:]] - node[four[0]]) < 0:
                four[2], four[3] = four[3], four[2]
            tetrahedron.append(four)
    return node, tetrahedron


def write_msh(path, node, tetrahedron):
    with open(path, "w") as file:
        file.write("$MeshFormat\n2.2 0 8\n$EndMeshFormat\n$Nodes\n%d\n" % len(node))
        for i, point in enumerate(node):
            file.write("%d %.17g %.17g %.17g\n" % (i + 1, *point))
        file.write("$EndNodes\n$Elements\n%d\n" % len(tetrahedron))
        for i, four in enumerate(tetrahedron):
            file.write("%d 4 2 1 1 %d %d %d %d\n" % (i + 1, *(n + 1 for n in four)))
        file.write("$EndElements\n")


def modes_of(node, tetrahedron, *options):
    with tempfile.TemporaryDirectory() as folder:
        path = pathlib.Path(folder) / "grid.msh"
        write_msh(path, node, tetrahedron)
        done = subprocess.run(
            [sys.executable, str(SCRIPT), str(path), *options], capture_output=True, text=True, check=True)
    return json.loads(done.stdout)


class Modes(unittest.TestCase):
    def test_rigid_box(self):
        """c/2 |(l/Lx, m/Ly, n/Lz)|. Elements of a ninth of the shortest wave here; quadratic ones err by the fourth power
        of that, some 2e-4."""
        size = (2.0, 1.4, 1.1)
        found = modes_of(*grid_mesh(size, (12, 9, 7)), "--count", "10", "--sound-speed", "343")
        exact = sorted(
            343 / 2 * np.linalg.norm(np.array(n) / size) for n in itertools.product(range(5), repeat=3) if any(n))[:10]
        np.testing.assert_allclose(found["mode_frequency_hz"], exact, rtol=4e-4)
        self.assertTrue(all(f >= e * (1 - 1e-10) for f, e in zip(found["mode_frequency_hz"], exact)),
                        "elements that fill the box exactly err upward alone")
        self.assertAlmostEqual(found["volume_m3"], 2.0 * 1.4 * 1.1, places=10)

    def test_degree_of_convergence(self):
        """Halving the elements cuts the error of eigenvalues 16-fold (order 4; Strang & Fix, chapter 6)."""
        size = (2.0, 1.4, 1.1)
        error = [
            modes_of(*grid_mesh(size, cells), "--count", "1")["mode_frequency_hz"][0] / (343 / 4) - 1
            for cells in ((4, 3, 2), (8, 6, 4))
        ]
        order = np.log2(error[0] / error[1])
        self.assertTrue(3.5 < order < 4.5, order)

    def test_l_shape(self):
        """M. Dauge's L of three unit squares, k^2 1.47562182408, 3.53403136678, pi^2, pi^2, 11.3894793979, swept by
        0.3 m. The re-entrant edge holds the first mode to a rough 1 % of k^2 on this uniform mesh."""
        mesh = grid_mesh((2, 2, 0.3), (12, 12, 2), lambda p: not (p[0] > 1 and p[1] > 1))
        found = modes_of(*mesh, "--count", "5", "--sound-speed", str(2 * np.pi))
        squares = np.array(found["mode_frequency_hz"]) ** 2
        np.testing.assert_allclose(squares[0], 1.47562182408, rtol=0.01)
        np.testing.assert_allclose(squares[1:], [3.53403136678, np.pi**2, np.pi**2, 11.3894793979], rtol=1e-3)


if __name__ == "__main__":
    unittest.main()
