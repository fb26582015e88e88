#include "listening/measures.h"

#include <fmt/format.h>

#include <Eigen/Core>
#include <algorithm>
#include <cassert>
#include <cmath>
#include <limits>

namespace cabinfield {
namespace {

constexpr double none = std::numeric_limits<double>::quiet_NaN();
constexpr std::size_t signals = 3;
/// Power of a notch over that around it below which it is rounding.
constexpr double least_power_ratio = 1e-12;

bool stated(const FrequencyRange& band) { return band.low_hz != 0 || band.high_hz != 0; }

bool selected(const MeasureOptions& options, std::size_t seat) {
  return options.seat_weight.empty() || options.seat_weight[seat] != 0;
}

bool uses_sum(MeasureKind kind) {
  const MeasureDeclaration& declared = declaration_of(kind);
  return declared.pressures && kind != MeasureKind::power_share;
}

double ratio_db(double upper, double lower) { return 10 * std::log10(upper / lower); }

/// Whether a is worse than b; NaN is the worst.
bool worse(Better better, double a, double b) {
  if (std::isnan(a) || std::isnan(b)) return std::isnan(a) && !std::isnan(b);
  if (better == Better::large) return a < b;
  if (better == Better::small) return a > b;
  return std::abs(a) > std::abs(b);
}

/// Calls body for the named channels, or for all.
template <typename Body>
void for_named(const MeasureOptions& options, std::size_t channels, const Body& body) {
  if (options.channels.empty())
    for (std::size_t c = 0; c < channels; ++c) body(c);
  else
    for (int c : options.channels) body(static_cast<std::size_t>(c));
}

double arrival_spread_ms(const MeasureOptions& options, const Heard& heard, std::size_t channels,
                         std::size_t seats, std::size_t seat) {
  double first_s = std::numeric_limits<double>::infinity(), last_s = -first_s;
  for_named(options, channels, [&](std::size_t c) {
    if (heard.signal_share[options.signal * channels + c] == 0) return;
    const double arrival_s = heard.arrival_s[c * seats + seat];
    if (std::isnan(arrival_s)) return;
    first_s = std::min(first_s, arrival_s);
    last_s = std::max(last_s, arrival_s);
  });
  return last_s >= first_s ? 1000 * (last_s - first_s) : none;
}

/// Mean over the band of both ears' Re(a b*)/2 per ear; a and b hold left and right.
double mean_product(const BandWeights& band, const Complex* a_left, const Complex* a_right,
                    const Complex* b_left, const Complex* b_right) {
  double sum = 0;
  auto real_of_product = [](const Complex& a, const Complex& b) {
    return a.real() * b.real() + a.imag() * b.imag();
  };
  for (std::size_t i = 0; i < band.weight.size(); ++i) {
    const std::size_t f = band.first + i;
    sum += band.weight[i] * (real_of_product(a_left[f], b_left[f]) + real_of_product(a_right[f], b_right[f]));
  }
  return 0.5 * sum;
}

double power_share_percent(const MeasureOptions& options, const BandWeights& band, const Heard& heard,
                           std::size_t seat) {
  const ChannelPressures& pressure = heard.pressure;
  auto power = [&](std::size_t c) {
    const double share = heard.signal_share[options.signal * pressure.channels + c];
    if (share == 0) return 0.0;
    const Complex *left = pressure.row(c, 2 * seat), *right = pressure.row(c, 2 * seat + 1);
    return share * share * mean_product(band, left, right, left, right);
  };
  double all = 0, named = 0;
  for (std::size_t c = 0; c < pressure.channels; ++c) all += power(c);
  for_named(options, pressure.channels, [&](std::size_t c) { named += power(c); });
  return all > 0 ? 100 * named / all : none;
}

double sum_share_percent(const MeasureOptions& options, const BandWeights& band, const Heard& heard,
                         std::size_t seat, const Complex* sum_left, const Complex* sum_right) {
  const ChannelPressures& pressure = heard.pressure;
  double named = 0;
  for_named(options, pressure.channels, [&](std::size_t c) {
    const double share = heard.signal_share[options.signal * pressure.channels + c];
    if (share != 0)
      named += share * mean_product(band, pressure.row(c, 2 * seat), pressure.row(c, 2 * seat + 1), sum_left,
                                    sum_right);
  });
  const double all = mean_product(band, sum_left, sum_right, sum_left, sum_right);
  return all > 0 ? 100 * named / all : none;
}

void add_problems_of(const MeasureOptions& options, std::size_t index, const MeasureSetting& setting,
                     std::vector<MeasureProblem>& problems) {
  const MeasureDeclaration& declared = declaration_of(options.kind);
  const std::string name(declared.name);
  const auto say = [&](std::string_view about, std::string words) {
    problems.push_back({index, about, std::move(words)});
  };
  if (!declared.not_yet.empty())
    return say("measure", fmt::format("{} is not supported yet: it needs {}", name, declared.not_yet));
  const std::size_t seats =
      options.seat_weight.empty()
          ? setting.seats
          : static_cast<std::size_t>(std::count_if(options.seat_weight.begin(), options.seat_weight.end(),
                                                   [](double w) { return w != 0; }));
  if (std::any_of(options.seat_weight.begin(), options.seat_weight.end(),
                  [](double weight) { return !(weight >= 0 && std::isfinite(weight)); }))
    say("seats", name + ": the weight of a seat must be 0 or more");
  else if (seats == 0)
    say("seats", name + " needs a seat");
  else if (!declared.of_one_seat && seats < 2)
    say("seats", name + " needs at least two seats");
  if (declared.channels == Stated::must && options.channels.empty())
    say("channels", name + " needs the names of channels");
  if (declared.channels == Stated::never && !options.channels.empty())
    say("channels", name + " takes no channels");
  if (declared.pair && (options.left_channel < 0 || options.right_channel < 0))
    say("pair", name + " needs a left and a right channel");
  else if (declared.pair && options.left_channel == options.right_channel)
    say("pair", name + " needs two different channels");
  if (declared.band == Stated::must && !stated(options.band)) say("band", name + " needs a band");
  if (declared.band == Stated::never && stated(options.band)) say("band", name + " takes no band");
  if (declared.band != Stated::never && stated(options.band)) {
    if (const auto words = band_problem(setting.frequency_hz, options.band))
      say("band", name + ": " + *words);
    else if (options.kind == MeasureKind::response_deviation &&
             third_octave_slices(setting.frequency_hz, options.band).size() < 2)
      say("band",
          fmt::format("{}: the band from {:g} to {:g} Hz lies in one third octave; it needs at least two",
                      name, options.band.low_hz, options.band.high_hz));
  }
  if (options.kind == MeasureKind::side_angle) {
    const std::vector<Complex> equal(setting.frequency_hz.size(), Complex(1));
    if (setting.side_scale.size() != setting.seats || !interaural_time(setting.frequency_hz, equal, equal))
      say("measure", fmt::format("{} needs computed frequencies from {:g} to {:g} Hz", name,
                                 interaural_time_range.low_hz, interaural_time_range.high_hz));
  }
}

}  // namespace

ChannelPressures channel_pressures(const Complex* values, std::size_t channels, std::size_t ears,
                                   std::size_t frequencies) {
  return {values, channels, ears, frequencies, ears * frequencies, frequencies};
}

std::vector<MeasureProblem> measure_problems(std::span<const MeasureOptions> options,
                                             const MeasureSetting& setting) {
  std::vector<MeasureProblem> problems;
  for (std::size_t m = 0; m < options.size(); ++m) add_problems_of(options[m], m, setting, problems);
  return problems;
}

MeasurePlan::MeasurePlan(std::vector<MeasureOptions> options, MeasureSetting setting)
    : options_(std::move(options)), setting_(std::move(setting)), use_(signals * setting_.seats) {
  assert(measure_problems(options_, setting_).empty());
  const std::vector<double>& frequency_hz = setting_.frequency_hz;
  for (const MeasureOptions& measure : options_) {
    Prepared prepared;
    double all = 0;
    for (std::size_t s = 0; s < setting_.seats; ++s) {
      if (!selected(measure, s)) continue;
      prepared.seats.push_back(s);
      prepared.seat_share.push_back(measure.seat_weight.empty() ? 1.0 : measure.seat_weight[s]);
      all += prepared.seat_share.back();
      if (uses_sum(measure.kind)) use_[at(measure.signal, s)].sum = true;
      if (measure.kind == MeasureKind::cancellation_loss) use_[at(measure.signal, s)].in_phase = true;
    }
    for (double& share : prepared.seat_share) share /= all;
    if (stated(measure.band)) {
      prepared.band = band_weights(frequency_hz, measure.band);
      prepared.slices = third_octave_slices(frequency_hz, measure.band);
    }
    for (const BandSlice& slice : prepared.slices)
      prepared.target_db.push_back(measure.target.level_at(slice.middle_hz));
    if (measure.kind == MeasureKind::deepest_notch) {
      for (std::size_t f = 1; f + 1 < frequency_hz.size(); ++f)
        if (frequency_hz[f] >= measure.band.low_hz && frequency_hz[f] <= measure.band.high_hz)
          prepared.notch_index.push_back(f);
      if (octave_about_.empty()) octave_about_ = octave_about_each(frequency_hz);
    }
    prepared_.push_back(std::move(prepared));
  }
}

MeasureWorkspace MeasurePlan::workspace() const {
  const std::size_t rows = signals * setting_.seats, count = setting_.frequency_hz.size();
  return {std::vector<Complex>(rows * 2 * count), std::vector<double>(rows * count),
          std::vector<double>(rows * count), std::vector<double>(count), std::vector<double>(count)};
}

void MeasurePlan::sum_up(const Heard& heard, MeasureWorkspace& work) const {
  const std::size_t count = setting_.frequency_hz.size();
  const Eigen::Index length = static_cast<Eigen::Index>(count);
  Eigen::Map<Eigen::ArrayXd> own_square(work.own_square.data(), length),
      magnitude(work.magnitude.data(), length);
  for (std::size_t signal = 0; signal < signals; ++signal)
    for (std::size_t seat = 0; seat < setting_.seats; ++seat) {
      const Use use = use_[at(signal, seat)];
      if (!use.sum) continue;
      double* square = work.square.data() + at(signal, seat) * count;
      double* in_phase = work.in_phase.data() + at(signal, seat) * count;
      std::fill_n(square, count, 0.0);
      std::fill_n(in_phase, count, 0.0);
      for (std::size_t ear = 0; ear < 2; ++ear) {
        Complex* sum = work.sum_pa.data() + (2 * at(signal, seat) + ear) * count;
        std::fill_n(sum, count, Complex(0));
        for (std::size_t c = 0; c < setting_.channels; ++c) {
          const double share = heard.signal_share[signal * setting_.channels + c];
          if (share == 0) continue;
          const Complex* pressure = heard.pressure.row(c, 2 * seat + ear);
          for (std::size_t f = 0; f < count; ++f) sum[f] += share * pressure[f];
        }
        for (std::size_t f = 0; f < count; ++f) square[f] += 0.5 * std::norm(sum[f]);
        if (!use.in_phase) continue;
        // Row by row: square roots of a whole row at a time are several times faster.
        magnitude.setZero();
        for (std::size_t c = 0; c < setting_.channels; ++c) {
          const double share = heard.signal_share[signal * setting_.channels + c];
          if (share == 0) continue;
          const Complex* pressure = heard.pressure.row(c, 2 * seat + ear);
          for (std::size_t f = 0; f < count; ++f)
            own_square[static_cast<Eigen::Index>(f)] = std::norm(pressure[f]);
          magnitude += std::abs(share) * own_square.sqrt();
        }
        Eigen::Map<Eigen::ArrayXd>(in_phase, own_square.size()) += 0.5 * magnitude.square();
      }
    }
}

double MeasurePlan::response_deviation_db(const Prepared& prepared, const double* square) const {
  // The shares add up to 1, so these are means.
  double mean_db = 0, mean_square_db2 = 0;
  for (std::size_t b = 0; b < prepared.slices.size(); ++b)
    mean_db += prepared.slices[b].share *
               (sound_level_db(prepared.slices[b].weights.mean(square)) - prepared.target_db[b]);
  for (std::size_t b = 0; b < prepared.slices.size(); ++b) {
    const double off_db =
        sound_level_db(prepared.slices[b].weights.mean(square)) - prepared.target_db[b] - mean_db;
    mean_square_db2 += prepared.slices[b].share * off_db * off_db;
  }
  return std::sqrt(mean_square_db2);
}

double MeasurePlan::deepest_notch_db(const Prepared& prepared, const double* square,
                                     double& frequency_hz) const {
  double deepest = 1;
  for (std::size_t f : prepared.notch_index) {
    if (square[f] > square[f - 1] || square[f] > square[f + 1]) continue;
    const double around = octave_about_[f].mean(square);
    if (!(around > 0)) continue;
    const double ratio = std::max(square[f] / around, least_power_ratio);
    if (ratio >= deepest) continue;
    deepest = ratio;
    frequency_hz = setting_.frequency_hz[f];
  }
  return deepest < 1 ? -10 * std::log10(deepest) : 0;
}

double MeasurePlan::seat_spread_db(std::size_t options, const MeasureWorkspace& work) const {
  const Prepared& prepared = prepared_[options];
  const std::size_t count = setting_.frequency_hz.size();
  double mean_db = 0;
  for (const BandSlice& slice : prepared.slices) {
    double loudest = 0, quietest = std::numeric_limits<double>::infinity();
    for (std::size_t seat : prepared.seats) {
      const double power =
          slice.weights.mean(work.square.data() + at(options_[options].signal, seat) * count);
      loudest = std::max(loudest, power);
      quietest = std::min(quietest, power);
    }
    mean_db += slice.share * (sound_level_db(loudest) - sound_level_db(quietest));
  }
  return mean_db;
}

double MeasurePlan::seat_value(std::size_t m, std::size_t seat, const Heard& heard,
                               const MeasureWorkspace& work, double& detail) const {
  const MeasureOptions& options = options_[m];
  const Prepared& prepared = prepared_[m];
  const std::size_t count = setting_.frequency_hz.size();
  const double* square = work.square.data() + at(options.signal, seat) * count;
  const Complex* left = work.sum_pa.data() + 2 * at(options.signal, seat) * count;
  const Complex* right = left + count;
  switch (options.kind) {
    case MeasureKind::level:
      return sound_level_db(prepared.band.mean(square));
    case MeasureKind::response_deviation:
      return response_deviation_db(prepared, square);
    case MeasureKind::deepest_notch:
      return deepest_notch_db(prepared, square, detail);
    case MeasureKind::cancellation_loss: {
      const double in_phase = prepared.band.mean(work.in_phase.data() + at(options.signal, seat) * count);
      const double sum = prepared.band.mean(square);
      return in_phase > 0 ? std::max(0.0, ratio_db(in_phase, std::max(sum, least_power_ratio * in_phase)))
                          : none;
    }
    case MeasureKind::path_difference:
      return 1000 * (heard.length_m[options.right_channel * setting_.seats + seat] -
                     heard.length_m[options.left_channel * setting_.seats + seat]);
    case MeasureKind::arrival_spread:
      return arrival_spread_ms(options, heard, setting_.channels, setting_.seats, seat);
    case MeasureKind::side_angle: {
      const auto time = interaural_time(setting_.frequency_hz, {left, count}, {right, count});
      return time ? setting_.side_scale[seat].at(time->difference_s).angle_deg : none;
    }
    case MeasureKind::power_share:
      return power_share_percent(options, prepared.band, heard, seat);
    case MeasureKind::sum_share:
      return sum_share_percent(options, prepared.band, heard, seat, left, right);
    case MeasureKind::seat_spread:
    case MeasureKind::loudest:
      break;
  }
  return none;
}

void MeasurePlan::evaluate(const Heard& heard, MeasureWorkspace& work, Measured& measured) const {
  const std::size_t seats = setting_.seats;
  measured.over_seats.assign(options_.size(), none);
  measured.at_seat.assign(options_.size() * seats, none);
  measured.detail.assign(options_.size() * seats, none);
  sum_up(heard, work);
  for (std::size_t m = 0; m < options_.size(); ++m) {
    const Prepared& prepared = prepared_[m];
    if (options_[m].kind == MeasureKind::seat_spread) {
      measured.over_seats[m] = seat_spread_db(m, work);
      continue;
    }
    const Better better = declaration_of(options_[m].kind).better;
    double mean = 0, worst = none;
    for (std::size_t i = 0; i < prepared.seats.size(); ++i) {
      const std::size_t seat = prepared.seats[i];
      const double value = seat_value(m, seat, heard, work, measured.detail[m * seats + seat]);
      measured.at_seat[m * seats + seat] = value;
      mean += prepared.seat_share[i] * (better == Better::near_zero ? std::abs(value) : value);
      if (i == 0 || worse(better, value, worst)) worst = value;
    }
    if (prepared.seats.size() == 1)
      measured.over_seats[m] = worst;
    else if (options_[m].over == OverSeats::mean)
      measured.over_seats[m] = mean;
    else
      measured.over_seats[m] = better == Better::near_zero ? std::abs(worst) : worst;
  }
}

}  // namespace cabinfield
