"""Rigid modes of a cabin by GetFEM, another program's finite elements on the same mesh.

    getfem_modes.py MESH.msh [--count 20] [--sound-speed 343.0] [--degree 2]

MESH is a gmsh file (MSH 2.2, ASCII) of tetrahedra with straight sides; triangles in it are passed over. Everything
is taken as air, every boundary as rigid; points that coincide become one, so thin sheets with doubled nodes
vanish. Lagrange elements of the given degree, integrals exact to degree 5; eigenvalues by scipy's Lanczos,
shifted and inverted. Prints one JSON object: the modes after the one at 0, Hz, rising.
"""
import argparse
import json

import getfem
import numpy as np
import scipy.sparse
import scipy.sparse.linalg


def to_scipy(matrix):
    matrix.to_csc()
    start, row = matrix.csc_ind()
    size = matrix.size()
    return scipy.sparse.csc_matrix((matrix.csc_val(), row, start), shape=(size[0], size[1]))


def modes(mesh, count, sound_speed_m_s, degree):
    pressure = getfem.MeshFem(mesh, 1)
    pressure.set_fem(getfem.Fem(f"FEM_PK(3,{degree})"))
    integrals = getfem.MeshIm(mesh, getfem.Integ("IM_TETRAHEDRON(5)"))
    one = getfem.MeshFem(mesh, 1)
    one.set_fem(getfem.Fem("FEM_PK(3,0)"))
    stiffness = to_scipy(getfem.asm_laplacian(integrals, pressure, one, np.ones((1, one.nbdof()))))
    mass = to_scipy(getfem.asm_mass_matrix(integrals, pressure))
    volume_m3 = mass.sum()
    # Below zero, so that the constant pressure does not make it singular; near the first mode in size.
    shift = -((np.pi / volume_m3 ** (1 / 3)) ** 2) / 4
    start = np.cos(np.arange(stiffness.shape[0]) * 1.7) + 0.1  # the same on every run
    squares = scipy.sparse.linalg.eigsh(stiffness, k=count + 1, M=mass, sigma=shift, v0=start, return_eigenvectors=False)
    squares = np.sort(squares)[1:]
    return {
        "mode_frequency_hz": list(np.sqrt(squares) * sound_speed_m_s / (2 * np.pi)),
        "unknowns": int(pressure.nbdof()),
        "tetrahedra": int(mesh.nbcvs()),
        "volume_m3": float(volume_m3),
        "getfem_degree": degree,
    }


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("mesh")
    parser.add_argument("--count", type=int, default=20)
    parser.add_argument("--sound-speed", type=float, default=343.0, metavar="M_S")
    parser.add_argument("--degree", type=int, default=2)
    arguments = parser.parse_args()
    getfem.util_warning_level(0)  # of points and edges in the file, which it passes over
    mesh = getfem.Mesh("import", "gmsh", arguments.mesh)
    print(json.dumps(modes(mesh, arguments.count, arguments.sound_speed, arguments.degree), indent=1))


if __name__ == "__main__":
    main()
