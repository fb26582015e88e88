"""Direct solves of one cabin by scipy on one thread, as in a careful script.

    scipy_direct.py FOLDER FREQUENCY [FREQUENCY ...] [--right-sides 8] [--repeat 1]

FOLDER holds K.mtx, M.mtx, C.mtx (MatrixMarket, real or complex, symmetric or general; C may be absent). At each
frequency (Hz) the system K + j omega C - omega^2 M is factored and solved for a few unit point sources. Prints one
JSON object: seconds for a solve with one right side by scipy.sparse.linalg.spsolve as it comes, and for a
factorisation with SuperLU told that the pattern is symmetric, then for each right side more. The residual shows that
they solved it.
"""
import os

for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
    os.environ[name] = "1"
import argparse
import json
import pathlib
import time

import numpy as np
import scipy.io
import scipy.sparse
import scipy.sparse.linalg


def read(path):
    return scipy.sparse.csc_matrix(scipy.io.mmread(path))


def timed(work, repeat):
    """Least of some runs, s, and the last result."""
    best = np.inf
    for _ in range(repeat):
        start = time.perf_counter()
        result = work()
        best = min(best, time.perf_counter() - start)
    return best, result


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("folder", type=pathlib.Path)
    parser.add_argument("frequency", type=float, nargs="+")
    parser.add_argument("--right-sides", type=int, default=8)
    parser.add_argument("--repeat", type=int, default=1)
    arguments = parser.parse_args()

    stiffness, mass = read(arguments.folder / "K.mtx"), read(arguments.folder / "M.mtx")
    damping_file = arguments.folder / "C.mtx"
    damping = read(damping_file) if damping_file.exists() else 0 * mass
    size = stiffness.shape[0]
    sources = np.zeros((size, arguments.right_sides), complex)
    places = np.linspace(0, size - 1, arguments.right_sides + 2).astype(int)[1:-1]
    sources[places, np.arange(arguments.right_sides)] = 1

    as_it_comes, factoring, each, residual = [], [], [], []
    for frequency in arguments.frequency:
        omega = 2 * np.pi * frequency
        system = (stiffness + 1j * omega * damping - omega**2 * mass).tocsc()
        seconds, answer = timed(lambda: scipy.sparse.linalg.spsolve(system, sources[:, 0]), arguments.repeat)
        as_it_comes.append(seconds)
        seconds, factors = timed(
            lambda: scipy.sparse.linalg.splu(
                system, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True}),
            arguments.repeat)
        factoring.append(seconds)
        seconds, answers = timed(lambda: factors.solve(sources), arguments.repeat)
        each.append(seconds / arguments.right_sides)
        for found in (answer, answers[:, 0]):
            residual.append(np.linalg.norm(system @ found - sources[:, 0]))
    print(json.dumps({
        "unknowns": size,
        "entries": int(stiffness.nnz),
        "frequencies": len(arguments.frequency),
        "spsolve_s": float(np.mean(as_it_comes)),
        "symmetric_factor_s": float(np.mean(factoring)),
        "symmetric_right_side_s": float(np.mean(each)),
        "largest_residual": float(np.max(residual)),
    }, indent=1))


if __name__ == "__main__":
    main()
