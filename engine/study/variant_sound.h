// The sound of one variant: its channels at the ears, as in a prediction of its scene, with alignment and
// level matching where the study wants them.
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

/// Owns the values that Heard refers to.
struct VariantSound {
  Table<Complex, 3> pressure_pa;                     ///< [C,N,F]
  std::vector<double> signal_share;                  ///< [3,C]; 0 for a channel that does not play
  std::vector<double> arrival_s;                     ///< [C,S] first arrival with delays; NaN: none
  std::vector<double> length_m;                      ///< [C,S]
  std::vector<double> added_delay_s, added_gain_db;  ///< [C] by alignment and level matching
  std::vector<std::string> unheard;                  ///< "sub at rear_left": pairs without any sound path

  Heard heard() const;
};

/// Index of the mono signal (the same on both inputs) in the list of signals.
inline constexpr std::size_t mono_signal = 2;

/// Mean power of both ears of a seat in the mono signal, Pa^2. [F]
std::vector<double> mono_square(const VariantSound& sound, std::size_t seat);

/// Computes variants; remembers the outputs of drivers that recur. One for each thread.
class VariantSounds {
 public:
  VariantSounds(int preset, BeforeJudging before) : preset_(preset), before_(std::move(before)) {}

  /// `level_db`: the common level where the study wants one and does not give it.
  VariantSound operator()(const Scene& scene, const TransferFunctionSet& transfer, double level_db);

  /// Mean level in the band and at the seats of level matching, dB; 0 without level matching.
  double common_level_db(const VariantSound& sound, const Scene& scene) const;

 private:
  const DriverResponse& output(const MountedDriver& driver, const Scene& scene);
  void align(const Scene& scene, VariantSound& sound) const;

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
  std::map<std::string, std::vector<KnownOutput>> outputs_;  // by driver; the oldest is dropped first
};

}  // namespace cabinfield
