#include "listening/align.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <limits>

#include "base/constants.h"
#include "listening/arrival.h"

namespace cabinfield {
namespace {

/// Mean power of both ears in the band, Pa^2.
double band_power(const ChannelPressures& pressure, const BandWeights& band, std::size_t channel,
                  std::size_t seat) {
  const Complex *left = pressure.row(channel, 2 * seat), *right = pressure.row(channel, 2 * seat + 1);
  double sum = 0;
  for (std::size_t i = 0; i < band.weight.size(); ++i)
    sum += band.weight[i] * 0.5 * (std::norm(left[band.first + i]) + std::norm(right[band.first + i]));
  return sum;
}

/// Without the operator's treatment of infinite values, which costs a call.
Complex product(const Complex& a, const Complex& b) {
  return {a.real() * b.real() - a.imag() * b.imag(), a.real() * b.imag() + a.imag() * b.real()};
}

}  // namespace

std::vector<double> lining_up_delays_s(std::span<const double> arrival_s, std::size_t seats, std::size_t seat,
                                       std::span<const int> use) {
  std::vector<double> first_s;
  for (std::size_t c = 0; c < use.size(); ++c) first_s.push_back(arrival_s[c * seats + seat]);
  return delays_to_latest_s(first_s, use);
}

std::vector<double> levelling_gains_db(const ChannelPressures& pressure, const BandWeights& band,
                                       std::size_t seat, double level_db, std::span<const int> use) {
  std::vector<double> gain_db(use.size(), 0.0);
  for (std::size_t c = 0; c < use.size(); ++c) {
    if (use[c] == 0) continue;
    const double power = band_power(pressure, band, c, seat);
    if (power > 0) gain_db[c] = level_db - sound_level_db(power);
  }
  return gain_db;
}

double common_level_db(const ChannelPressures& pressure, const BandWeights& band, std::size_t seat,
                       std::span<const int> use) {
  double sum_db = 0;
  int count = 0;
  for (std::size_t c = 0; c < use.size(); ++c) {
    const double power = use[c] != 0 ? band_power(pressure, band, c, seat) : 0;
    if (!(power > 0)) continue;
    sum_db += sound_level_db(power);
    ++count;
  }
  return count > 0 ? sum_db / count : std::numeric_limits<double>::quiet_NaN();
}

void apply_settings(std::span<const double> frequency_hz, int step, std::span<const double> gain_db,
                    std::span<const double> delay_s, std::span<Complex> pressure, std::span<Complex> phase) {
  const std::size_t channels = gain_db.size(), count = frequency_hz.size();
  assert(delay_s.size() == channels && phase.size() >= count);
  const std::size_t ears = pressure.size() / (channels * count);
  for (std::size_t c = 0; c < channels; ++c) {
    if (gain_db[c] == 0 && delay_s[c] == 0) continue;
    const double gain = std::pow(10, gain_db[c] / 20);
    const std::size_t own = step > 0 ? std::min<std::size_t>(step, count) : count;
    for (std::size_t f = 0; f < own; ++f) phase[f] = std::polar(1.0, -2 * pi * frequency_hz[f] * delay_s[c]);
    for (std::size_t f = own; f < count; ++f) phase[f] = product(phase[f - own], phase[f - own]);
    for (std::size_t f = 0; f < count; ++f) phase[f] *= gain;
    for (std::size_t e = 0; e < ears; ++e) {
      Complex* row = pressure.data() + (c * ears + e) * count;
      for (std::size_t f = 0; f < count; ++f) row[f] = product(row[f], phase[f]);
    }
  }
}

void apply_delays(std::span<const double> delay_s, std::span<double> arrival_s) {
  const std::size_t seats = arrival_s.size() / delay_s.size();
  for (std::size_t c = 0; c < delay_s.size(); ++c)
    for (std::size_t s = 0; s < seats; ++s) arrival_s[c * seats + s] += delay_s[c];
}

}  // namespace cabinfield
