// Judges what is heard of variants by the measures of a study.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "listening/measures.h"
#include "results/results.h"
#include "scene/scene.h"
#include "study/study.h"
#include "study/variant_sound.h"

namespace cabinfield {

/// Judges variants by some measures; the channels that a measure names are found by their names in each. One
/// for each thread.
class VariantJudge {
 public:
  /// `present` is the scene whose channels and seats the measures go by; it must outlive the judge.
  VariantJudge(std::vector<StudyMeasure> measures, const Scene& present);

  /// Values [M] and, at each seat, [M,S]; NaN where there is none, as where a measure's channels are gone or
  /// nothing limits the loudest level. The sound is that of the preset at the site.
  Measured operator()(const Scene& scene, const VariantSound& sound, const Site& site, int preset);

 private:
  struct Prepared {
    MeasurePlan plan;
    MeasureWorkspace work;
    std::vector<std::size_t> wish;  // which measure each wish of the plan is
  };
  Prepared& prepared(const Scene& scene);

  std::vector<StudyMeasure> measures_;
  const Scene& present_;
  std::map<std::vector<std::string>, Prepared> by_channels_;  // by the channels of the variant
};

/// The loudest that a scene's system gets with music before a limit, in a band at each seat, dB: what is
/// predicted for the preset, third octaves whose middles lie in the band added up. NaN where nothing limits.
std::vector<double> loudest_db(const Scene& scene, const Site& site, int preset, FrequencyRange band);

/// A rule about a hole or a depth that is broken.
bool is_missed_opening(const Check& check);
/// Rules of the plan about holes and depths that a scene breaks.
std::size_t openings_missed(const Scene& scene);

}  // namespace cabinfield
