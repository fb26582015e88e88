// Impulse responses against closed forms of the Fourier and Laplace transforms.
#include "listening/impulse.h"

#include <gtest/gtest.h>

#include <cmath>
#include <functional>
#include <limits>
#include <random>
#include <thread>

#include "base/air.h"
#include "base/constants.h"
#include "field/images/image_field.h"

namespace cabinfield {
namespace {

using Response = std::function<Complex(double frequency_hz)>;

std::vector<Complex> on_grid(const ImpulseGrid& grid, const Response& response) {
  std::vector<Complex> values;
  for (double frequency : grid.frequency_hz()) values.push_back(response(frequency));
  return values;
}

std::vector<double> impulse_of(const ImpulseGrid& grid, const Response& response, double at_rest = 0) {
  return ImpulseTransform(grid)(on_grid(grid, response), at_rest);
}

Response delay_of(double delay_s, double factor = 1) {
  return [=](double frequency_hz) { return std::polar(factor, -2 * pi * frequency_hz * delay_s); };
}

/// The band-limited pulse, `samples` from its middle: the transform pair of the I0-sinh window (Kaiser &
/// Schafer 1980) with beta = 6 over fs/12, times that of the ideal low pass at 11/24 fs.
double pulse(double samples) {
  const double middle = 11.0 / 12, y = pi * samples / 12, square = 36 - y * y;
  const double root = std::sqrt(std::abs(square));
  const double bell = root < 1e-6 ? 1 : square > 0 ? std::sinh(root) / root : std::sin(root) / root;
  const double sinc =
      std::abs(samples) < 1e-9 ? 1 : std::sin(pi * middle * samples) / (pi * middle * samples);
  return middle * sinc * bell * 6 / std::sinh(6.0);
}

/// The same, repeated with the grid's period as a sampled spectrum demands. The pulse falls as 0.036/t^2 (the
/// window ends on a step), so that what lies beyond 100 periods of 4096 is below 1e-11.
double periodic_pulse(double samples) {
  double sum = pulse(samples);
  for (int period = 1; period <= 100; ++period)
    sum += pulse(samples + period * 4096) + pulse(samples - period * 4096);
  return sum;
}

/// Where the energy lies, samples.
double middle_of_energy(const std::vector<double>& impulse) {
  double moment = 0, energy = 0;
  for (std::size_t n = 0; n < impulse.size(); ++n) {
    moment += static_cast<double>(n) * impulse[n] * impulse[n];
    energy += impulse[n] * impulse[n];
  }
  return moment / energy;
}

Complex spectrum_at(const std::vector<double>& impulse, double cycles_per_sample) {
  Complex sum = 0;
  for (std::size_t n = 0; n < impulse.size(); ++n)
    sum += impulse[n] * std::polar(1.0, -2 * pi * cycles_per_sample * static_cast<double>(n));
  return sum;
}

class EitherRate : public testing::TestWithParam<double> {
 protected:
  ImpulseGrid grid_{GetParam(), 4096};
};
INSTANTIATE_TEST_SUITE_P(Impulse, EitherRate, testing::Values(48000.0, 96000.0),
                         [](const auto& rate) { return std::to_string(static_cast<int>(rate.param)); });

TEST_P(EitherRate, PureDelayIsTheShiftedPulse) {
  for (double samples : {100.0, 100.37, 611.5}) {
    const auto impulse = impulse_of(grid_, delay_of(samples / GetParam()), 1);
    ASSERT_EQ(impulse.size(), 4096u);
    for (std::size_t n = 0; n < 4096 - 26; ++n)
      ASSERT_NEAR(impulse[n], periodic_pulse(static_cast<double>(n) - samples), 1e-10) << samples << " " << n;
    EXPECT_NEAR(middle_of_energy(impulse), samples, 1e-6);
  }
}

TEST_P(EitherRate, PureDelayPeaksAtItsTime) {
  const auto impulse = impulse_of(grid_, delay_of(250 / GetParam()), 1);
  const auto peak = std::max_element(impulse.begin(), impulse.end());
  EXPECT_EQ(peak - impulse.begin(), 250);
  // The mean of the band limit over all frequencies: flat to 5/12 of the rate, half a fall beyond, so 11/12;
  // pulses a period away add 2 x 0.036/4096^2.
  EXPECT_NEAR(*peak, 11.0 / 12, 1e-8);
}

TEST_P(EitherRate, NothingComesBeforeThePulse) {
  const auto impulse = impulse_of(grid_, delay_of(250.4 / GetParam()), 1);
  const double lead = band_limit_lead_s(GetParam());
  EXPECT_LT(level_before_db(impulse, GetParam(), 250.4 / GetParam() - lead), -80);
  EXPECT_LT(level_before_db(impulse, GetParam(), 228.4 / GetParam()), -60);
  EXPECT_GT(level_before_db(impulse, GetParam(), 250.4 / GetParam()), -10);
  EXPECT_NEAR(lead * GetParam(), 26, 1e-9);
}

TEST_P(EitherRate, TwoPathsAreTwoScaledPulses) {
  const double rate = GetParam(), near_s = 140 / rate, far_s = 396.25 / rate;
  const auto impulse = impulse_of(
      grid_, [&](double f) { return delay_of(near_s, 1 / 1.0)(f) + delay_of(far_s, -0.8 / 2.5)(f); },
      1 - 0.8 / 2.5);
  for (std::size_t n = 0; n < 4096 - 26; ++n) {
    const auto at = static_cast<double>(n);
    ASSERT_NEAR(impulse[n], periodic_pulse(at - 140) - 0.32 * periodic_pulse(at - 396.25), 1e-10) << n;
  }
}

TEST_P(EitherRate, OnePoleLowPassDecaysExponentially) {
  // Laplace pair w/(s + w) <-> w e^{-wt}; sampled, a filter's taps are 1/fs of it. A rate-free corner of 500
  // Hz.
  const double rate = GetParam(), corner = 2 * pi * 500, delay_s = 60 / rate;
  const auto impulse = impulse_of(
      grid_, [&](double f) { return delay_of(delay_s)(f) / Complex(1, 2 * pi * f / corner); }, 1);
  // The step at the arrival rings at the band's edge, 80 dB under the pulse it rings with, 26 samples on.
  for (std::size_t n = 90; n < 1000; ++n) {
    const double expected = corner / rate * std::exp(-corner * (static_cast<double>(n) / rate - delay_s));
    ASSERT_NEAR(impulse[n], expected, 1e-4 * corner / rate) << n;
  }
  EXPECT_LT(level_before_db(impulse, rate, delay_s - band_limit_lead_s(rate)), -60);
}

TEST_P(EitherRate, ResonanceDecaysWithinItsGrid) {
  // Laplace pair w^2/(s^2 + w s/Q + w^2) <-> w/sqrt(1 - z^2) e^{-zwt} sin(w sqrt(1 - z^2) t), z = 1/(2Q).
  const double rate = GetParam(), resonance = 2 * pi * 45, quality = 8, damping = 1 / (2 * quality),
               delay_s = 1.5e-3;
  const Response response = [&](double f) {
    const Complex s(0, 2 * pi * f / resonance);
    return delay_of(delay_s)(f) / (s * s + s / quality + 1.0);
  };
  const ImpulseGrid grid = impulse_grid(rate, delay_s, quality / (pi * 45));
  const auto impulse = impulse_of(grid, response, 1);
  const double root = std::sqrt(1 - damping * damping), peak = resonance / rate / root;
  for (std::size_t n = static_cast<std::size_t>(0.004 * rate); n < grid.length - 100; n += 7) {
    const double t = static_cast<double>(n) / rate - delay_s;
    // What wraps round is 80 dB under the peak.
    ASSERT_NEAR(impulse[n], peak * std::exp(-damping * resonance * t) * std::sin(resonance * root * t),
                1e-4 * peak);
  }
  EXPECT_LT(tail_level_db(impulse), wrap_around_limit_db);
  EXPECT_LT(level_before_db(impulse, rate, delay_s - band_limit_lead_s(rate)), -60);
  const auto folded = impulse_of({rate, grid.length / 4}, response, 1);
  EXPECT_GT(tail_level_db(folded), -40) << "a grid too short must show";
}

TEST_P(EitherRate, EnergyIsThatOfTheSpectrum) {
  // Parseval's theorem.
  std::mt19937 random(5);
  std::normal_distribution<double> normal;
  std::vector<double> filter(12);
  for (double& tap : filter) tap = normal(random);
  const double rate = GetParam();
  const Response response = [&](double f) {
    return spectrum_at(filter, f / rate) * delay_of(2000 / rate)(f);
  };
  const double at_rest = spectrum_at(filter, 0).real();
  const auto impulse = impulse_of(grid_, response, at_rest);
  double in_time = 0, in_frequency = at_rest * at_rest;
  for (double sample : impulse) in_time += sample * sample;
  for (double f : grid_.frequency_hz()) in_frequency += 2 * std::norm(response(f) * band_limit(f, rate));
  // What is cut at the end, 2000 samples from the pulse, is (0.036/2000^2)^2 a sample.
  EXPECT_NEAR(in_time / (in_frequency / 4096), 1, 1e-12);
}

TEST_P(EitherRate, ConvolutionIsTheProduct) {
  std::mt19937 random(7);
  std::normal_distribution<double> normal;
  std::vector<double> filter(40);
  for (double& tap : filter) tap = normal(random);
  const double rate = GetParam();
  const Response path = [&](double f) { return delay_of(2000.6 / rate)(f) / Complex(1, f / 3000); };
  const auto alone = impulse_of(grid_, path, 1);
  const auto both = impulse_of(
      grid_, [&](double f) { return path(f) * spectrum_at(filter, f / rate); },
      spectrum_at(filter, 0).real());
  for (std::size_t n = 0; n < 4096 - 26; ++n) {
    double convolved = 0;
    for (std::size_t m = 0; m < filter.size() && m <= n; ++m) convolved += filter[m] * alone[n - m];
    // What the period wraps and the end cuts: at most 0.036/2000^2 for each of 40 taps of size 1.
    ASSERT_NEAR(both[n], convolved, 4e-7) << n;
  }
}

TEST_P(EitherRate, SpectrumIsTheResponseInTheBand) {
  const double rate = GetParam();
  const Response path = [&](double f) { return delay_of(2000.6 / rate)(f) / Complex(1, f / 3000); };
  const auto impulse = impulse_of(grid_, path, 1);
  // 26 samples are cut at the end, each at most 0.036/2000^2.
  for (std::size_t k : {1u, 17u, 900u, 1706u}) {
    const double f = static_cast<double>(k) * rate / 4096;
    ASSERT_LE(f, rate * 5 / 12);
    EXPECT_NEAR(std::abs(spectrum_at(impulse, f / rate) - path(f)), 0, 2.4e-7);
  }
  EXPECT_NEAR(spectrum_at(impulse, 0).real(), 1, 2.4e-7);
}

TEST_P(EitherRate, FreeFieldHasTheRightTimeAndAmplitude) {
  // A point source: p = rho/(4 pi r) dQ/dt (r/c later), so the running sum of the response over fs is rho/(4
  // pi r) of one pulse.
  const double rate = GetParam(), sound_speed = 343, distance = 3.43, density = 1.2;
  const FreeField field(air_with(sound_speed, density));
  FieldQuestion question;
  question.sources.resize(1);
  question.ears = {Vector3(0, distance, 0)};
  question.frequency_hz = grid_.frequency_hz();
  const FieldAnswer answer = field.solve(question);
  const auto impulse =
      ImpulseTransform(grid_)({answer.transfer_pa_s_m3.row(0, 0), question.frequency_hz.size()});
  const double arrival = distance / sound_speed * rate;
  EXPECT_LT(level_before_db(impulse, rate, distance / sound_speed - band_limit_lead_s(rate)), -60);
  double sum = 0;
  std::vector<double> integral;
  for (double sample : impulse) integral.push_back(sum += sample / rate);
  const auto peak = std::max_element(integral.begin(), integral.end());
  EXPECT_NEAR(static_cast<double>(peak - integral.begin()), arrival, 1);
  // The running sum stands half a sample early and rounds the pulse off, and air takes a little of the
  // highest frequencies; the area under the pulse, its low frequencies, is exact but for what comes before
  // sample 0: 0.036/480^2 in each of 1440 sums.
  const double volume = density / (4 * pi * distance);
  double area = 0;
  for (std::size_t n = 0; n < 1440; ++n) area += integral[n];
  EXPECT_NEAR(area / volume, 1, 2.3e-4);
}

TEST(Impulse, EqualsTheSumOfItsHeader) {
  const ImpulseGrid grid{1000, 120};
  const Response response = [](double f) { return std::polar(1 / (1 + f / 300), -2 * pi * f * 0.05 + 0.3); };
  const auto impulse = impulse_of(grid, response, 0.7);
  for (int n = 0; n < 94; ++n) {
    double sum = 0.7;
    for (int k = 1; k < 60; ++k) {
      const double f = k * 1000.0 / 120;
      sum += 2 * band_limit(f, 1000) * (response(f) * std::polar(1.0, 2 * pi * k * n / 120)).real();
    }
    EXPECT_NEAR(impulse[static_cast<std::size_t>(n)], sum / 120, 1e-14);
  }
  for (std::size_t n = 94; n < 120; ++n) EXPECT_EQ(impulse[n], 0) << "before emission";
}

TEST(Impulse, BandLimitIsFlatThenFallsToZero) {
  for (double f : {0.0, 1000.0, 19999.0, 20000.0}) EXPECT_DOUBLE_EQ(band_limit(f, 48000), 1) << f;
  // By its symmetry half in the middle.
  EXPECT_NEAR(band_limit(22000, 48000), 0.5, 1e-12);
  EXPECT_NEAR(band_limit(21200, 48000) + band_limit(22800, 48000), 1, 1e-12);
  for (double f : {24000.0, 30000.0}) EXPECT_EQ(band_limit(f, 48000), 0) << f;
  double last = 1;
  for (double f = 20000; f <= 24000; f += 10) {
    const double weight = band_limit(f, 48000);
    EXPECT_LE(weight, last);
    EXPECT_GE(weight, 0);
    last = weight;
  }
  EXPECT_DOUBLE_EQ(band_limit(40000, 96000), 1);
}

TEST(Impulse, GridIsLongEnoughAndOfEfficientLength) {
  for (double rate : {44100.0, 48000.0, 96000.0})
    for (double latest : {0.0, 0.02, 0.31})
      for (double decay : {0.0, 0.01, 0.2}) {
        const ImpulseGrid grid = impulse_grid(rate, latest, decay);
        const double needed = (latest + 4 * std::log(10) * decay) * rate;
        EXPECT_GE(static_cast<double>(grid.length) * 7 / 8, needed);
        // 5-smooth even numbers above 60 lie at most 1.15 apart (counted through), 52 samples are the
        // pulse's.
        EXPECT_LE(static_cast<double>(grid.length), 1.15 * (needed + 54) * 8 / 7);
        std::size_t rest = grid.length;
        EXPECT_EQ(rest % 2, 0u);
        for (std::size_t factor : {2u, 3u, 5u})
          while (rest % factor == 0) rest /= factor;
        EXPECT_EQ(rest, 1u) << grid.length;
      }
}

TEST(Impulse, GridLiesAboveZeroAndBelowHalfTheRate) {
  const auto frequency = ImpulseGrid{48000, 4800}.frequency_hz();
  ASSERT_EQ(frequency.size(), 2399u);
  EXPECT_DOUBLE_EQ(frequency.front(), 10);
  EXPECT_DOUBLE_EQ(frequency[99], 1000);
  EXPECT_DOUBLE_EQ(frequency.back(), 23990);
  EXPECT_TRUE((ImpulseGrid{48000, 2}.frequency_hz().empty()));
}

TEST(Impulse, InfiniteValueIsRejected) {
  const ImpulseGrid grid{48000, 64};
  const ImpulseTransform transform(grid);
  std::vector<Complex> response(31, 1.0);
  EXPECT_NO_THROW(transform(response));
  for (double bad : {std::numeric_limits<double>::quiet_NaN(), std::numeric_limits<double>::infinity()}) {
    EXPECT_THROW(transform(response, bad), std::invalid_argument);
    auto broken = response;
    broken[7] = {0, bad};
    EXPECT_THROW(transform(broken), std::invalid_argument);
  }
  response.pop_back();
  EXPECT_THROW(transform(response), std::invalid_argument);
}

TEST(Impulse, InvalidGridIsRejected) {
  for (std::size_t length : {0u, 1u, 63u})
    EXPECT_THROW(ImpulseTransform({48000, length}), std::invalid_argument);
  EXPECT_THROW(ImpulseTransform({0, 64}), std::invalid_argument);
  const double nan = std::numeric_limits<double>::quiet_NaN();
  EXPECT_THROW(impulse_grid(nan, 0, 0), std::invalid_argument);
  EXPECT_THROW(impulse_grid(48000, -1, 0), std::invalid_argument);
  EXPECT_THROW(impulse_grid(48000, 0, nan), std::invalid_argument);
  EXPECT_THROW(impulse_grid(48000, 1e300, 0), std::invalid_argument);
}

TEST(Impulse, LevelsOfSilenceAreMinusInfinity) {
  const std::vector<double> silence(2000, 0.0);
  EXPECT_EQ(level_before_db(silence, 48000, 0.01), -std::numeric_limits<double>::infinity());
  EXPECT_EQ(tail_level_db(silence), -std::numeric_limits<double>::infinity());
  EXPECT_EQ(tail_level_db({}), -std::numeric_limits<double>::infinity());
  std::vector<double> click(2000, 0.0);
  click[100] = 2;
  click[1900] = -0.02;
  EXPECT_NEAR(tail_level_db(click), -40, 1e-9);
  EXPECT_EQ(level_before_db(click, 1000, 0.1), -std::numeric_limits<double>::infinity());
  EXPECT_EQ(level_before_db(click, 1000, 0.101), 0);
  EXPECT_EQ(level_before_db(click, 1000, 1e9), 0);
  EXPECT_EQ(level_before_db(click, 1000, -1), -std::numeric_limits<double>::infinity());
}

TEST(Impulse, SameBitsOnAnyThread) {
  const Response response = [](double f) { return std::polar(1 / (1 + f / 300), -2 * pi * f * 0.005); };
  // Many lengths, so that plans are made and destroyed on all threads at once.
  const auto all = [&] {
    std::vector<std::vector<double>> impulses;
    for (std::size_t length = 500; length < 700; length += 2)
      impulses.push_back(impulse_of({48000, length}, response, 1));
    return impulses;
  };
  const ImpulseTransform shared({48000, 5400});
  const auto response_on_shared = on_grid(shared.grid(), response);
  const auto first = all();
  const auto first_shared = shared(response_on_shared, 1);
  std::vector<std::vector<std::vector<double>>> again(8);
  std::vector<std::vector<double>> again_shared(again.size());
  {
    std::vector<std::jthread> threads;
    for (std::size_t i = 0; i < again.size(); ++i)
      threads.emplace_back([&, i] {
        again_shared[i] = shared(response_on_shared, 1);
        again[i] = all();
      });
  }
  for (const auto& impulses : again) EXPECT_EQ(impulses, first);
  for (const auto& impulse : again_shared) EXPECT_EQ(impulse, first_shared);
}

}  // namespace
}  // namespace cabinfield
