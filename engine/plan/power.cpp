// Amplifier power against what a driver withstands: heat of its coil, travel of its cone, and the high-pass
// that a tweeter cannot do without.
//
// Each preset in which the channel plays is judged with a full-scale sine of any frequency, clean at the
// amplifier's output, through filters, equaliser and gain. Clipping adds power that is not counted.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "plan/highpass.h"
#include "plan/judge_system.h"

namespace cabinfield {
namespace {

constexpr double running_v = 13.8;  // engine running, V at the amplifier (common practice, no source)
/// Clean sine power over the rating that music allows. The rating is that of a noise whose peaks are twice
/// its RMS voltage (IEC 60268-5 with the noise of IEC 60268-1; from memory): an amplifier that gives its
/// peaks unclipped has twice the rated power as a sine.
constexpr double music_part = 2;
/// The same for bass notes, which last for minutes as a sine does: 1 dB, the accuracy of ratings (common
/// practice, no source).
constexpr double bass_part = 1.25;
/// A suspension ends at about twice the peak excursion up to which the motor is linear (common practice, no
/// source).
constexpr double stop_part = 2;
/// Music has nothing to speak of below (common practice, no source).
constexpr double lowest_hz = 20;
/// A driver that resonates above this is no woofer and needs a high-pass (common practice, no source).
constexpr double least_tweeter_resonance_hz = 300;

struct Worst {
  double ratio = 0;  ///< of what is allowed
  double value = 0, frequency_hz = 0;
  double allowed = 0;
  const Preset* preset = nullptr;
};

class ChannelPower {
 public:
  ChannelPower(const Scene& scene, std::size_t channel, const Amplifier& amplifier, bool bridged)
      : scene_(scene), channel_(channel), driven_(driven_channel(scene, channel, load_frequency_hz())) {
    for (const Complex& load : driven_.load_ohm)
      full_v_.push_back(output_reach(amplifier, bridged, std::abs(load), running_v).voltage_v);
    bool plays = false;
    for (const Preset& preset : scene.presets) plays = plays || !preset.channels[channel].mute;
    for (const Preset& preset : scene.presets)
      if (!plays || !preset.channels[channel].mute)
        presets_.emplace_back(&preset,
                              part_of_full_scale(preset.channels[channel], scene.computation.sample_rate_hz,
                                                 load_frequency_hz()));
  }

  void judge(std::vector<Check>& checks) const {
    for (std::size_t i = 0; i < driven_.drivers.size(); ++i) {
      const MountedDriver& driver = scene_.drivers[scene_.channels[channel_].drivers[i]];
      if (driven_.drivers[i].power_w > 0) coil(driver, driven_.drivers[i], checks);
      if (driven_.drivers[i].peak_m > 0) cone(driver, driven_.drivers[i], checks);
      if (!driver.lowest_highpass_hz && driver.thiele_small.Fs_hz >= least_tweeter_resonance_hz)
        tweeter(driver, checks);
    }
  }

 private:
  /// Over presets and frequencies; `value` of the voltage at the channel's terminals.
  template <typename Value, typename Allowed>
  Worst worst_of(Value value, Allowed allowed) const {
    Worst worst;
    for (const auto& [preset, part] : presets_)
      for (std::size_t f = 0; f < part.size(); ++f) {
        const double frequency_hz = load_frequency_hz()[f];
        if (frequency_hz < lowest_hz) continue;
        const double now = value(f, full_v_[f] * part[f]), most = allowed(frequency_hz);
        if (now / most > worst.ratio) worst = {now / most, now, frequency_hz, most, preset};
      }
    return worst;
  }

  static Outcome outcome(const Worst& worst, double rating) {
    constexpr double rounding = 1e-9;
    return worst.ratio > 1 + rounding              ? Outcome::violated
           : worst.value > rating * (1 + rounding) ? Outcome::caution
                                                   : Outcome::met;
  }

