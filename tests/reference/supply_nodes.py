#!/usr/bin/python3
"""Node voltages of a car's supply by nodal equations that scipy solves, for the supply's tests.

Two batteries, an alternator, cable runs, two amplifiers of constant power, all invented. Prints a table, or with
--check FILE compares with the one that is kept.

    supply_nodes.py [--check supply_nodes.txt]
"""
import sys

import numpy
from scipy.optimize import fsolve

# Nodes: 0 start battery, 1 second battery, 2 front amplifier, 3 sub amplifier.
RUNS = [(0, 1, 4.1e-3), (1, 2, 3.3e-3), (1, 3, 1.7e-3), (0, 2, 9.0e-3)]
CELLS = [(0, 12.6, 5.0e-3), (1, 13.2, 7.0e-3)]
LOADS = [(2, 380.0), (3, 1450.0)]


def excess(voltage, alternator_a):
    out = numpy.zeros(4)
    for a, b, ohm in RUNS:
        current = (voltage[a] - voltage[b]) / ohm
        out[a] += current
        out[b] -= current
    for node, emf, ohm in CELLS:
        out[node] += (voltage[node] - emf) / ohm
    for node, watts in LOADS:
        out[node] += watts / voltage[node]
    out[0] -= alternator_a
    return out


def table():
    lines = []
    for alternator_a in (0.0, 90.0):
        voltage = fsolve(excess, [12.5] * 4, args=(alternator_a,), xtol=1e-14)
        lines.append(f"{alternator_a:g} " + " ".join(f"{v:.10f}" for v in voltage))
    return lines


if __name__ == "__main__":
    if len(sys.argv) == 3 and sys.argv[1] == "--check":
        kept = [[float(word) for word in line.split()] for line in open(sys.argv[2])]
        now = [[float(word) for word in line.split()] for line in table()]
        sys.exit(0 if numpy.allclose(kept, now, rtol=0, atol=1e-8) else "the table and what is computed differ")
    print("\n".join(table()))
