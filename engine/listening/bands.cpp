#include "listening/bands.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/constants.h"

namespace cabinfield {
namespace {

/// Preferred numbers of ISO 3 (R10), the nominal frequencies of third octaves.
constexpr double nominal[10] = {1, 1.25, 1.6, 2, 2.5, 3.15, 4, 5, 6.3, 8};

}  // namespace

std::vector<Band> third_octave_bands(double from_hz, double to_hz) {
  std::vector<Band> bands;
  for (int k = -30; k <= 20; ++k) {
    // IEC 61260-1:2014, 5.2 and 5.4: fm = 1000 G^(k/3), edges fm G^(-1/6) and fm G^(1/6).
    const double middle = 1000 * std::pow(10, 0.1 * k), edge = std::pow(10, 0.05);
    const int decade = static_cast<int>(std::floor((k + 30) / 10.0));
    const double name_hz = nominal[(k + 30) % 10] * std::pow(10, decade);
    if (name_hz < from_hz * 0.999 || name_hz > to_hz * 1.001) continue;
    bands.push_back(
        {middle / edge, middle, middle * edge,
         name_hz >= 1000 ? fmt::format("{:g} kHz", name_hz / 1000) : fmt::format("{:g} Hz", name_hz)});
  }
  return bands;
}

std::optional<double> band_mean_square(std::span<const double> frequency_hz, std::span<const double> square,
                                       double low_hz, double high_hz) {
  if (frequency_hz.size() < 2) return std::nullopt;
  const double from = std::max(std::log(low_hz), std::log(frequency_hz.front()));
  const double to = std::min(std::log(high_hz), std::log(frequency_hz.back()));
  if (to - from < 0.5 * std::log(high_hz / low_hz)) return std::nullopt;
  double integral = 0;
  for (std::size_t i = 0; i + 1 < frequency_hz.size(); ++i) {
    const double a = std::log(frequency_hz[i]), b = std::log(frequency_hz[i + 1]);
    const double left = std::max(a, from), right = std::min(b, to);
    if (right <= left) continue;
    auto at = [&](double x) { return square[i] + (square[i + 1] - square[i]) * (x - a) / (b - a); };
    integral += 0.5 * (at(left) + at(right)) * (right - left);
  }
  return integral / (to - from);
}

std::vector<double> mean_square_of_ears(const Complex* left, const Complex* right, std::size_t count) {
  std::vector<double> square(count);
  for (std::size_t i = 0; i < count; ++i) square[i] = 0.5 * (std::norm(left[i]) + std::norm(right[i]));
  return square;
}

double sound_level_db(double mean_square_pa2) {
  constexpr double silence = 1e-30;  // keeps a muted channel's level finite
  return 10 *
         std::log10(std::max(mean_square_pa2, silence) / (reference_pressure_pa * reference_pressure_pa));
}

}  // namespace cabinfield
