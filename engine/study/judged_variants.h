// Judges what is heard of variants by the measures of a study.
#pragma once

#include <compare>
#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "listening/measures.h"
#include "predict/results.h"
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
    std::vector<std::size_t> options;  // which measure each wish of the plan is
  };
  /// What a plan depends on.
  struct PlanKey {
    std::vector<std::string> channels;
    // Where a side is asked for: the air, and of each seat how far its ears are apart and whether it has a
    // sphere.
    double sound_speed_m_s = 0;
    std::vector<std::pair<double, bool>> heads;
    auto operator<=>(const PlanKey&) const = default;
  };
  PlanKey key_of(const Scene& scene) const;
  Prepared& prepared(const Scene& scene);

  std::vector<StudyMeasure> measures_;
  const Scene& present_;
  bool sides_;  // whether a measure asks for one
  std::map<PlanKey, Prepared> plans_;
};

/// The loudest that a scene's system gets with music before a limit, in a band at each seat, dB: what is
/// predicted for the preset, third octaves whose middles lie in the band added up. NaN where nothing limits.
std::vector<double> loudest_db(const Scene& scene, const Site& site, int preset, FrequencyRange band);

/// A rule about a hole or a depth that is broken.
bool is_missed_opening(const Check& check);
/// Rules of the plan about holes and depths that a scene breaks.
std::size_t openings_missed(const Scene& scene);

}  // namespace cabinfield
