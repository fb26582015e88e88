#include "driver/directivity.h"

#include <gtest/gtest.h>

#include <cmath>
#include <fstream>
#include <sstream>
#include <stdexcept>
#include <string>

#include "base/constants.h"

namespace cabinfield {
namespace {

double piston(double x) {
  const double wavenumber = x;
  double directivity = 0;
  piston_directivity(1, 1, {&wavenumber, 1}, {&directivity, 1});
  return directivity;
}

Complex sphere_piston(double piston_radius, double pod_radius, double wavenumber, double psi) {
  Complex directivity;
  SpherePistonDirectivity(piston_radius, pod_radius, {wavenumber}).evaluate(psi, {&directivity, 1});
  return directivity;
}

TEST(PistonDirectivity, IsTheBesselFunctionTo1em10) {
  std::vector<double> x, directivity;
  for (int i = 0; i <= 200000; ++i) x.push_back(i * 0.001);  // in and beyond the table
  directivity.resize(x.size());
  piston_directivity(1, 1, x, directivity);
  EXPECT_EQ(directivity[0], piston(0));
  EXPECT_NEAR(directivity[0], 1, 1e-10);
  for (std::size_t i = 1; i < x.size(); ++i)
    ASSERT_NEAR(directivity[i], 2 * std::cyl_bessel_j(1, x[i]) / x[i], 1e-10) << x[i];
}

TEST(PistonDirectivity, HasItsPublishedNullAndBeamwidths) {
  // First null 3.8317: Abramowitz & Stegun, Table 9.5, j_{1,1} = 3.83171. Half-power and half-pressure points
  // of 2 J1(x)/x computed: 1.6163 and 2.2151. Slopes there are below 0.5, so a last digit is worth 2.5e-5.
  EXPECT_NEAR(piston(3.83171), 0, 2.5e-6);
  EXPECT_NEAR(piston(1.6163), std::sqrt(0.5), 2.5e-5);
  EXPECT_NEAR(piston(2.2151), 0.5, 2.5e-5);
}

TEST(PistonDirectivity, DependsOnTheProductOfRadiusAngleAndWavenumberOnly) {
  const std::vector<double> wavenumber{10, 200, 0, 50};
  std::vector<double> directivity(4), other_side(4);
  piston_directivity(0.066, 0.7, wavenumber, directivity);
  piston_directivity(0.066, -0.7, wavenumber, other_side);
  EXPECT_EQ(directivity, other_side);
  for (std::size_t i = 0; i < 4; ++i) EXPECT_NEAR(directivity[i], piston(wavenumber[i] * 0.066 * 0.7), 1e-14);
}

TEST(SpherePiston, IsTheSeriesSummedAtHighPrecision) {
  // Computed with mpmath to 25 digits: Hankel functions of half-integer order, not a recurrence; each order's
  // share of the velocity by adaptive quadrature.
  struct Row {
    double piston_radius, pod_radius, wavenumber, psi;
    Complex directivity;
  };
  const std::vector<Row> rows{
      {0.0125, 0.055, 2, 0, {0.999448231748, 0.0551729323661}},
      {0.0125, 0.055, 2, 1.0, {0.997921052423, 0.0293704964419}},
      {0.0125, 0.055, 2, 2.2, {0.997846245073, -0.0340923679996}},
      {0.0125, 0.055, 2, 3.0, {0.99907934144, -0.0566377220777}},
      {0.0125, 0.055, 100, 0, {1.87855940532, 0.280600446997}},
      {0.0125, 0.055, 100, 1.0, {1.43648486788, 0.25341216881}},
      {0.0125, 0.055, 100, 2.2, {0.476559414282, -0.282158029758}},
      {0.0125, 0.055, 100, 3.0, {-0.706939376851, 0.229461143251}},
      {0.037, 0.055, 366, 0, {1.97074351713, 0.119549329579}},
      {0.037, 0.055, 366, 1.0, {-0.0626466724958, -0.00274532316995}},
      {0.037, 0.055, 366, 2.2, {-0.00740265417122, 0.0115315970068}},
      {0.037, 0.055, 366, 3.0, {-0.00173517504666, -0.00780141846725}},
      {0.05, 0.05, 300, 0, {1.85917178655, 0.183377279797}},
      {0.05, 0.05, 300, 1.0, {0.0146145755503, -0.0111101000527}},
      {0.05, 0.05, 300, 2.2, {0.00148405515116, -0.00103712173747}},
      {0.05, 0.05, 300, 3.0, {-0.000173455304787, -0.000965026438208}},
      {0.02, 0.2, 150, 0, {1.99343514325, 0.066084481426}},
      {0.02, 0.2, 150, 1.0, {0.752362079627, 0.0376984084907}},
      {0.02, 0.2, 150, 2.2, {-0.0221565212904, -0.0877888189824}},
      {0.02, 0.2, 150, 3.0, {-0.0395164776188, -0.0261210420436}},
  };
  for (const Row& row : rows) {
    const Complex computed = sphere_piston(row.piston_radius, row.pod_radius, row.wavenumber, row.psi);
    // As promised: 1e-3 of the peak, at most 2.
    EXPECT_LT(std::abs(computed - row.directivity), 1e-3 * 2) << row.wavenumber << " " << row.psi;
    // The axis is an angle of the table: no interpolation.
    if (row.psi == 0) {
      EXPECT_LT(std::abs(computed - row.directivity), 1e-10) << row.wavenumber;
    }
  }
}

struct ReferenceRow {
  std::string
      velocity;  // "flat": a flat piston's plane wave; "cap": one radial velocity, as textbooks have it
  double ratio = 0, wavenumber_radius = 0, angle_deg = 0;  // a/b, k a
  Complex directivity;
};

// Of tests/reference/piston_in_sphere.py: the textbook series with the Bessel functions, Legendre polynomials
// and quadrature of scipy, to 10 digits.
std::vector<ReferenceRow> reference_rows() {
  std::ifstream file(CABINFIELD_SOURCE_DIR "/tests/reference/piston_in_sphere.txt");
  std::vector<ReferenceRow> rows;
  for (std::string line; std::getline(file, line);) {
    if (line.starts_with('#')) continue;
    std::istringstream words(line);
    ReferenceRow row;
    double real = 0, imaginary = 0;
    words >> row.velocity >> row.ratio >> row.wavenumber_radius >> row.angle_deg >> real >> imaginary;
    row.directivity = {real, imaginary};
    rows.push_back(std::move(row));
  }
  return rows;
}

TEST(SpherePiston, MatchesAnotherImplementationOfTheSeries) {
  int compared = 0;
  for (const ReferenceRow& row : reference_rows()) {
    if (row.velocity != "flat") continue;
    const Complex computed =
        sphere_piston(row.ratio, 1, row.wavenumber_radius / row.ratio, row.angle_deg * pi / 180);
    // The poles are angles of the table; between its angles as promised, 1e-3 of the peak of 2.
    const double tolerance = std::fmod(row.angle_deg, 180) == 0 ? 1e-9 : 2e-3;
    EXPECT_LT(std::abs(computed - row.directivity), tolerance)
        << "a/b " << row.ratio << ", ka " << row.wavenumber_radius << ", " << row.angle_deg << " degrees";
    ++compared;
  }
  EXPECT_EQ(compared, 4 * 5 * 7);
}

TEST(SpherePiston, HasTheLevelOfTheTextbookDomeExceptForItsCurvature) {
  // Morse & Ingard's piston is a dome, one radial velocity over the cap (Theoretical Acoustics, 7.2). Far
  // away on its axis the waves of its rim and its middle are s = kb (1 - cos theta0) of phase apart, each
  // ring of the same height as strong as any other: together sin(s/2)/(s/2) = 1 - s^2/24 of a flat piston's.
  // What is left is the cosine by which radial and axial velocity differ, of the order (1 - cos theta0)^2/12
  // = 8e-5.
  int compared = 0;
  for (const ReferenceRow& row : reference_rows()) {
    if (row.velocity != "cap" || row.ratio != 0.25 || row.wavenumber_radius > 2 || row.angle_deg > 0)
      continue;
    const double wavenumber = row.wavenumber_radius / row.ratio;
    const double phase = wavenumber * (1 - std::sqrt(1 - row.ratio * row.ratio));
    const double flat = std::abs(sphere_piston(row.ratio, 1, wavenumber, 0));
    EXPECT_NEAR(std::abs(row.directivity) / flat, 1 - phase * phase / 24, 1e-4) << row.wavenumber_radius;
    ++compared;
  }
  EXPECT_EQ(compared, 3);
}

TEST(SpherePiston, StepsUpByThreeDecibelsWhereTheRuleOfThumbSays) {
  // Half of the 6 dB step from full to half space lies at 115 m/s over the baffle's width (common practice,
  // no source; drawn from measured spheres and boxes, so good to some tenth).
  double low = 0.1, high = 10;  // k b
  for (int i = 0; i < 50; ++i)
    (std::abs(sphere_piston(0.02, 1, std::sqrt(low * high), 0)) < std::sqrt(2) ? low : high) =
        std::sqrt(low * high);
  EXPECT_NEAR(low * 343 / pi, 115, 0.1 * 115);
}

TEST(SpherePiston, InterpolatesInAngleToAThousandthOfThePeak) {
  // Two sizes of table that share no angle but the poles, one five times as fine thanks to a second, higher
  // wavenumber.
  for (double kb : {3.0, 20.0, 60.0})
    for (double ratio : {0.2, 0.7, 1.0}) {
      const SpherePistonDirectivity coarse(ratio, 1, {kb});
      const SpherePistonDirectivity fine(ratio, 1, {kb, 5.03 * std::max(kb, 12.0)});
      double peak = 0, worst = 0;
      for (int i = 0; i <= 2000; ++i) {
        Complex from_coarse;
        std::vector<Complex> from_fine(2);
        coarse.evaluate(pi * i / 2000, {&from_coarse, 1});
        fine.evaluate(pi * i / 2000, from_fine);
        peak = std::max(peak, std::abs(from_fine[0]));
        worst = std::max(worst, std::abs(from_coarse - from_fine[0]));
      }
      EXPECT_LT(worst, 1e-3 * peak) << kb << " " << ratio;
      EXPECT_GT(worst, 0) << "the two tables are one";
    }
}

TEST(SpherePiston, IsAPointSourceAtLowFrequency) {
  for (double psi : {0.0, 1.0, 2.0, pi}) {
    EXPECT_LT(std::abs(sphere_piston(0.03, 0.05, 0, psi) - 1.0), 1e-14);  // rounding of the quadrature's sum
    EXPECT_LT(std::abs(sphere_piston(0.03, 0.05, 1e-9, psi) - 1.0), 1e-10);
    EXPECT_LT(std::abs(sphere_piston(0.03, 0.05, 1e-4, psi) - 1.0), 1e-5);
  }
  // A small source on a small sphere of k b = x, to first order: p ~ 1 + (3/2) j x cos psi about the sphere's
  // centre (the sphere's dipole adds half again), so 1 + (j/2) x cos psi about the source: sound reaches the
  // back later.
  const double x = 1e-3;
  for (double psi : {0.0, 1.0, pi})
    EXPECT_LT(std::abs(sphere_piston(0.01, 1, x, psi) - Complex(1, 0.5 * x * std::cos(psi))), 3 * x * x)
        << psi;
}

TEST(SpherePiston, IsABaffledPistonAtHighFrequency) {
  // In front of a large sphere the pattern is that of an infinite baffle, 4 J1(x)/x (Beranek & Mellow,
  // Acoustics, 13.7). What differs is the edge of the sphere and falls with k b: measured 0.0043 at 60,
  // 0.0002 at 300, of 2.
  for (auto [kb, tolerance] : {std::pair{60.0, 0.01}, std::pair{300.0, 0.001}})
    for (double ratio : {0.2, 0.5, 0.7})
      for (double psi : {0.0, 0.1, 0.3, 0.6}) {
        const double magnitude = std::abs(sphere_piston(ratio, 1, kb, psi));
        EXPECT_NEAR(magnitude, std::abs(2 * piston(kb * ratio * std::sin(psi))), tolerance)
            << kb << " " << ratio << " " << psi;
      }
}

TEST(SpherePiston, SoundTravelsRoundTheSphereToTheBack) {
  // Ray to a far point behind: pi/2 of arc and on, against the straight line through the sphere: longer by b
  // (pi/2 - 1). The creeping wave is slower than that by about 0.81 x^{-2/3} (Keller's theory of diffraction,
  // from memory).
  const double x = 12, step = 0.01;
  const Complex low = sphere_piston(0.02, 1, x - step, pi), high = sphere_piston(0.02, 1, x + step, pi);
  const double extra_path = -std::arg(high / low) / (2 * step);
  EXPECT_GT(extra_path, pi / 2 - 1);
  EXPECT_LT(extra_path, (pi / 2 - 1) + pi / 2 * 0.81 * std::pow(x, -2.0 / 3));
}

// Power radiated over that of a free point source of the same volume velocity, from the pressure on the
// sphere itself: the resistance of each order times the square of its velocity. Bessel functions of the
// standard library.
double power_ratio_at_surface(double ratio, double x) {
  const double c = std::sqrt(1 - ratio * ratio);
  double power = 0;
  for (unsigned n = 0; n < static_cast<unsigned>(x + 15); ++n) {
    Complex share = 0;
    double flow = 0;
    const int steps = 4000;
    for (int i = 0; i < steps; ++i) {
      const double mu = c + (1 - c) * (i + 0.5) / steps;
      share += std::legendre(n, mu) * mu * std::polar(1.0, -x * (mu - c));
      flow += mu;
    }
    auto hankel = [&](unsigned order) {
      return Complex(std::sph_bessel(order, x), -std::sph_neumann(order, x));
    };
    const Complex slope = n / x * hankel(n) - hankel(n + 1);
    const double resistance = (Complex(0, -1) * hankel(n) / slope).real();
    power += (2 * n + 1) * std::norm(share / flow) * resistance;
  }
  return power / (x * x);
}

TEST(SpherePiston, FarFieldCarriesThePowerThatLeavesTheSurface) {
  for (double x : {0.5, 4.0, 15.0})
    for (double ratio : {0.3, 0.8}) {
      const SpherePistonDirectivity directivity(ratio, 1, {x});
      const int steps = 2000;
      double power = 0;
      for (int i = 0; i < steps; ++i) {
        const double psi = pi * (i + 0.5) / steps;
        Complex value;
        directivity.evaluate(psi, {&value, 1});
        power += std::norm(value) * std::sin(psi) / 2 * pi / steps;
      }
      // Twice the error of interpolation, and midpoint sums of 1e-6.
      EXPECT_NEAR(power / power_ratio_at_surface(ratio, x), 1, 2e-3) << x << " " << ratio;
    }
}

TEST(SpherePiston, AListOfWavenumbersGivesTheSameAsEachAlone) {
  const SpherePistonDirectivity together(0.03, 0.05, {300, 0, 20, 1200});
  std::vector<Complex> directivity(4);
  together.evaluate(0.8, directivity);
  const std::vector<double> wavenumber{300, 0, 20, 1200};
  for (std::size_t i = 0; i < 4; ++i)
    EXPECT_LT(std::abs(directivity[i] - sphere_piston(0.03, 0.05, wavenumber[i], 0.8)), 2e-3)
        << wavenumber[i];
}

TEST(SpherePiston, StaysFiniteFarOutOfRange) {
  for (double wavenumber : {1e-12, 1e-6, 1e-2, 800.0})
    for (double psi : {-0.1, 0.0, 3.0, pi, 4.0})
      for (double piston_radius : {1e-3, 0.25}) {
        const Complex directivity = sphere_piston(piston_radius, 0.25, wavenumber, psi);
        EXPECT_TRUE(std::abs(directivity) <= 2.1) << wavenumber << " " << psi << " " << directivity;
      }
}

TEST(SpherePiston, RefusesInvalidPistons) {
  EXPECT_THROW(SpherePistonDirectivity(0.06, 0.05, {1}), std::invalid_argument);
  EXPECT_THROW(SpherePistonDirectivity(0, 0.05, {1}), std::invalid_argument);
  EXPECT_THROW(SpherePistonDirectivity(0.03, 0.05, {-1}), std::invalid_argument);
  EXPECT_THROW(SpherePistonDirectivity(0.03, 0.05, {std::nan("")}), std::invalid_argument);
}

}  // namespace
}  // namespace cabinfield
