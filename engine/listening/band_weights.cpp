#include "listening/band_weights.h"

#include <fmt/format.h>

#include <algorithm>
#include <cassert>
#include <cmath>

namespace cabinfield {
namespace {

FrequencyRange reached(std::span<const double> frequency_hz, FrequencyRange band) {
  return {std::max(band.low_hz, frequency_hz.front()), std::min(band.high_hz, frequency_hz.back())};
}

}  // namespace

std::optional<std::string> band_problem(std::span<const double> frequency_hz, FrequencyRange band) {
  const std::string words = fmt::format("the band from {:g} to {:g} Hz", band.low_hz, band.high_hz);
  if (!(band.low_hz > 0 && std::isfinite(band.high_hz))) return words + " must lie above 0 Hz";
  if (!(band.high_hz > band.low_hz)) return words + " must end above where it begins";
  const auto first = std::lower_bound(frequency_hz.begin(), frequency_hz.end(), band.low_hz);
  if (first == frequency_hz.end() || *first > band.high_hz) {
    std::string nearest;
    if (first != frequency_hz.begin()) nearest = fmt::format("{:.4g} Hz", *(first - 1));
    if (first != frequency_hz.end())
      nearest += fmt::format("{}{:.4g} Hz", nearest.empty() ? "" : " and ", *first);
    return words + " has no computed frequency in it" +
           (nearest.empty() ? "" : fmt::format("; nearest: {}", nearest));
  }
  const FrequencyRange part = reached(frequency_hz, band);
  if (frequency_hz.size() < 2 ||
      std::log(part.high_hz / part.low_hz) < 0.5 * std::log(band.high_hz / band.low_hz))
    return words + fmt::format(" lies more than half outside the computed frequencies, {:.4g} to {:.4g} Hz",
                               frequency_hz.front(), frequency_hz.back());
  return std::nullopt;
}

BandWeights band_weights(std::span<const double> frequency_hz, FrequencyRange band) {
  assert(frequency_hz.size() >= 2);
  const double from = std::log(std::max(band.low_hz, frequency_hz.front()));
  const double to = std::log(std::min(band.high_hz, frequency_hz.back()));
  assert(to > from);
  BandWeights result;
  std::vector<double> weight(frequency_hz.size(), 0.0);
  for (std::size_t i = 0; i + 1 < frequency_hz.size(); ++i) {
    const double a = std::log(frequency_hz[i]), b = std::log(frequency_hz[i + 1]);
    const double left = std::max(a, from), right = std::min(b, to);
    if (right <= left) continue;
    const double along = (0.5 * (left + right) - a) / (b - a);
    weight[i] += (right - left) / (to - from) * (1 - along);
    weight[i + 1] += (right - left) / (to - from) * along;
  }
  const auto used = [](double one) { return one != 0; };
  const auto begin = std::find_if(weight.begin(), weight.end(), used);
  const auto end = std::find_if(weight.rbegin(), weight.rend(), used).base();
  result.first = static_cast<std::size_t>(begin - weight.begin());
  result.weight.assign(begin, end);
  return result;
}

std::vector<BandSlice> third_octave_slices(std::span<const double> frequency_hz, FrequencyRange band) {
  const FrequencyRange part = reached(frequency_hz, band);
  std::vector<BandSlice> slices;
  double width = 0;
  for (const Band& third : third_octave_bands(1, 100000)) {
    const double low = std::max(third.low_hz, part.low_hz), high = std::min(third.high_hz, part.high_hz);
    // Skip the rounding residue of a neighbour that shares an edge with the band.
    if (high <= low * (1 + 1e-9)) continue;
    slices.push_back({third.label, low, high, std::sqrt(low * high), std::log(high / low),
                      band_weights(frequency_hz, {low, high})});
    width += slices.back().share;
  }
  for (BandSlice& slice : slices) slice.share /= width;
  return slices;
}

std::vector<BandWeights> octave_about_each(std::span<const double> frequency_hz) {
  std::vector<BandWeights> octaves;
  for (double f : frequency_hz)
    octaves.push_back(band_weights(frequency_hz, {f / std::sqrt(2), f * std::sqrt(2)}));
  return octaves;
}

}  // namespace cabinfield
