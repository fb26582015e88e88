// Judges the sound of variants by the measures of a study.
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

/// Judges variants by some measures; the channels of a measure are found in each variant by name. One for
/// each thread.
class VariantJudge {
 public:
  /// Channels and seats of the measures are indices into `present`, which must outlive the judge.
  VariantJudge(std::vector<StudyMeasure> measures, const Scene& present);

  /// Values [M] and, at each seat, [M,S]; NaN where a measure has no value, as where the variant lacks its
  /// channels or nothing limits the loudest level. The sound is that of the preset.
  Measured operator()(const Scene& scene, const VariantSound& sound, const TransferFunctionSet& transfer,
                      int preset);

 private:
  struct Prepared {
    MeasurePlan plan;
    MeasureWorkspace work;
    std::vector<std::size_t> options;  // which measure each of the plan's options belongs to
  };
  /// Everything a plan depends on.
  struct PlanKey {
    std::vector<std::string> channels;
    // Where a measure is a side angle: the speed of sound, and of each seat the distance of its ears and
    // whether it has a sphere.
    double sound_speed_m_s = 0;
    std::vector<std::pair<double, bool>> heads;
    auto operator<=>(const PlanKey&) const = default;
  };
  PlanKey key_of(const Scene& scene) const;
  Prepared& prepared(const Scene& scene);

  std::vector<StudyMeasure> measures_;
  const Scene& present_;
  bool sides_;  // whether a measure is a side angle
  std::map<PlanKey, Prepared> plans_;
};

/// Highest sustained level with music before something reaches its limit, in a band at each seat, dB: as
/// predicted for the preset, summed over the third octaves whose centres lie in the band. NaN where nothing
/// limits.
std::vector<double> loudest_db(const Scene& scene, const TransferFunctionSet& transfer, int preset,
                               FrequencyRange band);

/// A rule about a hole or a depth that is broken.
bool is_missed_opening(const Check& check);
/// Rules of the plan about holes and depths that a scene breaks.
std::size_t openings_missed(const Scene& scene);

}  // namespace cabinfield
