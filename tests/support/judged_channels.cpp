#include "support/judged_channels.h"

#include <cmath>

#include "base/constants.h"
#include "field/frequency_grid.h"

namespace cabinfield::test {
namespace {

constexpr double speed_m_s = 343;

Complex turned(double frequency_hz, double delay_s) {
  return std::polar(1.0, -2 * pi * frequency_hz * delay_s);
}

}  // namespace

JudgedChannels reference_channels() {
  constexpr double amplitude[4] = {0.8, 0.7, -1.5, 3.0};
  constexpr double highpass_hz[4] = {60, 60, 22, 90}, lowpass_hz[4] = {5000, 4000, 160, 5000};
  constexpr double direct_m[4][4] = {
      {0.95, 1.08, 1.52, 1.63}, {1.66, 1.50, 1.12, 0.93}, {1.90, 1.85, 1.80, 1.95}, {1.0, 1.0, 1.0, 1.0}};
  constexpr double echo_m[4][4] = {
      {2.40, 2.13, 2.90, 2.71}, {2.75, 2.96, 2.20, 2.44}, {3.10, 3.32, 3.21, 2.98}, {2.0, 2.0, 2.0, 2.0}};
  JudgedChannels made;
  for (int i = 0; i < 175; ++i) made.frequency_hz.push_back(10 * std::exp2(i / 24.0));
  made.pressure_pa = Table<Complex, 3>({4, 4, made.frequency_hz.size()});
  made.signal_share = {1, 0, 0.5, 0, 0, 1, 0.5, 0, 1, 1, 1, 0};
  for (std::size_t c = 0; c < 4; ++c)
    for (std::size_t e = 0; e < 4; ++e)
      for (std::size_t f = 0; f < made.frequency_hz.size(); ++f) {
        const double hz = made.frequency_hz[f];
        const Complex high(0, hz / highpass_hz[c]), low(0, hz / lowpass_hz[c]);
        const Complex response =
            amplitude[c] * high * high / (1.0 + high / 0.7 + high * high) / (1.0 + low / 0.7 + low * low);
        made.pressure_pa(c, e, f) = response * (turned(hz, direct_m[c][e] / speed_m_s) / direct_m[c][e] +
                                                0.7 * turned(hz, echo_m[c][e] / speed_m_s) / echo_m[c][e]);
      }
  for (std::size_t c = 0; c < 4; ++c)
    for (std::size_t left : {0, 2}) {
      made.length_m.push_back(0.5 * (direct_m[c][left] + direct_m[c][left + 1]));
      made.arrival_s.push_back(made.length_m.back() / speed_m_s);
    }
  return made;
}

JudgedChannels delayed_channels(const std::vector<double>& frequency_hz,
                                const std::vector<std::vector<double>>& delay_s,
                                const std::vector<std::vector<double>>& gain) {
  JudgedChannels made;
  const std::size_t channels = delay_s.size(), ears = delay_s.front().size();
  made.frequency_hz = frequency_hz;
  made.pressure_pa = Table<Complex, 3>({channels, ears, frequency_hz.size()});
  made.signal_share.assign(3 * channels, 1.0);
  for (std::size_t c = 0; c < channels; ++c)
    for (std::size_t e = 0; e < ears; ++e) {
      for (std::size_t f = 0; f < frequency_hz.size(); ++f)
        made.pressure_pa(c, e, f) = gain[c][e] * turned(frequency_hz[f], delay_s[c][e]);
      if (e % 2 == 0) continue;
      made.arrival_s.push_back(0.5 * (delay_s[c][e - 1] + delay_s[c][e]));
      made.length_m.push_back(made.arrival_s.back() * speed_m_s);
    }
  return made;
}

JudgedChannels mirrored(const JudgedChannels& given, const std::vector<std::size_t>& mirror_channel) {
  JudgedChannels made = given;
  const std::size_t channels = given.channels(), ears = given.pressure_pa.shape()[1];
  constexpr std::size_t other_signal[3] = {1, 0, 2};
  for (std::size_t c = 0; c < channels; ++c) {
    const std::size_t from = mirror_channel[c];
    // Ears 0 1 2 3 of two seats become 3 2 1 0.
    for (std::size_t e = 0; e < ears; ++e) {
      const std::size_t ear = ears - 1 - e;
      for (std::size_t f = 0; f < given.frequency_hz.size(); ++f)
        made.pressure_pa(c, e, f) = given.pressure_pa(from, ear, f);
    }
    const std::size_t seats = ears / 2;
    for (std::size_t s = 0; s < seats; ++s) {
      made.arrival_s[c * seats + s] = given.arrival_s[from * seats + seats - 1 - s];
      made.length_m[c * seats + s] = given.length_m[from * seats + seats - 1 - s];
    }
    for (std::size_t s = 0; s < 3; ++s)
      made.signal_share[s * channels + c] = given.signal_share[other_signal[s] * channels + from];
  }
  return made;
}

Judged judge_one(const JudgedChannels& channels, const MeasureOptions& options,
                 std::vector<SideAngleScale> side_scale) {
  MeasureSetting setting = channels.setting();
  setting.side_scale = std::move(side_scale);
  const MeasurePlan plan({options}, setting);
  MeasureWorkspace work = plan.workspace();
  Measured measured;
  plan.evaluate(channels.heard(), work, measured);
  return {measured.over_seats[0], measured.at_seat, measured.detail};
}

}  // namespace cabinfield::test
