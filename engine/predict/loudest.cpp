#include "predict/loudest.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/constants.h"
#include "channel/channel.h"
#include "listening/bands.h"
#include "plan/channel_load.h"
#include "system/limits.h"
#include "system/loudness.h"
#include "system/supply_case.h"

namespace cabinfield {
namespace {

constexpr double without_end = std::numeric_limits<double>::infinity();
constexpr double usual_supply_v = 13.8;

double level_db(double mean_square) {
  return mean_square > 0 ? std::max(silence_db, sound_level_db(mean_square)) : silence_db;
}

/// Greatest draw of an amplifier before the supply limits it, W: a protection circuit opens, or the voltage
/// falls below the amplifier's minimum. The others draw as with music.
double most_draw_w(const SupplyPlan& plan, const SystemReport& report, int amplifier, bool peak) {
  const auto music = static_cast<std::size_t>(LoadCase::music_running);
  SupplyCase now;
  now.peak = peak;
  now.alternator = !(peak && plan.alternator && plan.alternator->smart);
  for (std::size_t a = 0; a < report.amplifier.size(); ++a)
    now.draw_w.push_back(report.amplifier_a(music, a) * report.amplifier_v(music, a));
  auto holds = [&](double draw_w) {
    now.draw_w[static_cast<std::size_t>(amplifier)] = draw_w;
    const SupplyNetwork network = supply_network(plan, report.amplifier, now);
    const SupplyFlow flow = solve_supply(network);
    for (std::size_t b = 0; b < network.cells.size(); ++b)
      if (flow.cell_a[b] > network.cells[b].discharge_limit_a) return false;
    const auto& load = network.loads[static_cast<std::size_t>(amplifier)];
    return flow.node_v[static_cast<std::size_t>(load.node)] >= load.least_v;
  };
  double low = 0, high = 20000;
  for (int i = 0; i < 40; ++i) (holds((low + high) / 2) ? low : high) = (low + high) / 2;
  return low;
}

/// Output (W) at a draw.
double output_of_draw_w(const Amplifier& amplifier, double draw, double full_w) {
  double low = 0, high = full_w;
  if (draw_w(amplifier, high, full_w, usual_supply_v) <= draw) return without_end;
  for (int i = 0; i < 50; ++i)
    (draw_w(amplifier, (low + high) / 2, full_w, usual_supply_v) <= draw ? low : high) = (low + high) / 2;
  return low;
}

/// A channel and its limits, at the frequencies of the scene.
struct Limited {
  std::vector<Complex> load_ohm;
  LimitVoltages sine, music;  ///< differ in the supply's limit: peak and continuous
  double full_scale_v = 0;
};

class Limiter {
 public:
  Limiter(const Scene& scene, const Results& results) : scene_(scene), results_(results) {}

  Limited of(std::size_t c) const {
    const auto& frequency = scene_.computation.frequency_hz;
    Limited limited;
    DrivenChannel driven = driven_channel(scene_, c, frequency);
    limited.load_ohm = std::move(driven.load_ohm);
    limited.sine = driver_limits(driven.drivers, frequency.size());
    limited.full_scale_v = scene_.computation.terminal_voltage_v;
    amplifier(results_.system.feed[c], limited);
    limited.music = limited.sine;
    supply(results_.system.feed[c], c, limited);
    return limited;
  }

 private:
  void amplifier(const FeedRow& feed, Limited& limited) const {
    if (feed.amplifier < 0) return;
    const Amplifier& unit = scene_.system.amplifiers[feed.amplifier].amplifier;
    double supply_v = usual_supply_v;
    if (!results_.system.load_case.empty())
      supply_v =
          results_.system.amplifier_v(static_cast<std::size_t>(LoadCase::bass_running), feed.amplifier);
    limited.full_scale_v = 0;
    for (std::size_t f = 0; f < limited.load_ohm.size(); ++f) {
      const OutputReach reach =
          output_reach(unit, feed.bridged_with > 0, std::abs(limited.load_ohm[f]), std::max(supply_v, 1.0));
      const LimitKind kind =
          reach.limit == OutputLimit::current ? LimitKind::amplifier_current : LimitKind::amplifier_voltage;
      limited.sine[static_cast<std::size_t>(kind)][f] = reach.voltage_v;
      limited.full_scale_v = std::max(limited.full_scale_v, reach.voltage_v);
    }
  }

