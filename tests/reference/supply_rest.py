#!/usr/bin/python3
"""Where drawn supply networks come to rest, by integrating them in time with scipy, for the supply's tests.

A capacitor at every node, charged to full voltage when it is switched on, and the network's own branches: where
the voltages stop is the answer, made exact by fsolve. All invented. Prints a table, or with --check FILE compares
with the one that is kept. A line: nodes, then counted lists of runs (from to ohm), cells (node emf ohm ohm_charged),
alternators (node regulated ohm greatest), chargers (from to regulated ohm greatest efficiency), loads (node power),
and the node voltages.

    supply_rest.py [--check supply_rest.txt]
"""
import sys

import numpy
from scipy.integrate import solve_ivp
from scipy.optimize import fsolve

LEAST_V, LEAST_INPUT_V, COMING_UP_V = 10.5, 11.0, 0.5


def drawn(seed):
    """A network, rounded so that the table holds all of it."""
    draw = numpy.random.default_rng(seed)
    nodes = int(draw.integers(3, 7))
    chargers = []
    runs = []
    for node in range(1, nodes):
        start = int(draw.integers(0, node))
        runs.append((start, node, round(draw.uniform(1e-3, 0.02), 5)))
    cells = [(0, 12.6, 0.004, 0.13)]
    if seed % 3 == 0:
        cells.append((nodes - 1, 13.2, 0.006, 0.048))
    if seed % 2 == 0:
        # Node 1 and what hangs on it alone is cut off and fed by a charger, where it has a battery there or none.
        chargers.append((0, nodes, 14.2, 0.005, round(draw.uniform(20, 60), 1), 0.92))
        runs.append((nodes, nodes + 1, round(draw.uniform(1e-3, 0.01), 5)))
        if seed % 4 == 0:
            cells.append((nodes, 13.1, 0.006, 0.05))
        nodes += 2
    alternators = [(0, 14.2, 0.002, round(draw.uniform(40, 200), 1))] if seed % 5 else []
    scale = draw.uniform(50, 900)
    loads = [(node, round(scale * draw.uniform(0.2, 1.5), 1)) for node in range(1, nodes) if draw.uniform() < 0.7]
    if chargers:
        loads = [(node, power if node < nodes - 2 else min(power, 250.0)) for node, power in loads]
    return nodes, runs, cells, alternators, chargers, loads


def entering(network, voltage):
    nodes, runs, cells, alternators, chargers, loads = network
    into = numpy.zeros(nodes)
    for start, end, ohm in runs:
        current = (voltage[start] - voltage[end]) / ohm
        into[start] -= current
        into[end] += current
    for node, emf, ohm, ohm_charged in cells:
        over = voltage[node] - emf
        into[node] -= over / (ohm_charged if over > 0 else ohm)
    for node, regulated, ohm, greatest in alternators:
        into[node] += min(max((regulated - voltage[node]) / ohm, 0.0), greatest)
    for start, end, regulated, ohm, greatest, efficiency in chargers:
        may = min(max((voltage[start] - LEAST_INPUT_V) / COMING_UP_V, 0.0), 1.0) * greatest
        current = min(max((regulated - voltage[end]) / ohm, 0.0), may)
        into[end] += current
        if current > 0:
            into[start] -= current * voltage[end] / efficiency / voltage[start]
    for node, power in loads:
        into[node] -= power / voltage[node] if voltage[node] >= LEAST_V else power * voltage[node] / LEAST_V**2
    return into


def rest(network):
    nodes, runs, cells, alternators, chargers, _ = network
    full = numpy.zeros(nodes)
    for node, voltage in [cell[:2] for cell in cells] + [a[:2] for a in alternators] + [c[1:3] for c in chargers]:
        full[node] = max(full[node], voltage)
    for _ in range(nodes):
        for start, end, _ in runs:
            full[start] = full[end] = max(full[start], full[end])
    farad = 1.0
    moved = solve_ivp(lambda _, v: entering(network, v) / farad, (0, 200), full, method="LSODA", rtol=1e-9, atol=1e-11)
    assert moved.success and numpy.abs(entering(network, moved.y[:, -1])).max() < 1e-3, "does not come to rest"
    exact, _, status, _ = fsolve(lambda v: entering(network, v), moved.y[:, -1], xtol=1e-14, full_output=True)
    assert numpy.abs(exact - moved.y[:, -1]).max() < 1e-4, status
    return exact


def table():
    lines = []
    for seed in range(1, 41):
        network = drawn(seed)
        words = [str(network[0])]
        for part in network[1:]:
            words += [str(len(part))] + [f"{value:g}" for entry in part for value in entry]
        lines.append(" ".join(words) + " " + " ".join(f"{v:.9f}" for v in rest(network)))
    return lines


if __name__ == "__main__":
    if len(sys.argv) == 3 and sys.argv[1] == "--check":
        kept = [[float(word) for word in line.split()] for line in open(sys.argv[2])]
        now = [[float(word) for word in line.split()] for line in table()]
        same = len(kept) == len(now) and all(len(a) == len(b) and numpy.allclose(a, b, rtol=0, atol=1e-7)
                                             for a, b in zip(kept, now))
        sys.exit(0 if same else "the table and what is computed differ")
    print("\n".join(table()))
