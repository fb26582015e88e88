// Inputs of the processor: their band, factory processing to undo, sounds that must stay audible.
#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "plan/judge_system.h"

namespace cabinfield {
namespace {

/// Band that the channels as drawn need.
std::pair<double, double> asked_band_hz(const Scene& scene) {
  double low_hz = 20000, high_hz = 20;
  for (const ChannelSettings& settings : scene.presets.front().channels) {
    low_hz = std::min(low_hz, settings.highpass ? settings.highpass->frequency_hz : 20);
    high_hz = std::max(high_hz, settings.lowpass ? settings.lowpass->frequency_hz : 20000);
  }
  return {std::max(20.0, low_hz), std::min(20000.0, high_hz)};
}

}  // namespace

void judge_signal(const Scene& scene, std::vector<Check>& checks) {
  if (!scene.system.processor) return;
  const Processor& processor = *scene.system.processor;
  const int given = static_cast<int>(processor.feeds.size());
  auto add = [&](Rule rule, const std::string& subject, bool holds, std::string words) {
    checks.push_back(value_check(rule, subject, holds, {}, std::move(words)));
  };
  if (given > 0) {
    add(Rule::inputs, "processor", given <= processor.inputs,
        fmt::format("processor: {} of {} inputs used", given, processor.inputs));
    if (!scene.presets.empty()) {
      const auto [low_hz, high_hz] = asked_band_hz(scene);
      double from_hz = 1e9, to_hz = 0;
      for (const ProcessorInput& input : processor.feeds)
        from_hz = std::min(from_hz, input.low_hz), to_hz = std::max(to_hz, input.high_hz);
      // Half an octave at a corner is inaudible in music (common practice, no source).
      const bool holds = from_hz <= low_hz * 1.42 && to_hz >= high_hz / 1.42;
      add(Rule::input_band, "processor", holds,
          fmt::format("processor: its inputs carry {:.0f} Hz to {:.0f} Hz, the channels need {:.0f} Hz to "
                      "{:.0f} Hz",
                      from_hz, to_hz, low_hz, high_hz));
    }
  }
  for (const ProcessorInput& input : processor.feeds)
    for (const std::string& shape : input.shaped) {
      const bool undone = std::count(processor.undoes.begin(), processor.undoes.end(), shape) > 0;
      std::string words = shape;
      std::replace(words.begin(), words.end(), '_', ' ');
      add(Rule::undone, input.name, undone,
          undone ? fmt::format("{}: the processor can undo the factory {}", input.name, words)
                 : fmt::format("{}: the factory {} remains: this processor cannot undo it; take the signal "
                               "before it, or use a processor that can",
                               input.name, words));
    }
  for (const auto& [what, sounds] : processor.still_sounds)
    add(Rule::still_sounds, what, sounds,
        sounds ? fmt::format("{}: still audible after rewiring", what)
               : fmt::format("{}: no longer audible after rewiring: keep them connected to a loudspeaker",
                             what));
  // Delays are in whole steps; the maximum need not be.
  const double longest_s = processor.longest_delay_s * (1 + 1e-9) + processor.delay_step_s / 2;
  if (processor.longest_delay_s > 0)
    for (const Preset& preset : scene.presets)
      for (std::size_t c = 0; c < preset.channels.size(); ++c)
        if (preset.channels[c].delay_s > longest_s)
          add(Rule::longest_delay, scene.channels[c].name, false,
              fmt::format("{}: preset {} needs {:.2f} ms; the processor's maximum is {:.2f} ms",
                          scene.channels[c].name, preset.name, preset.channels[c].delay_s * 1000,
                          processor.longest_delay_s * 1000));
  if (processor.bands)
    for (std::size_t c = 0; c < scene.channels.size(); ++c)
      for (const Preset& preset : scene.presets) {
        const int bands = static_cast<int>(preset.channels[c].equaliser.size());
        if (bands <= *processor.bands) continue;
        add(Rule::equaliser_bands, scene.channels[c].name, false,
            fmt::format("{}: preset {} has {} equaliser bands; the processor has {} per channel",
                        scene.channels[c].name, preset.name, bands, *processor.bands));
        break;
      }
}

}  // namespace cabinfield