  void supply(const FeedRow& feed, std::size_t c, Limited& limited) const {
    if (feed.amplifier < 0 || results_.system.load_case.empty()) return;
    const Amplifier& unit = scene_.system.amplifiers[feed.amplifier].amplifier;
    double full_w = 0;
    for (const FeedRow& row : results_.system.feed)
      if (row.amplifier == feed.amplifier) full_w += row.power_w;
    // The unit's other channels play music.
    const double part = 2 * std::pow(10, -scene_.system.crest_db / 10);
    const double beside_w = part * (full_w - results_.system.feed[c].power_w);
    for (bool peak : {true, false}) {
      const double draw = most_draw_w(*scene_.system.supply, results_.system, feed.amplifier, peak);
      const double output_w = std::max(0.0, output_of_draw_w(unit, draw, full_w) - beside_w);
      auto& row = (peak ? limited.sine : limited.music)[static_cast<std::size_t>(LimitKind::supply)];
      for (std::size_t f = 0; f < row.size(); ++f)
        row[f] = std::isfinite(output_w)
                     ? std::abs(limited.load_ohm[f]) * std::sqrt(output_w / limited.load_ohm[f].real())
                     : without_end;
    }
  }

  const Scene& scene_;
  const Results& results_;
};

/// One preset: levels of each channel and of all together.
struct PresetLoudest {
  const Scene& scene;
  const std::vector<Limited>& limited;
  const std::vector<double>& frequency;
  std::size_t p = 0;
  LimitReport& report;
  std::vector<std::vector<Complex>> gain{};         // [C][F]
  std::vector<Table<Complex, 2>> pressure_per_v{};  // [C] of [N,F]

  std::vector<Band> bands() const { return third_octave_bands(20, 20000); }

  std::vector<double> band_levels(const std::vector<double>& square, bool as_music) const {
    std::vector<double> levels;
    for (const Band& band : bands()) {
      const auto mean = band_mean_square(frequency, square, band.low_hz, band.high_hz);
      // Music: this band's share of the pink spectrum's power.
      const double share = as_music ? std::log(band.high_hz / band.low_hz) / std::log(1000.0) : 1;
      levels.push_back(level_db(mean.value_or(0) * share));
    }
    return levels;
  }

  bool mute(std::size_t c) const { return scene.presets[p].channels[c].mute; }

  void channel(std::size_t c, const std::vector<double>& pink) const {
    const std::size_t seats = scene.seats.size();
    std::vector<double> modulus;
    for (const Complex& value : gain[c]) modulus.push_back(std::abs(value));
    LimitVoltages sine = limited[c].sine, music = limited[c].music;
    const auto signal = static_cast<std::size_t>(LimitKind::signal);
    const bool amplified = report_amplified(c);
    // Its mix may exceed full scale, or never reach it.
    const SignalMix& mix = scene.presets[p].channels[c].signal;
    const double full_v = limited[c].full_scale_v * (std::abs(mix.left) + std::abs(mix.right));
    for (std::size_t f = 0; f < frequency.size() && amplified; ++f)
      sine[signal][f] = music[signal][f] = std::max(full_v * modulus[f], 1e-30);
    const Limit heard = music_limit(music, pink, modulus, scene.system.crest_db);
    report.music_kind(p, c) = mute(c) ? 0 : static_cast<int>(heard.kind);
    const double music_v = std::isfinite(heard.voltage_v) ? heard.voltage_v : limited[c].full_scale_v;
    for (std::size_t s = 0; s < seats; ++s) {
      std::vector<double> square(frequency.size(), 0.0);
      for (std::size_t f = 0; f < frequency.size(); ++f) {
        const Limit limit = sine_limit(sine, f);
        report.sine_kind(p, c, f) = mute(c) ? 0 : static_cast<int>(limit.kind);
        const double voltage_v =
            std::isfinite(limit.voltage_v) ? limit.voltage_v : limited[c].full_scale_v * modulus[f];
        const double heard_per_v =
            (std::norm(pressure_per_v[c](2 * s, f)) + std::norm(pressure_per_v[c](2 * s + 1, f))) / 2;
        report.sine_db(p, c, s, f) = mute(c) ? silence_db : level_db(voltage_v * voltage_v * heard_per_v);
        square[f] = mute(c) ? 0 : std::pow(music_v * modulus[f], 2) * heard_per_v;
      }
      const auto levels = band_levels(square, true);
      std::copy(levels.begin(), levels.end(), report.music_db.row(p, c, s));
    }
  }

