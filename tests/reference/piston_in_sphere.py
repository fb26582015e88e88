#!/usr/bin/env -S /usr/bin/python3 -B
"""Reference numbers for the directivity of a piston set in a rigid sphere.

    piston_in_sphere.py > piston_in_sphere.txt
    piston_in_sphere.py --check piston_in_sphere.txt   # are those still the numbers?

The far field of a sphere whose surface moves with a radial velocity u(theta) about one axis (Morse & Ingard,
Theoretical Acoustics, sec. 7.2, from memory; Beranek & Mellow, Acoustics, the sections on pistons and caps in a
sphere, from memory), in the time convention e^{+j omega t}:

    p(r, psi) = -j rho c e^{-j k r}/(k r) sum_n j^{n+1} U_n P_n(cos psi)/h_n'(k b),
    U_n = (n + 1/2) int_{-1}^{1} u(mu) P_n(mu) dmu,   h_n = j_n - j y_n.

Here over the field of a point source of the same volume velocity Q = 2 pi b^2 int u dmu, j omega rho Q e^{-j k r}/(4 pi r),
and with the phase counted from the middle of the cap's rim, b cos(theta0) before the centre of the sphere.

Two velocities, for which two independent programs and a textbook's formula can be held against each other:
  cap   one radial velocity, the closed form U_n = u0 (P_{n-1} - P_{n+1})(cos theta0)/2;
  flat  u0 mu e^{-j k b (mu - cos theta0)}, a flat piston's plane wave, by adaptive quadrature.

Spherical Bessel functions and their slopes, Legendre polynomials and the quadrature are scipy's. The numbers are to 10
digits; the sum stops where its terms fall below 1e-14.
"""
import sys

import numpy as np
from scipy.integrate import quad
from scipy.special import eval_legendre, spherical_jn, spherical_yn

WAVENUMBER_RADIUS = (0.5, 1, 2, 5, 10)     # k a, a the radius of the piston
ANGLES_DEG = (0, 30, 60, 90, 120, 150, 180)
RATIOS = (0.25, 0.5, 0.8, 1.0)             # a / b


def slope_of_hankel(order, x):
    return spherical_jn(order, x, derivative=True) - 1j * spherical_yn(order, x, derivative=True)


def cap_share(order, cosine, x):
    before = eval_legendre(order - 1, cosine) if order else 1.0
    return 0.5 * (before - eval_legendre(order + 1, cosine)), 1 - cosine


def flat_share(order, cosine, x):
    def part(function):
        return quad(lambda mu: mu * eval_legendre(order, mu) * function(-x * (mu - cosine)), cosine, 1,
                    epsabs=1e-14, epsrel=1e-12, limit=400)[0]
    return (order + 0.5) * (part(np.cos) + 1j * part(np.sin)), (1 - cosine**2) / 2


def directivity(share, ratio, wavenumber_radius, angle_deg):
    x = wavenumber_radius / ratio                       # k b
    cosine = np.sqrt(1 - ratio**2)
    mu = np.cos(np.radians(angle_deg))
    total = 0
    for order in range(int(x) + 60):
        velocity, flow = share(order, cosine, x)        # U_n / u0 and int u dmu / u0
        # -j rho c U/(k r) over j omega rho Q/(4 pi r): -2 U/(k^2 b^2 flow).
        term = -2 * 1j ** (order + 1) * velocity * eval_legendre(order, mu) / (x**2 * slope_of_hankel(order, x) * flow)
        total += term
        if order > x and abs(velocity / (x**2 * slope_of_hankel(order, x) * flow)) < 1e-14:
            break
    else:
        raise ArithmeticError("the series has not converged")
    return total * np.exp(-1j * x * cosine * mu)


def rows():
    for name, share in (("cap", cap_share), ("flat", flat_share)):
        for ratio in RATIOS:
            for ka in WAVENUMBER_RADIUS:
                for angle in ANGLES_DEG:
                    yield f"{name} {ratio} {ka} {angle}", directivity(share, ratio, ka, angle)


def check(path):
    with open(path, encoding="utf-8") as file:
        lines = [line.split() for line in file if not line.startswith("#")]
    written = {" ".join(words[:4]): complex(float(words[4]), float(words[5])) for words in lines}
    computed = dict(rows())
    # The digits written, and two of rounding between versions of scipy.
    off = [key for key, value in computed.items() if not abs(written.get(key, 99) - value) < 1e-8]
    return f"{path}: not what is computed: {off}" if off or len(written) != len(computed) else 0


if __name__ == "__main__":
    if sys.argv[1:2] == ["--check"]:
        sys.exit(check(sys.argv[2]))
    print("# velocity  a/b  k a  degrees  real  imaginary; from piston_in_sphere.py")
    for case, number in rows():
        print(f"{case} {number.real:.10f} {number.imag:.10f}")