  void coil(const MountedDriver& driver, const LimitedDriver& limits, std::vector<Check>& checks) const {
    const double rating_w = limits.power_w;
    const Worst worst = worst_of(
        [&](std::size_t f, double voltage_v) {
          const double current_a = voltage_v * limits.share[f] / limits.modulus_ohm[f];
          return current_a * current_a * limits.coil_ohm;
        },
        [&](double frequency_hz) {
          return (frequency_hz <= highest_bass_hz ? bass_part : music_part) * rating_w;
        });
    if (worst.preset == nullptr) return;
    const bool one_coil = driver.coils > 1 && driver.coils_joined == CoilConnection::single;
    checks.push_back(
        {Rule::coil_power, driver.name, outcome(worst, rating_w),
         Margin{worst.allowed - worst.value, MarginUnit::watt},
         fmt::format("{}: a full-scale sine of {:.0f} Hz heats its coil with {:.0f} W in preset "
                     "{}; rating {:.0f} W{}, at most {:.0f} W of a sine ({})",
                     driver.name, worst.frequency_hz, worst.value, worst.preset->name, rating_w,
                     one_coil ? fmt::format(" (one of {} coils driven)", driver.coils) : "", worst.allowed,
                     worst.frequency_hz <= highest_bass_hz ? "bass notes last for minutes"
                                                           : "music averages far less")});
  }

  void cone(const MountedDriver& driver, const LimitedDriver& limits, std::vector<Check>& checks) const {
    const double peak_m = limits.peak_m;
    const Worst worst =
        worst_of([&](std::size_t f,
                     double voltage_v) { return voltage_v * limits.share[f] * limits.excursion_m_v[f]; },
                 [&](double) { return stop_part * peak_m; });
    if (worst.preset == nullptr) return;
    checks.push_back({Rule::excursion, driver.name, outcome(worst, peak_m),
                      Margin{worst.allowed - worst.value, MarginUnit::metre},
                      fmt::format("{}: a full-scale sine of {:.0f} Hz moves its cone {:.1f} mm in preset {}; "
                                  "linear to {:.1f} mm, stop at about {:.1f} mm",
                                  driver.name, worst.frequency_hz, worst.value * 1000, worst.preset->name,
                                  peak_m * 1000, worst.allowed * 1000)});
  }

  void tweeter(const MountedDriver& driver, std::vector<Check>& checks) const {
    for (const auto& [preset, part] : presets_) {
      const auto weak = weak_highpass(preset->channels[channel_], scene_.computation.sample_rate_hz,
                                      driver.thiele_small.Fs_hz);
      if (!weak) continue;
      checks.push_back(
          {Rule::lowest_highpass,
           driver.name,
           Outcome::violated,
           {},
           fmt::format("{}: preset {} of channel {} {}; its model gives no lowest high-pass, so its "
                       "resonance at {:.0f} Hz is taken",
                       driver.name, preset->name, scene_.channels[channel_].name, weak_highpass_words(*weak),
                       driver.thiele_small.Fs_hz)});
      return;
    }
  }

  const Scene& scene_;
  std::size_t channel_;
  DrivenChannel driven_;
  std::vector<double> full_v_;
  std::vector<std::pair<const Preset*, std::vector<double>>> presets_;
};

}  // namespace

void judge_power(const Scene& scene, const SystemReport& report, std::vector<Check>& checks) {
  for (std::size_t c = 0; c < scene.channels.size(); ++c) {
    const FeedRow& feed = report.feed[c];
    if (feed.amplifier < 0 || scene.channels[c].drivers.empty()) continue;
    const bool bridged = feed.bridged_with > 0;
    const Amplifier& amplifier = scene.system.amplifiers[feed.amplifier].amplifier;
    if ((bridged ? amplifier.bridged : amplifier.ratings).empty()) continue;
    ChannelPower(scene, c, amplifier, bridged).judge(checks);
  }
}

}  // namespace cabinfield
