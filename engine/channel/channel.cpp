#include "channel/channel.h"

#include <cmath>
#include <stdexcept>

#include "base/constants.h"

namespace cabinfield {

std::vector<Biquad> channel_sections(const ChannelSettings& settings, double sample_rate_hz) {
  std::vector<Biquad> sections;
  const auto append = [&](const std::optional<Crossover>& crossover, CrossoverSide side) {
    if (!crossover) return;
    const std::vector<Biquad> more = crossover_sections(*crossover, side, sample_rate_hz);
    sections.insert(sections.end(), more.begin(), more.end());
  };
  append(settings.highpass, CrossoverSide::highpass);
  append(settings.lowpass, CrossoverSide::lowpass);
  for (const EqualiserBand& band : settings.equaliser)
    sections.push_back(equaliser_section(band, sample_rate_hz));
  return sections;
}

std::vector<Complex> channel_response(const ChannelSettings& settings,
                                      const std::vector<double>& frequency_hz, double sample_rate_hz) {
  if (settings.mute) return std::vector<Complex>(frequency_hz.size(), Complex(0));
  std::vector<Complex> response =
      cascade_response(channel_sections(settings, sample_rate_hz), frequency_hz, sample_rate_hz);
  const double gain = (settings.inverted ? -1.0 : 1.0) * std::pow(10.0, settings.gain_db / 20.0);
  for (std::size_t f = 0; f < response.size(); ++f) {
    // Drop whole turns before the sine and cosine, so that a long delay keeps its precision.
    const double turns = std::remainder(frequency_hz[f] * settings.delay_s, 1.0);
    response[f] *= std::polar(1.0, -2.0 * pi * turns) * gain;
  }
  return response;
}

std::vector<std::vector<Complex>> wiring_voltage_share(
    DriverWiring wiring, const std::vector<std::vector<Complex>>& impedance_ohm) {
  std::vector<std::vector<Complex>> share = impedance_ohm;
  if (impedance_ohm.empty()) return share;
  const std::size_t frequencies = impedance_ohm.front().size();
  for (const auto& row : impedance_ohm)
    if (row.size() != frequencies)
      throw std::invalid_argument("the impedances of one channel must be at the same frequencies");
  for (std::size_t f = 0; f < frequencies; ++f) {
    Complex total = 0;
    for (const auto& row : impedance_ohm) total += row[f];
    if (wiring == DriverWiring::series && total == Complex(0))
      throw std::invalid_argument("the impedances of drivers in series add to 0 ohm");
    for (std::size_t d = 0; d < share.size(); ++d)
      share[d][f] = wiring == DriverWiring::parallel ? Complex(1.0) : impedance_ohm[d][f] / total;
  }
  return share;
}

}  // namespace cabinfield
