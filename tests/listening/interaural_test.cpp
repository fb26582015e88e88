#include "listening/interaural.h"

#include <gtest/gtest.h>

#include <cmath>
#include <complex>
#include <random>

#include "field/frequency_grid.h"
#include "listening/arrival.h"
#include "listening/sphere_head.h"

namespace cabinfield {
namespace {

constexpr double sound_speed = 343;

std::vector<double> grid() { return octave_grid_hz(20, 20000, 48); }

std::vector<double> even_grid(double from_hz, double to_hz, double step_hz) {
  std::vector<double> frequency;
  for (int i = 0; from_hz + i * step_hz <= to_hz; ++i) frequency.push_back(from_hz + i * step_hz);
  return frequency;
}

// Any phase, magnitudes from 0.5 to 1.5; a fixed sequence.
std::vector<Complex> any_spectrum(std::size_t count, unsigned seed) {
  std::mt19937 sequence(seed);
  auto unit = [&] { return static_cast<double>(sequence()) / 4294967296.0; };
  std::vector<Complex> spectrum;
  for (std::size_t i = 0; i < count; ++i) {
    const double magnitude = 0.5 + unit();
    spectrum.push_back(std::polar(magnitude, 2 * pi * unit()));
  }
  return spectrum;
}

std::vector<Complex> delayed(const std::vector<double>& frequency, std::vector<Complex> ear, double delay_s,
                             double gain = 1) {
  for (std::size_t i = 0; i < ear.size(); ++i)
    ear[i] *= gain * std::polar(1.0, -2 * pi * frequency[i] * delay_s);
  return ear;
}

struct Ears {
  std::vector<Complex> left, right;
};

Ears sphere_at(const std::vector<double>& frequency, double side_deg,
               double distance_m = SphereHead::far_away_m) {
  std::vector<double> wavenumber;
  for (double f : frequency) wavenumber.push_back(2 * pi * f / sound_speed);
  const SphereHead head(wavenumber, head_radius_m, distance_m);
  Ears ears{std::vector<Complex>(frequency.size()), std::vector<Complex>(frequency.size())};
  head.evaluate(pi / 2 + side_deg * pi / 180, ears.left);
  head.evaluate(pi / 2 - side_deg * pi / 180, ears.right);
  return ears;
}

TEST(InterauralTime, IsTheDelayBetweenTheEars) {
  const std::vector<double> frequency = grid();
  const std::vector<Complex> right = any_spectrum(frequency.size(), 1);
  for (double delay_s : {-950e-6, -400e-6, -1e-6, 0.0, 3e-9, 123.456e-6, 655.8e-6, 999e-6}) {
    // The left ear hears it later: the source is to the right. Exact but for rounding: every frequency
    // agrees.
    const auto time = interaural_time(frequency, delayed(frequency, right, delay_s, 0.3), right);
    ASSERT_TRUE(time);
    EXPECT_NEAR(time->difference_s, delay_s, 1e-11);
    EXPECT_NEAR(time->coherence, 1, 1e-12);
    EXPECT_LE(time->coherence, 1);
  }
}

TEST(InterauralTime, EqualEarsAreInTheMiddle) {
  const std::vector<double> frequency = grid();
  const std::vector<Complex> both = any_spectrum(frequency.size(), 2);
  const auto time = interaural_time(frequency, both, both);
  ASSERT_TRUE(time);
  EXPECT_NEAR(time->difference_s, 0, 1e-15);
  EXPECT_NEAR(time->coherence, 1, 1e-12);
  EXPECT_NEAR(*interaural_level_db(frequency, both, both), 0, 1e-12);
  EXPECT_NEAR(SideAngleScale::of_wave_front(sound_speed).at(time->difference_s).angle_deg, 0, 1e-9);
}

TEST(InterauralTime, WeightsEveryHertzEquallyOnAnyGrid) {
  // Ears alike but for polarity, white from 200 to 1500 Hz: C = -(sin 2 pi f2 tau - sin 2 pi f1 tau)/(2 pi
  // tau (f2 - f1)), whose highest value to 1 ms was found on a fine grid of lags (numpy): 0.395491 at 475.10
  // us, at both signs alike, of which the right is taken. Trapezia of 1/48 octave come within 0.03 % of the
  // integral; a logarithmic weight would be off by a quarter.
  for (const std::vector<double>& frequency : {grid(), even_grid(100, 2000, 7)}) {
    const std::vector<Complex> left(frequency.size(), 1), right(frequency.size(), -1);
    const auto time = interaural_time(frequency, left, right);
    ASSERT_TRUE(time);
    EXPECT_NEAR(time->difference_s, 475.10e-6, 0.2e-6);
    EXPECT_NEAR(time->coherence, 0.395491, 3e-4);
  }
}

TEST(InterauralTime, UnrelatedEarsHaveLowCoherence) {
  // 261 frequencies of any phase: at one lag C has a standard deviation of about 1/sqrt(2 261) = 0.044; the
  // highest of some five independent lags stays under five times that.
  const std::vector<double> frequency = even_grid(200, 1500, 5);
  for (unsigned seed = 0; seed < 20; ++seed) {
    const auto time = interaural_time(frequency, any_spectrum(frequency.size(), 2 * seed + 100),
                                      any_spectrum(frequency.size(), 2 * seed + 101));
    ASSERT_TRUE(time);
    EXPECT_LT(time->coherence, 0.22);
    EXPECT_LE(std::abs(time->difference_s), longest_interaural_lag_s);
  }
}

TEST(InterauralTime, AndLevelOfASphereMatchAnIndependentSum) {
  // The sphere's series with scipy.special.spherical_jn and _yn at 13001 even frequencies (time) and 8001
  // logarithmic ones (level), c = 343 m/s, a = 8.75 cm; lag by scipy.optimize. 48 an octave here.
  struct Row {
    double side_deg, time_us, coherence, level_db;
  };
  const std::vector<double> frequency = grid();
  for (const Row& row : {Row{10, 102.862, 0.995591, 2.0742}, Row{30, 314.106, 0.964184, 5.9479},
                         Row{60, 608.152, 0.969671, 10.8137}, Row{90, 700.704, 0.989514, 4.5531}}) {
    const Ears ears = sphere_at(frequency, row.side_deg);
    const auto time = interaural_time(frequency, ears.left, ears.right);
    ASSERT_TRUE(time);
    EXPECT_NEAR(time->difference_s, row.time_us * 1e-6, 0.1e-6) << row.side_deg;
    EXPECT_NEAR(time->coherence, row.coherence, 1e-4) << row.side_deg;
    EXPECT_NEAR(*interaural_level_db(frequency, ears.left, ears.right), row.level_db, 0.03) << row.side_deg;
    // Between Woodworth's wave front and Kuhn's low frequency limit.
    EXPECT_GT(time->difference_s, woodworth_itd_s(row.side_deg * pi / 180, head_radius_m, sound_speed));
    EXPECT_LT(time->difference_s, 3 * head_radius_m * std::sin(row.side_deg * pi / 180) / sound_speed);
  }
}

TEST(InterauralTime, ChangesSignWhenTheEarsAreSwapped) {
  const std::vector<double> frequency = grid();
  const Ears ears = sphere_at(frequency, 35);
  const auto one = interaural_time(frequency, ears.left, ears.right);
  const auto other = interaural_time(frequency, ears.right, ears.left);
  EXPECT_NEAR(one->difference_s, -other->difference_s, 1e-12);
  EXPECT_NEAR(one->coherence, other->coherence, 1e-12);
  EXPECT_NEAR(*interaural_level_db(frequency, ears.left, ears.right),
              -*interaural_level_db(frequency, ears.right, ears.left), 1e-12);
}

TEST(InterauralTime, IsEmptyWhereItIsUndefined) {
  auto time = [](const std::vector<double>& frequency, Complex left, Complex right) {
    return interaural_time(frequency, std::vector<Complex>(frequency.size(), left),
                           std::vector<Complex>(frequency.size(), right));
  };
  EXPECT_TRUE(time(even_grid(100, 2000, 10), 1, 1));
  EXPECT_FALSE(time(even_grid(100, 2000, 10), 0, 1)) << "a silent ear";
  EXPECT_FALSE(time(even_grid(100, 2000, 10), 1, std::nan(""))) << "no number";
  EXPECT_FALSE(time({}, 1, 1));
  EXPECT_FALSE(time({1000}, 1, 1));
  EXPECT_FALSE(time(even_grid(20, 800, 10), 1, 1)) << "less than half of the range";
  EXPECT_TRUE(time(even_grid(20, 900, 10), 1, 1));
  EXPECT_FALSE(time(even_grid(200, 1500, 600), 1, 1)) << "too coarse";
  EXPECT_FALSE(time(even_grid(2000, 4000, 10), 1, 1)) << "elsewhere";
}

TEST(InterauralLevel, IsTheRatioOfTheEars) {
  const std::vector<double> frequency = grid();
  const std::vector<Complex> left = any_spectrum(frequency.size(), 3);
  // A factor 2 is 6.02 dB; to the right is positive.
  EXPECT_NEAR(*interaural_level_db(frequency, left, delayed(frequency, left, 1e-3, 2)), 20 * std::log10(2),
              1e-9);
  EXPECT_FALSE(interaural_level_db(frequency, left, std::vector<Complex>(left.size(), 0)));
  const std::vector<double> low = even_grid(20, 1000, 10);
  EXPECT_FALSE(
      interaural_level_db(low, std::vector<Complex>(low.size(), 1), std::vector<Complex>(low.size(), 1)));
}

TEST(SideAngle, OfASourceInFrontOfASphereIsItsAngle) {
  const std::vector<double> frequency = grid();
  const auto scale = SideAngleScale::of_sphere(frequency, sound_speed);
  ASSERT_TRUE(scale);
  for (double side_deg : {-75.3, -30.0, -4.5, 0.0, 12.3, 30.0, 45.0, 60.0, 80.0}) {
    const Ears ears = sphere_at(frequency, side_deg);
    const SideAngle angle = scale->at(interaural_time(frequency, ears.left, ears.right)->difference_s);
    // Straight lines by the degree.
    EXPECT_NEAR(angle.angle_deg, side_deg, 0.05) << side_deg;
    EXPECT_FALSE(angle.beyond);
  }
  // Behind the ears is as in front of them.
  const Ears behind = sphere_at(frequency, 180 - 30.0);
  EXPECT_NEAR(scale->at(interaural_time(frequency, behind.left, behind.right)->difference_s).angle_deg, 30,
              0.05);
  // At 90 degrees time hardly changes with angle: a table's own end, not beyond it.
  const Ears aside = sphere_at(frequency, -90);
  const SideAngle angle = scale->at(interaural_time(frequency, aside.left, aside.right)->difference_s);
  EXPECT_NEAR(angle.angle_deg, -90, 0.5);
  EXPECT_FALSE(angle.beyond);
}

TEST(SideAngle, OfANearSourceIsItsAngleWithinThreeDegrees) {
  // The scale is of a far source; a driver stands at 0.5 to 1.5 m.
  const std::vector<double> frequency = grid();
  const auto scale = SideAngleScale::of_sphere(frequency, sound_speed);
  for (double distance : {0.5, 0.8, 1.5})
    for (double side_deg : {10.0, 30.0, 60.0}) {
      const Ears ears = sphere_at(frequency, side_deg, distance);
      const auto time = interaural_time(frequency, ears.left, ears.right);
      EXPECT_NEAR(scale->at(time->difference_s).angle_deg, side_deg, 3) << distance << " " << side_deg;
    }
}

TEST(SideAngle, OnTheSpheresScaleHoldsOnOtherGridsAndRanges) {
  for (const std::vector<double>& frequency : {octave_grid_hz(20, 1000, 24), even_grid(50, 3000, 25)}) {
    const auto scale = SideAngleScale::of_sphere(frequency, sound_speed);
    ASSERT_TRUE(scale);
    const Ears ears = sphere_at(frequency, 40);
    EXPECT_NEAR(scale->at(interaural_time(frequency, ears.left, ears.right)->difference_s).angle_deg, 40,
                0.1);
  }
  EXPECT_FALSE(SideAngleScale::of_sphere(even_grid(20, 500, 10), sound_speed));
  EXPECT_FALSE(SideAngleScale::of_sphere({}, sound_speed));
}

TEST(SideAngle, OnTheWaveFrontsScaleIsWoodworthsInverse) {
  // a (theta + sin theta)/c, a = 8.75 cm, c = 343 m/s, computed by hand: 261.1, 488.1 and 655.8 us. Half a
  // last digit is 0.006 degrees, a straight line by the degree 0.03 at most.
  const SideAngleScale scale = SideAngleScale::of_wave_front(sound_speed);
  EXPECT_NEAR(scale.at(261.1e-6).angle_deg, 30, 0.05);
  EXPECT_NEAR(scale.at(-488.1e-6).angle_deg, -60, 0.05);
  EXPECT_NEAR(scale.at(655.8e-6).angle_deg, 90, 0.05);
  EXPECT_FALSE(scale.at(655.8e-6).beyond);
  // Times agree to a microsecond: so much over the longest is the longest (655.82 us).
  EXPECT_FALSE(scale.at(656.5e-6).beyond);
  EXPECT_TRUE(scale.at(657.5e-6).beyond);
  EXPECT_TRUE(scale.at(660e-6).beyond);
  EXPECT_EQ(scale.at(660e-6).angle_deg, 90);
  EXPECT_TRUE(scale.at(-1e-3).beyond);
  EXPECT_EQ(scale.at(-1e-3).angle_deg, -90);
  for (double side_deg : {-89.5, -33.3, 0.2, 71.7})
    EXPECT_NEAR(scale.at(woodworth_itd_s(side_deg * pi / 180, head_radius_m, sound_speed)).angle_deg,
                side_deg, 0.05);
}

TEST(SideAngle, OnTheScaleOfFreeEarsIsTheInverseSine) {
  const SideAngleScale scale = SideAngleScale::of_free_ears(sound_speed, 0.0875);
  // Two points 175 mm apart: at 30 degrees 87.5 mm of path, 255.1 us.
  EXPECT_NEAR(scale.at(255.102e-6).angle_deg, 30, 0.01);
  // By the degree, worst where the sine is flat: a quarter of a degree as promised.
  for (double side_deg = -90; side_deg <= 90; side_deg += 0.25)
    EXPECT_NEAR(scale.at(0.175 * std::sin(side_deg * pi / 180) / sound_speed).angle_deg, side_deg, 0.2501)
        << side_deg;
}

}  // namespace
}  // namespace cabinfield