  bool report_amplified(std::size_t c) const {
    const auto& voltage = limited[c].sine[static_cast<std::size_t>(LimitKind::amplifier_voltage)];
    const auto& current = limited[c].sine[static_cast<std::size_t>(LimitKind::amplifier_current)];
    for (std::size_t f = 0; f < frequency.size(); ++f)
      if (std::isfinite(voltage[f]) || std::isfinite(current[f])) return true;
    return false;
  }

  void together(const std::vector<double>& pink) const {
    const std::size_t seats = scene.seats.size(), channels = scene.channels.size();
    // Full scale, music by its peaks; without an amplifier only the drivers limit.
    bool amplified = false;
    for (std::size_t c = 0; c < channels; ++c) amplified = amplified || report_amplified(c);
    double music = amplified ? 1 / std::sqrt(std::pow(10, scene.system.crest_db / 10) / 2) : without_end;
    report.system_music_kind[p] = static_cast<int>(amplified ? LimitKind::signal : LimitKind::none);
    report.system_music_channel[p] = -1;
    std::vector<double> sine(frequency.size(), amplified ? 1.0 : without_end);
    for (std::size_t c = 0; c < channels; ++c) {
      if (mute(c)) continue;
      // With left equal to right, a channel that stays silent limits nothing.
      const double share = std::abs(signal_share(scene.presets[p].channels[c].signal, 2));
      std::vector<double> modulus;
      for (const Complex& value : gain[c]) modulus.push_back(share * std::abs(value));
      const Limit limit = music_limit(limited[c].music, pink, modulus, scene.system.crest_db);
      if (limit.voltage_v / limited[c].full_scale_v < music) {
        music = limit.voltage_v / limited[c].full_scale_v;
        report.system_music_kind[p] = static_cast<int>(limit.kind);
        report.system_music_channel[p] = static_cast<int>(c);
      }
      for (std::size_t f = 0; f < frequency.size(); ++f)
        if (modulus[f] > 0)
          sine[f] = std::min(
              sine[f], sine_limit(limited[c].sine, f).voltage_v / (limited[c].full_scale_v * modulus[f]));
    }
    if (!std::isfinite(music)) music = 1;
    for (double& volume : sine)
      if (!std::isfinite(volume)) volume = 1;
    for (std::size_t s = 0; s < seats; ++s) {
      std::vector<double> square_sine(frequency.size()), square_music(frequency.size());
      for (std::size_t f = 0; f < frequency.size(); ++f) {
        double square = 0;
        for (std::size_t e : {0, 1}) {
          Complex sum = 0;
          for (std::size_t c = 0; c < channels; ++c)
            sum += signal_share(scene.presets[p].channels[c].signal, 2) * limited[c].full_scale_v *
                   gain[c][f] * pressure_per_v[c](2 * s + e, f);
          square += std::norm(sum) / 2;
        }
        square_sine[f] = square * sine[f] * sine[f];
        square_music[f] = square * music * music;
      }
      const auto sines = band_levels(square_sine, false), musics = band_levels(square_music, true);
      std::copy(sines.begin(), sines.end(), report.system_sine_db.row(p, s));
      std::copy(musics.begin(), musics.end(), report.system_music_db.row(p, s));
      report.system_music_a_db(p, s) =
          std::max(silence_db, weighted_sum_db(musics, report.third_octave_hz, Weighting::a));
      report.system_music_c_db(p, s) =
          std::max(silence_db, weighted_sum_db(musics, report.third_octave_hz, Weighting::c));
      report.hours(p, s) = std::min(24.0, exposure_hours(report.system_music_a_db(p, s)));
    }
  }
};

void warn_of_hearing(const LimitReport& report, const Scene& scene, Results& results) {
  double loudest = silence_db;
  std::size_t seat = 0, preset = 0;
  for (std::size_t p = 0; p < scene.presets.size(); ++p)
    for (std::size_t s = 0; s < scene.seats.size(); ++s)
      if (report.system_music_a_db(p, s) > loudest)
        loudest = report.system_music_a_db(p, s), seat = s, preset = p;
  if (loudest < 85) return;
  const double minutes = 60 * exposure_hours(loudest);
  Check check{Rule::hearing, "hearing", Outcome::caution, {}, ""};
  check.words = fmt::format(
      "hearing: highest continuous level, not a typical one: {:.0f} dB(A) at seat {} in preset {}; by NIOSH "
      "safe for {} a day",
      loudest, scene.seats[seat].name, scene.presets[preset].name,
      minutes < 1 ? std::string("less than a minute") : fmt::format("{:.0f} min", minutes));
  results.checks.push_back(std::move(check));
}

}  // namespace

void find_loudest(const Scene& scene, const std::vector<ChannelDrive>& drives, const FieldSolution& fields,
                  Results& results) {
  const auto& frequency = scene.computation.frequency_hz;
  const std::size_t presets = scene.presets.size(), channels = scene.channels.size(),
                    seats = scene.seats.size();
  LimitReport report;
  report.kind.assign(limit_names().begin(), limit_names().end());
  for (const Band& band : third_octave_bands(20, 20000)) report.third_octave_hz.push_back(band.middle_hz);
  const std::size_t bands = report.third_octave_hz.size();
  report.sine_db = Table<double, 4>({presets, channels, seats, frequency.size()}, silence_db);
  report.sine_kind = Table<int, 3>({presets, channels, frequency.size()});
  report.music_db = Table<double, 4>({presets, channels, seats, bands}, silence_db);
  report.music_kind = Table<int, 2>({presets, channels});
  report.system_sine_db = report.system_music_db = Table<double, 3>({presets, seats, bands}, silence_db);
  report.system_music_a_db = report.system_music_c_db = report.hours = Table<double, 2>({presets, seats});
  report.system_music_kind.assign(presets, 0);
  report.system_music_channel.assign(presets, -1);

  const Limiter limiter(scene, results);
  std::vector<Limited> limited;
  for (std::size_t c = 0; c < channels; ++c) limited.push_back(limiter.of(c));
  const std::vector<double> pink = pink_weights(frequency);
  const std::vector<Complex> ones(frequency.size(), 1.0);
  for (std::size_t p = 0; p < presets; ++p) {
    PresetLoudest loudest{scene, limited, frequency, p, report};
    for (std::size_t c = 0; c < channels; ++c) {
      loudest.gain.push_back(
          channel_response(scene.presets[p].channels[c], frequency, scene.computation.sample_rate_hz));
      loudest.pressure_per_v.push_back(
          channel_pressure(drives[c], ones, 1, fields.transfer_pa_s_m3[scene.presets[p].state]));
    }
    for (std::size_t c = 0; c < channels; ++c) loudest.channel(c, pink);
    loudest.together(pink);
  }
  warn_of_hearing(report, scene, results);
  results.limits = std::move(report);
}

}  // namespace cabinfield
