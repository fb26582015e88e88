#include "field/images/path_sum.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "base/constants.h"
#include "driver/directivity.h"
#include "field/frequency_grid.h"
#include "material/material.h"

namespace cabinfield {
namespace {

/// The sum by its formula, one complex exponential at a time.
std::vector<Complex> plain_sum(const Air& air, const std::vector<double>& frequency_hz,
                               const std::vector<std::vector<Complex>>& beta, const Source& source,
                               const std::vector<Path>& paths) {
  // A rigid wall reflects all at any angle, also where the quotient is 0/0.
  auto reflection = [](Complex admittance, double cosine) {
    return admittance == 0.0 ? Complex(1) : reflection_factor(admittance, cosine);
  };
  const std::vector<double> m = air.energy_attenuation_per_m(frequency_hz);
  std::vector<Complex> sum(frequency_hz.size());
  for (std::size_t f = 0; f < frequency_hz.size(); ++f) {
    const double omega = 2 * pi * frequency_hz[f], k = omega / air.sound_speed_m_s;
    for (const Path& path : paths) {
      const double r = path.length_m + source.setback_m;
      Complex term = std::exp(Complex(-m[f] * r / 2, -k * r)) / r;
      for (int w = 0; w < path.walls; ++w)
        for (int n = 0; n < path.wall[w].times; ++n)
          term *= reflection(beta[path.wall[w].material][f], path.wall[w].cosine);
      if (path.own_material >= 0) term *= 1.0 + reflection(beta[path.own_material][f], path.own_cosine);
      if (source.face >= 0 && source.piston_radius_m > 0) {
        const double x = k * source.piston_radius_m * path.sine_psi;
        term *= x < 1e-6 ? 1.0 : 2 * std::cyl_bessel_j(1, x) / x;
      }
      sum[f] += term;
    }
    sum[f] *= Complex(0, omega * air.density_kg_m3 / (4 * pi));
  }
  return sum;
}

struct Kind {
  const char* name;
  bool flush, complex_walls, constant_walls, octaves;
};

class PathSumKinds : public testing::TestWithParam<Kind> {};

TEST_P(PathSumKinds, EqualsTheDirectSum) {
  const Kind kind = GetParam();
  const Air air = air_at({});
  const std::vector<double> frequency =
      kind.octaves ? octave_grid_hz(10, 20000, 48)
                   : std::vector<double>{17, 40, 63.5, 211, 999, 1000.1, 4321, 12345, 19999};
  std::mt19937 random(11);
  auto between = [&](double low, double high) {
    return std::uniform_real_distribution<double>(low, high)(random);
  };
  std::vector<std::vector<Complex>> beta(5, std::vector<Complex>(frequency.size()));
  for (std::size_t f = 0; f < frequency.size(); ++f) {
    beta[1][f] = kind.constant_walls ? 0.05 : 0.01 + 0.2 * std::min(1.0, frequency[f] / 1000);
    beta[2][f] = kind.constant_walls ? 0.3 : 0.02 + 0.1 / (1 + frequency[f] / 500);
    beta[3][f] = kind.complex_walls ? Complex(0.1, 0.4 * frequency[f] / (frequency[f] + 300))
                                    : Complex(0.07 + frequency[f] * 1e-5);
    beta[4][f] = kind.complex_walls ? Complex(0.02, -0.3) : Complex(0.02);
  }
  Source source;
  source.piston_radius_m = 0.066;
  source.face = kind.flush ? 0 : -1;
  source.setback_m = kind.flush ? 0.02 : 0;
  std::vector<Path> paths;
  for (int i = 0; i < 40; ++i) {
    Path path;
    path.length_m = between(0.3, 60);
    path.sine_psi = between(0, 1);
    if (kind.flush) path.own_material = i % 5, path.own_cosine = between(0, 1);
    path.walls = i % 7;
    for (int w = 0; w < path.walls; ++w)
      path.wall[w] = {static_cast<int>(between(0, 4.99)), i == 13 ? 0.0 : between(0.01, 1),
                      1 + static_cast<int>(between(0, 9.99))};
    paths.push_back(path);
  }
  const PathMedium medium(air, frequency, beta);
  PathSum sum(medium, source, nullptr);
  for (const Path& path : paths) sum.add(path);
  const auto fast = sum.pressure(), plain = plain_sum(air, frequency, beta, source, paths);
  double largest = 0;
  for (const Complex& p : plain) largest = std::max(largest, std::abs(p));
  // Eleven doublings of a rounding of 1e-16 at 3,600 rad, and the directivity's table of 1e-10.
  const double tolerance = kind.flush ? 1e-9 : 2e-11;
  for (std::size_t f = 0; f < frequency.size(); ++f) {
    // Relative to the incoherent sum: what rounding is relative to.
    double size = 0;
    for (const Path& path : paths) size += 2 / path.length_m;
    size *= frequency[f] * air.density_kg_m3 / 2;
    EXPECT_LT(std::abs(fast[f] - plain[f]) / size, tolerance) << frequency[f] << " Hz";
  }
  EXPECT_GT(largest, 0);
}

INSTANTIATE_TEST_SUITE_P(Kinds, PathSumKinds,
                         testing::Values(Kind{"free_real", false, false, false, true},
                                         Kind{"free_constant", false, false, true, true},
                                         Kind{"flush_real", true, false, false, true},
                                         Kind{"flush_complex", true, true, false, true},
                                         Kind{"free_complex", false, true, false, true},
                                         Kind{"list_complex", true, true, false, false},
                                         Kind{"list_real", false, false, false, false}),
                         [](const auto& kind) { return kind.param.name; });

TEST(PathSum, FreeDriverAtADistanceIsAPointSource) {
  // jωρQ/(4πr) e^{-jkr}, textbook (e.g. Kuttruff, Room Acoustics, eq. 1.28), without air absorption at low
  // frequency.
  const Air air = air_with(343.2, 1.204);
  const PathMedium medium(air, {20, 50}, {});
  Source source;
  PathSum sum(medium, source, nullptr);
  Path path;
  path.length_m = 7.25;
  sum.add(path);
  const auto p = sum.pressure();
  const double omega = 2 * pi * 50;
  const Complex expected =
      Complex(0, omega * 1.204 / (4 * pi * 7.25)) * std::exp(Complex(0, -omega / 343.2 * 7.25));
  EXPECT_LT(std::abs(p[1] - expected),
            1e-4 * std::abs(expected));  // air takes 0.08 dB/km at 50 Hz: 7e-5 over this path
}

TEST(OctaveGrid, DoublesExactlyAndIncludesTheEnd) {
  const auto grid = octave_grid_hz(10, 20000, 48);
  EXPECT_EQ(octave_step(grid), 48);
  EXPECT_EQ(grid.front(), 10);
  EXPECT_LE(grid.back(), 20000 * (1 + 1e-9));
  EXPECT_GT(grid.back() * std::exp2(1.0 / 48), 20000);
  EXPECT_EQ(octave_step({10, 20, 30}), 0);
  EXPECT_EQ(octave_grid_hz(10, 320, 1).size(), 6u);
}

}  // namespace
}  // namespace cabinfield
