#include "driver/published_response.h"

#include <gtest/gtest.h>

#include <cmath>
#include <stdexcept>

#include "driver/driver_circuit.h"

namespace cabinfield {
namespace {

const Air air = air_at({});

ThieleSmall midbass() {
  ThieleSmallGiven given;
  given.Fs_hz = 62;
  given.Qes = 0.55;
  given.Qms = 4.5;
  given.Re_ohm = 3.3;
  given.Le_h = 0.25e-3;
  given.Sd_m2 = 137e-4;
  given.Mms_kg = 14.2e-3;
  return derive_thiele_small(given, air).set;
}

/// The circuit's own level at some frequencies, plus an offset.
std::vector<ResponsePoint> table(const std::vector<double>& frequency_hz,
                                 const std::vector<double>& added_db) {
  const auto level = half_space_level_db(midbass(), air, frequency_hz);
  std::vector<ResponsePoint> rows;
  for (std::size_t i = 0; i < level.size(); ++i) rows.push_back({frequency_hz[i], level[i] + added_db[i]});
  return rows;
}

TEST(PublishedResponse, TheCircuitsLevelMatchesItsReferenceEfficiency) {
  // Between resonance and the voice coil's corner: 112 + 10 lg eta0 dB for 1 W at 1 m in half space (Small,
  // J. Audio Eng. Soc. 20 (1972) 383; 112.1 with rho c = 413, 20 uPa), with V^2/Re as the power. At 300 Hz an
  // inductance of 0.25 mH and the resonance below, which that formula neglects, take up to 0.5 dB.
  ThieleSmall set = midbass();
  set.Le_h = 0;
  const double efficiency = reference_efficiency(set, air);
  const double expected = 112.1 + 10 * std::log10(efficiency * 2.83 * 2.83 / set.Re_ohm);
  EXPECT_NEAR(half_space_level_db(set, air, {600}).front(), expected, 0.15);
}

TEST(PublishedResponse, EqualToTheCircuitChangesNothing) {
  const auto ratio =
      published_over_circuit(table({80, 300, 1000, 5000, 16000}, {0, 0, 0, 0, 0}), midbass(), air);
  // Between the rows too, except for rounding of the decibels.
  for (double f : {10.0, 80.0, 113.0, 160.0, 517.0, 2345.0, 16000.0, 20000.0})
    EXPECT_LT(std::abs(ratio.gain(f) - 1.0), 1e-12) << f;
  EXPECT_NEAR(ratio.lowest_octave_db, 0, 1e-12);
}

TEST(PublishedResponse, HasFullWeightAboveTheLowestOctaveOfItsTable) {
  const auto ratio =
      published_over_circuit(table({100, 150, 400, 1600, 1700, 8000}, {-3, 2, 1, 0, 6, 6}), midbass(), air);
  for (double f : {20.0, 99.0, 100.0}) EXPECT_NEAR(ratio.gain.gain_db(f), 0, 1e-12) << f;
  for (auto [f, db] : std::vector<std::pair<double, double>>{
           {400, 1}, {1600, 0}, {1700, 6}, {3000, 6}, {8000, 6}, {20000, 6}})
    EXPECT_NEAR(ratio.gain.gain_db(f), db, 1e-12) << f;
  // 200 Hz, an octave up: on the line from 150 to 400 Hz. Half way to it in the logarithm, half of the line
  // from 100 to 150 Hz.
  EXPECT_NEAR(ratio.gain.gain_db(200), 2 - std::log(200.0 / 150) / std::log(400.0 / 150), 1e-12);
  EXPECT_NEAR(ratio.gain.gain_db(100 * std::sqrt(2)), 0.5 * (-3 + 5 * std::log(std::sqrt(2)) / std::log(1.5)),
              1e-12);
  EXPECT_GT(std::abs(ratio.gain.phase_rad(1650)), 0.3);
}

TEST(PublishedResponse, RefusesInvalidTables) {
  EXPECT_THROW(published_over_circuit(table({100, 800}, {0, 0}), midbass(), air), std::invalid_argument);
  EXPECT_THROW(published_over_circuit(table({100, 200, 390}, {0, 0, 0}), midbass(), air),
               std::invalid_argument);
  EXPECT_THROW(published_over_circuit(table({100, 800, 800}, {0, 0, 0}), midbass(), air),
               std::invalid_argument);
}

}  // namespace
}  // namespace cabinfield
