#!/usr/bin/env -S /usr/bin/python3 -B
"""Reference numbers for the measures that places are judged by, and for what channels add, from numpy alone.

    measures.py > measures.txt
    measures.py --check measures.txt   # are those still the numbers?

Invented pressures of four channels at two seats (tests/support/judged_channels.cpp has the same formula): each channel a
second-order high-pass and low-pass, its direct sound and one echo at each ear; the fourth plays in no signal. Means over a
band: numpy.trapz over ln f of numpy.interp between the frequencies, as engine/listening/bands.h defines them. Third octaves
by IEC 61260-1, 1000 * 10^(k/10) and 10^(+-1/20) of it.

Lines: name, at seat 0, at seat 1, over the seats (nan: none).
"""
import sys

import numpy as np

SPEED = 343.0
FREQUENCY = 10 * 2 ** (np.arange(175) / 24)
SHARE = {"left": [1, 0, 0.5, 0], "right": [0, 1, 0.5, 0], "mono": [1, 1, 1, 0]}
AMPLITUDE = [0.8, 0.7, -1.5, 3.0]
HIGHPASS_HZ = [60, 60, 22, 90]
LOWPASS_HZ = [5000, 4000, 160, 5000]
# [channel][ear], m: driver's left and right ear, then the passenger's.
DIRECT = [[0.95, 1.08, 1.52, 1.63], [1.66, 1.50, 1.12, 0.93], [1.90, 1.85, 1.80, 1.95], [1.0, 1.0, 1.0, 1.0]]
ECHO = [[2.40, 2.13, 2.90, 2.71], [2.75, 2.96, 2.20, 2.44], [3.10, 3.32, 3.21, 2.98], [2.0, 2.0, 2.0, 2.0]]


def pressures():
    f = FREQUENCY
    rows = []
    for c in range(4):
        high, low = 1j * f / HIGHPASS_HZ[c], 1j * f / LOWPASS_HZ[c]
        response = AMPLITUDE[c] * high**2 / (1 + high / 0.7 + high**2) / (1 + low / 0.7 + low**2)
        rows.append([response * sum(a * np.exp(-2j * np.pi * f * r / SPEED) / r
                                    for a, r in ((1, DIRECT[c][e]), (0.7, ECHO[c][e]))) for e in range(4)])
    return np.array(rows)


PRESSURE = pressures()


def mean(square, low, high):
    low, high = max(low, FREQUENCY[0]), min(high, FREQUENCY[-1])
    inside = FREQUENCY[(FREQUENCY > low) & (FREQUENCY < high)]
    x = np.log(np.concatenate(([low], inside, [high])))
    return np.trapz(np.interp(x, np.log(FREQUENCY), square), x) / (x[-1] - x[0])


def level(power):
    return 10 * np.log10(power / (20e-6) ** 2)


def ears(values, seat):
    return 0.5 * (np.abs(values[2 * seat]) ** 2 + np.abs(values[2 * seat + 1]) ** 2)


def summed(signal, without=None):
    return sum(s * PRESSURE[c] for c, s in enumerate(SHARE[signal]) if c != without)


def thirds(low, high):
    for k in range(-25, 15):
        middle = 1000 * 10 ** (k / 10)
        a, b = max(low, middle * 10**-0.05, FREQUENCY[0]), min(high, middle * 10**0.05, FREQUENCY[-1])
        if b > a * (1 + 1e-9):
            yield a, b


def target(tilt, points, hz):
    return tilt * np.log2(hz / 1000) + (np.interp(np.log(hz), np.log([p[0] for p in points]), [p[1] for p in points])
                                       if points else 0)


def evenness(signal, seat, low, high, tilt=0.0, points=()):
    square = ears(summed(signal), seat)
    bands = list(thirds(low, high))
    off = np.array([level(mean(square, a, b)) - target(tilt, points, np.sqrt(a * b)) for a, b in bands])
    weights = np.array([np.log(b / a) for a, b in bands])
    average = np.average(off, weights=weights)
    return np.sqrt(np.average((off - average) ** 2, weights=weights))


def notch(signal, seat, low, high):
    square = ears(summed(signal), seat)
    deepest, where = 0, np.nan
    for i in range(1, len(square) - 1):
        f = FREQUENCY[i]
        if low <= f <= high and square[i] <= square[i - 1] and square[i] <= square[i + 1]:
            depth = 10 * np.log10(mean(square, f / np.sqrt(2), f * np.sqrt(2)) / square[i])
            if depth > deepest:
                deepest, where = depth, f
    return deepest, where


