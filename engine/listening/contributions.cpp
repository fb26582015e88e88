#include "listening/contributions.h"

#include <fmt/format.h>

#include <algorithm>
#include <cassert>
#include <cmath>

namespace cabinfield {
namespace {

constexpr std::size_t nobody = SIZE_MAX;

/// Mean power of both ears of the sum of the playing channels without one of them.
std::vector<double> power_without(const ChannelPressures& pressure, std::span<const double> signal_share,
                                  std::size_t seat, std::size_t left_out) {
  std::vector<double> square(pressure.frequencies, 0.0);
  std::vector<Complex> sum(pressure.frequencies);
  for (std::size_t ear = 2 * seat; ear < 2 * seat + 2; ++ear) {
    std::fill(sum.begin(), sum.end(), Complex(0));
    for (std::size_t c = 0; c < pressure.channels; ++c) {
      if (c == left_out || signal_share[c] == 0) continue;
      const Complex* row = pressure.row(c, ear);
      for (std::size_t f = 0; f < sum.size(); ++f) sum[f] += signal_share[c] * row[f];
    }
    for (std::size_t f = 0; f < sum.size(); ++f) square[f] += 0.5 * std::norm(sum[f]);
  }
  return square;
}

std::vector<double> power_alone(const ChannelPressures& pressure, double share, std::size_t seat,
                                std::size_t channel) {
  const Complex *left = pressure.row(channel, 2 * seat), *right = pressure.row(channel, 2 * seat + 1);
  std::vector<double> square = mean_square_of_ears(left, right, pressure.frequencies);
  for (double& one : square) one *= share * share;
  return square;
}

double power(double level_db) { return std::pow(10, level_db / 10); }

std::string hz_words(double hz) {
  // Two significant figures: edges of third octaves deserve no more.
  const double step = std::pow(10, std::floor(std::log10(hz)) - 1);
  const double rounded = std::round(hz / step) * step;
  return rounded < 1000 ? fmt::format("{:.4g} Hz", rounded) : fmt::format("{:.4g} kHz", rounded / 1000);
}

std::string range_words(const ContributionRun& run) {
  if (run.bands == 1) return "at " + hz_words(run.steepest_hz);
  const std::string low = hz_words(run.low_hz), high = hz_words(run.high_hz);
  // A common unit is written once.
  const std::string unit = low.substr(low.find(' '));
  return "from " + (high.ends_with(unit) ? low.substr(0, low.find(' ')) : low) + " to " + high;
}

}  // namespace

Contributions contributions(std::span<const double> frequency_hz, const ChannelPressures& pressure,
                            std::span<const double> signal_share, FrequencyRange range) {
  assert(frequency_hz.size() == pressure.frequencies && signal_share.size() == pressure.channels);
  const std::size_t seats = pressure.ears / 2;
  Contributions found;
  found.bands = third_octave_slices(frequency_hz, range);
  const std::size_t bands = found.bands.size();
  found.sum_db = Table<double, 2>({seats, bands});
  found.without_db = found.own_db = Table<double, 3>({pressure.channels, seats, bands});
  auto fill = [&](const std::vector<double>& square, double* level_db) {
    for (std::size_t b = 0; b < bands; ++b)
      level_db[b] = sound_level_db(found.bands[b].weights.mean(square.data()));
  };
  for (std::size_t s = 0; s < seats; ++s) {
    fill(power_without(pressure, signal_share, s, nobody), found.sum_db.row(s));
    for (std::size_t c = 0; c < pressure.channels; ++c) {
      fill(power_without(pressure, signal_share, s, c), found.without_db.row(c, s));
      fill(power_alone(pressure, signal_share[c], s, c), found.own_db.row(c, s));
    }
  }
  return found;
}

std::vector<ContributionRun> contribution_runs(const Contributions& found, std::size_t channel,
                                               std::size_t seat, double least_db, double audible_db) {
  const std::size_t bands = found.bands.size();
  const double* sum_db = found.sum_db.row(seat);
  const double* without_db = found.without_db.row(channel, seat);
  const double loudest_db = bands == 0 ? 0 : *std::max_element(sum_db, sum_db + bands);
  auto direction = [&](std::size_t b) {
    const double adds_db = found.adds_db(channel, seat, b);
    // A band counts where it is loud with the channel or without it.
    if (std::max(sum_db[b], without_db[b]) < loudest_db - audible_db || std::abs(adds_db) <= least_db)
      return 0;
    return adds_db > 0 ? 1 : -1;
  };
  std::vector<ContributionRun> runs;
  for (std::size_t b = 0; b < bands;) {
    const int here = direction(b);
    if (here == 0) {
      ++b;
      continue;
    }
    ContributionRun run;
    run.low_hz = found.bands[b].low_hz;
    double with = 0, without = 0;
    for (; b < bands && direction(b) == here; ++b, ++run.bands) {
      const BandSlice& band = found.bands[b];
      with += band.share * power(sum_db[b]);
      without += band.share * power(without_db[b]);
      run.high_hz = band.high_hz;
      const double adds_db = found.adds_db(channel, seat, b);
      if (std::abs(adds_db) > std::abs(run.steepest_db)) {
        run.steepest_db = adds_db;
        run.steepest_hz = band.middle_hz;
      }
    }
    run.adds_db = 10 * std::log10(with / without);
    runs.push_back(run);
  }
  return runs;
}

std::optional<std::string> contribution_line(const std::string& channel, const std::string& seat,
                                             std::span<const ContributionRun> runs) {
  if (runs.empty()) return std::nullopt;
  std::string line = channel;
  const ContributionRun* before = nullptr;
  for (const ContributionRun& run : runs) {
    const bool adds = run.adds_db > 0;
    const bool last = &run == &runs.back();
    if (before != nullptr) line += last ? ", and" : ",";
    // The verb is repeated only where it changes.
    const bool again = before != nullptr && (before->adds_db > 0) == adds;
    const std::string change =
        run.adds_db > alone_db ? "all there is" : fmt::format("{:.1f} dB", std::abs(run.adds_db));
    if (adds)
      line += (again ? " " : " adds ") + change;
    else
      line += (again ? " " : " takes ") + change + (again ? "" : " away");
    if (before == nullptr) line += " at " + seat;
    line += " " + range_words(run);
    before = &run;
  }
  return line;
}

}  // namespace cabinfield
