// Settings as the processor runs them: the sample rate of its filters, delays in whole steps.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "scene/build_steps.h"

namespace cabinfield::build {
namespace {

/// Filters that the processor cannot run, anywhere in the file.
void check_corners(const ChannelSpec& spec, double rate_hz, Faults& faults) {
  auto check = [&](const char* what, double frequency_hz, const SourceLocation& location) {
    if (frequency_hz < rate_hz / 2) return;
    faults.add(location, fmt::format("{}: {:g} Hz is not below {:g} Hz, half the processor's sample rate",
                                     what, frequency_hz, rate_hz / 2));
  };
  for (const auto& [what, crossover] : {std::pair{"highpass", &spec.highpass}, {"lowpass", &spec.lowpass}})
    if (*crossover && (*crossover)->sound())
      check(what, (*crossover)->frequency_hz, (*crossover)->at("frequency"));
  for (const EqualiserBandSpec& band : spec.equaliser)
    if (band.sound()) check("equaliser", band.frequency_hz, band.at("frequency"));
}

/// Delays of a channel in whole steps; a note names those that change visibly.
void round_delays(Scene& scene, std::size_t c, double step_s) {
  std::vector<std::string> changes;
  for (Preset& preset : scene.presets) {
    double& delay_s = preset.channels[c].delay_s;
    const double rounded_s = std::round(delay_s / step_s) * step_s;
    const std::string asked = fmt::format("{:.3f} ms", delay_s * 1000),
                      set = fmt::format("{:.3f} ms", rounded_s * 1000), change = asked + " becomes " + set;
    delay_s = rounded_s;
    if (asked != set && std::count(changes.begin(), changes.end(), change) == 0) changes.push_back(change);
  }
  if (changes.empty()) return;
  scene.notes.push_back(fmt::format("{}: delay {}: the processor's steps are {:.3g} ms",
                                    scene.channels[c].name, fmt::join(changes, ", "), step_s * 1000));
}

}  // namespace

void processing(const SceneSpec& spec, Scene& scene, Faults& faults) {
  if (!scene.system.processor) return;
  const Processor& processor = *scene.system.processor;
  if (processor.sample_rate_hz > 0) {
    scene.computation.sample_rate_hz = processor.sample_rate_hz;
    for (const auto& channel : spec.channels) check_corners(channel.value, processor.sample_rate_hz, faults);
    for (const auto& group : spec.groups) check_corners(group.value, processor.sample_rate_hz, faults);
    for (const auto& preset : spec.presets)
      for (const auto& channel : preset.value.channels)
        check_corners(channel.value, processor.sample_rate_hz, faults);
  }
  if (processor.delay_step_s > 0)
    for (std::size_t c = 0; c < scene.channels.size(); ++c) round_delays(scene, c, processor.delay_step_s);
}

}  // namespace cabinfield::build