def cancellation(signal, seat, low, high):
    in_phase = sum(abs(s) * np.abs(PRESSURE[c]) for c, s in enumerate(SHARE[signal]))
    return 10 * np.log10(mean(ears(in_phase, seat), low, high) / mean(ears(summed(signal), seat), low, high))


def power_share(signal, seat, low, high, named):
    power = [mean(ears(s * PRESSURE[c], seat), low, high) for c, s in enumerate(SHARE[signal])]
    return 100 * sum(power[c] for c in named) / sum(power)


def sum_share(signal, seat, low, high, named):
    total = summed(signal)
    part = sum(SHARE[signal][c] * PRESSURE[c] for c in named)
    product = sum(0.5 * np.real(part[e] * np.conj(total[e])) for e in (2 * seat, 2 * seat + 1))
    return 100 * mean(product, low, high) / mean(ears(total, seat), low, high)


def seat_spread(signal, low, high):
    squares = [ears(summed(signal), seat) for seat in (0, 1)]
    bands = list(thirds(low, high))
    ranges = [np.ptp([level(mean(square, a, b)) for square in squares]) for a, b in bands]
    return np.average(ranges, weights=[np.log(b / a) for a, b in bands])


def rows():
    def both(function, *arguments):
        return np.array([function(arguments[0], seat, *arguments[1:]) for seat in (0, 1)])

    def band_level(signal, seat, low, high):
        return level(mean(ears(summed(signal), seat), low, high))

    def row(name, values, over):
        return name, (values[0], values[1], over)

    values = both(band_level, "mono", 60, 120)
    yield row("level_mean", values, values.mean())
    values = both(band_level, "left", 300, 1400)
    yield row("level_left_weighted", values, (3 * values[0] + values[1]) / 4)
    values = both(band_level, "right", 5, 25)
    yield row("level_right_reaching_out_worst", values, values.min())
    values = both(evenness, "mono", 40, 1000)
    yield row("evenness", values, values.mean())
    values = both(evenness, "mono", 40, 1000, -1.5, ((50, 6), (150, 0), (800, 1)))
    yield row("evenness_target_worst", values, values.max())
    values = both(notch, "mono", 60, 1400)
    yield row("notch_worst", values[:, 0], values[:, 0].max())
    yield row("notch_frequency", values[:, 1], np.nan)
    values = both(notch, "mono", 60, 80)
    yield row("notch_narrow", values[:, 0], values[:, 0].mean())
    values = both(cancellation, "mono", 60, 300)
    yield row("cancellation", values, values.mean())
    values = both(cancellation, "left", 30, 90)
    yield row("cancellation_left", values, values.mean())
    values = both(power_share, "mono", 40, 80, (2,))
    yield row("power_share", values, values.mean())
    values = both(power_share, "left", 40, 200, (0, 1))
    yield row("power_share_left_worst", values, values.min())
    values = both(sum_share, "mono", 40, 200, (2,))
    yield row("sum_share", values, values.mean())
    values = both(sum_share, "mono", 40, 200, (0, 1))
    yield row("sum_share_of_the_rest", values, values.mean())
    values = both(sum_share, "left", 40, 200, (2,))
    yield row("sum_share_left", values, values.mean())
    yield row("seat_spread", (np.nan, np.nan), seat_spread("mono", 50, 1000))
    for c in range(4):
        for b, (low, high) in enumerate(thirds(50, 160)):
            with_it = both(band_level, "mono", low, high)
            without = np.array([level(mean(ears(summed("mono", c), seat), low, high)) for seat in (0, 1)])
            yield row(f"channel_{c}_band_{b}_without", without, np.nan)
            yield row(f"channel_{c}_band_{b}_adds", with_it - without, np.nan)


def check(path):
    with open(path, encoding="utf-8") as file:
        lines = [line.split() for line in file if not line.startswith("#")]
    written = {words[0]: [float(word) for word in words[1:]] for words in lines}
    computed = dict(rows())
    # The digits written, and two of rounding between versions of numpy.
    off = [name for name, values in computed.items()
           if not np.allclose(written.get(name, [99, 99, 99]), values, rtol=0, atol=1e-8, equal_nan=True)]
    return f"{path}: not what is computed: {off}" if off or len(written) != len(computed) else 0


if __name__ == "__main__":
    if sys.argv[1:2] == ["--check"]:
        sys.exit(check(sys.argv[2]))
    print("# name  seat 0  seat 1  over the seats; from measures.py")
    for name, values in rows():
        print(name, *(f"{value:.10f}" for value in values))
