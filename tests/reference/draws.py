#!/usr/bin/env -S /usr/bin/python3 -B
"""Reference numbers for counted random numbers, the normal distribution and quantiles.

    draws.py > draws.txt
    draws.py --check draws.txt   # are those still the numbers?

Philox (Salmon et al., SC'11) is written here once for both widths of words, with the constants of each. At 64 bits its
answers must be those of numpy.random.Philox, which is Philox 4x64-10; so what it says at 32 bits (4x32-10, which numpy does
not have) stands on the same ground. Normal distribution by scipy.stats, quantiles by numpy.quantile.

Lines: philox, seed, draw, stream, index, 4 words; uniform and normal: seed, draw, stream, index, value; normal_quantile,
share, value; quantile: share, value, of the uniform numbers of seed 7, draws 0 to 40, stream 0.
"""
import sys

import numpy as np
from scipy.stats import norm, truncnorm

CONSTANTS = {32: ((0xD2511F53, 0xCD9E8D57), (0x9E3779B9, 0xBB67AE85)),
             64: ((0xD2E7470EE14C6C93, 0xCA5A826395121157), (0x9E3779B97F4A7C15, 0xBB67AE8584CAA73B))}
PLACES = [(0, 0, 0, 0), (1, 0, 0, 0), (0, 1, 0, 0), (0, 0, 1, 0), (0, 0, 0, 1), (2026, 99, 17, 2),
          (0xFEDCBA9876543210, 0x0123456789ABCDEF, 0x13579BDF, 0x2468ACE0)]
SHARES = [1e-300, 1e-16, 1e-9, 0.001, 0.02275, 0.1, 0.25, 0.4999, 0.5, 0.7, 0.9, 0.999999]


def philox(bits, counter, key):
    (m0, m1), (g0, g1) = CONSTANTS[bits]
    mask = (1 << bits) - 1
    (x0, x1, x2, x3), (k0, k1) = counter, key
    for _ in range(10):
        p0, p1 = m0 * x0, m1 * x2
        x0, x1, x2, x3 = (p1 >> bits) ^ x1 ^ k0, p1 & mask, (p0 >> bits) ^ x3 ^ k1, p0 & mask
        k0, k1 = (k0 + g0) & mask, (k1 + g1) & mask
    return x0, x1, x2, x3


def agree_with_numpy():
    for counter, key in (((0, 0, 0, 0), (0, 0)), ((1, 2, 3, 4), (5, 6)), ((2**63 + 9, 7, 2**64 - 1, 11), (2**64 - 3, 13))):
        whole = sum(word << (64 * i) for i, word in enumerate(counter))
        generator = np.random.Philox(counter=np.array(counter, dtype=np.uint64), key=np.array(key, dtype=np.uint64))
        # numpy counts up before it takes four words.
        after = [(whole + 1 >> (64 * i)) & (2**64 - 1) for i in range(4)]
        if tuple(int(word) for word in generator.random_raw(4)) != philox(64, after, key):
            return False
    return True


def words_at(place):
    seed, draw, stream, index = place
    return philox(32, (draw & 0xFFFFFFFF, draw >> 32, stream, index), (seed & 0xFFFFFFFF, seed >> 32))


def uniform(place):
    words = words_at(place)
    return ((words[0] << 20 | words[1] >> 12) + 0.5) / 2**52


def rows():
    for place in PLACES:
        yield ("philox",) + place, tuple(words_at(place))
        yield ("uniform",) + place, (uniform(place),)
        yield ("normal",) + place, (norm.ppf(uniform(place)),)
        yield ("truncated",) + place, (truncnorm.ppf(uniform(place), -1.5, 1.5),)
    for share in SHARES:
        yield ("normal_quantile", share), (norm.ppf(share),)
    values = [uniform((7, draw, 0, 0)) for draw in range(41)]
    for share in (0, 0.1, 0.333, 0.5, 0.9, 1):
        yield ("quantile", share), (np.quantile(values, share),)


def text(value):
    return f"{value:.17g}" if isinstance(value, float) else str(value)


def lines():
    return [" ".join(text(word) for word in key + values) for key, values in rows()]


def check(path):
    with open(path, encoding="utf-8") as file:
        written = [line.split() for line in file if not line.startswith("#")]
    computed = [line.split() for line in lines()]
    # Two digits of rounding between versions of scipy.
    alike = len(written) == len(computed) and all(
        a[0] == b[0] and np.allclose([float(x) for x in a[1:]], [float(x) for x in b[1:]], rtol=1e-13, atol=1e-300)
        for a, b in zip(written, computed))
    return 0 if alike else f"{path}: not what is computed"


if __name__ == "__main__":
    if not agree_with_numpy():
        sys.exit("Philox at 64 bits is not numpy's")
    if sys.argv[1:2] == ["--check"]:
        sys.exit(check(sys.argv[2]))
    print("# see draws.py")
    print("\n".join(lines()))
