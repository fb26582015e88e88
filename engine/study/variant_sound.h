// What is heard of one variant: its channels at the ears, as a prediction of its scene has them, made
// comparable where the study asks for it.
#pragma once

#include <map>
#include <memory>
#include <string>
#include <vector>

#include "base/table.h"
#include "listening/measures.h"
#include "predict/source_outputs.h"
#include "scene/scene.h"
#include "study/study.h"
#include "study/transfer_function_cache.h"

namespace cabinfield {

/// Owns what Heard looks at.
struct VariantSound {
  Table<Complex, 3> pressure_pa;                     ///< [C,N,F]
  std::vector<double> signal_share;                  ///< [3,C]; 0 for one that does not play
  std::vector<double> arrival_s;                     ///< [C,S] delays included; NaN: never
  std::vector<double> length_m;                      ///< [C,S]
  std::vector<double> added_delay_s, added_gain_db;  ///< [C] by what is done before judging
  std::vector<std::string> unheard;  ///< "sub at rear_left": pairs between which no sound gets through

  Heard heard() const;
};

/// The mono signal (both inputs alike) in the list of signals.
inline constexpr std::size_t both_alike = 2;

/// Mean power of both ears of a seat in the mono signal, Pa^2. [F]
std::vector<double> mono_square(const VariantSound& sound, std::size_t seat);

/// Works variants out; keeps the outputs of drivers and the filters of channels that come again. One for each
/// thread.
class SoundOfVariants {
 public:
  SoundOfVariants(int preset, BeforeJudging before) : preset_(preset), before_(std::move(before)) {}

  /// `level_db`: to what the level is set where the study asks for that and names none itself.
  VariantSound operator()(const Scene& scene, const Site& site, double level_db);

  /// The mean level that is made common, dB: of the scene as it is.
  double level_to_share_db(const VariantSound& sound, const Scene& scene) const;

 private:
  const DriverResponse& output(const MountedDriver& driver, const Scene& scene);
  void line_up(const Scene& scene, VariantSound& sound) const;

  struct KnownOutput {
    ThieleSmall set;
    Loading loading;
    int sharing;
    double level_db;
    std::optional<MinimumPhaseGain> published;
    Air air;
    DriverResponse response;
  };
  int preset_;
  BeforeJudging before_;
  std::map<std::string, std::vector<KnownOutput>> outputs_;  // by driver, those asked for last
};

}  // namespace cabinfield
