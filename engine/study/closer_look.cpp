#include "study/closer_look.h"

#include <algorithm>

#include "listening/bands.h"
#include "plan/judge_system.h"
#include "predict/prediction.h"
#include "study/judged_variants.h"

namespace cabinfield {

FrequencyRange reported_range(const Scene& scene) {
  const auto& hz = scene.computation.frequency_hz;
  return {std::max(20.0, hz.front()), std::min(20000.0, hz.back())};
}

LeadingVariant closer_look(const Study& study, std::uint64_t variant, const Scene& scene,
                           const VariantSound& sound, std::span<const double> values) {
  LeadingVariant found;
  found.variant = variant;
  found.label = study.label(variant);
  for (const Channel& channel : scene.channels) found.channel.push_back(channel.name);
  const auto& frequency_hz = scene.computation.frequency_hz;
  found.response_db = Table<double, 2>({scene.seats.size(), frequency_hz.size()});
  for (std::size_t s = 0; s < scene.seats.size(); ++s) {
    const std::vector<double> square = mono_square(sound, s);
    for (std::size_t f = 0; f < square.size(); ++f) found.response_db(s, f) = sound_level_db(square[f]);
  }
  const std::span<const double> shares(sound.signal_share);
  found.contributions = contributions(
      frequency_hz, sound.heard().pressure,
      shares.subspan(mono_signal * scene.channels.size(), scene.channels.size()), reported_range(scene));
  found.added_delay_s = sound.added_delay_s;
  found.added_gain_db = sound.added_gain_db;
  for (std::size_t m = 0; m < study.judge.size(); ++m)
    if (!keeps_limits(study.judge[m].judgement, values[m]))
      found.broken.push_back(limit_words(study.judge[m].options.kind, study.judge[m].judgement, values[m]));
  if (study.must_fit_openings)
    for (const Check& check : check_plan(scene))
      if (is_missed_opening(check)) found.broken.push_back(check.words);
  return found;
}

}  // namespace cabinfield
