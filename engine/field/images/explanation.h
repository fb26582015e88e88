// Which reflections matter at an ear, and which path digs a notch.
#pragma once

#include <vector>

#include "base/air.h"
#include "field/images/cabin_paths.h"
#include "material/material.h"

namespace cabinfield {

/// A reflection beside the direct sound (or the way round edges) of the same driver at the same ear.
struct Reflection {
  std::size_t source = 0, ear = 0;
  std::vector<int> faces;  ///< in the order met
  double length_m = 0;     ///< with setback
  double extra_m = 0;      ///< longer than the direct sound
  double level_db = 0;     ///< against it, at 1 kHz
  double first_notch_hz =
      0;  ///< the lowest frequency at which the two are in opposite phase, as both are at 1 kHz
};

/// All paths of some sources at some ears, kept to be asked about. Small: order 3 in a cabin gives some
/// hundred a pair.
class Explanation {
 public:
  /// Everything passed by reference must outlive it.
  Explanation(const Cabin& cabin, const std::vector<Material>& materials, const Air& air,
              const DiffractionPath* ways, const std::vector<Source>& sources,
              const std::vector<Vector3>& ears, int order);

  /// The strongest reflections of a source at an ear, strongest first, at most `most`; empty where no direct
  /// sound reaches it.
  std::vector<Reflection> strongest(std::size_t source, std::size_t ear, std::size_t most) const;

  /// The reflection whose absence would raise the sum at that frequency the most, when the sources radiate
  /// with these volume velocities (m3/s, of those listed); null faces where none would.
  struct Cause {
    std::size_t source = 0;
    const CabinPath* path = nullptr;
    double extra_m = 0;  ///< longer than the direct sound of that source
  };
  Cause cause_of_notch(const std::vector<int>& sources, const std::vector<Complex>& volume_velocity_m3_s,
                       std::size_t ear, double frequency_hz) const;

 private:
  const std::vector<CabinPath>& paths(std::size_t source, std::size_t ear) const {
    return paths_[source * ears_ + ear];
  }
  const CabinPath* direct(std::size_t source, std::size_t ear) const;
  /// Pa s/m3 of one path alone.
  Complex transfer(const PathMedium& medium, std::size_t source, const CabinPath& path) const;
  PathMedium medium_at(double frequency_hz) const;

  const std::vector<Material>& materials_;
  const Air& air_;
  const std::vector<Source>& sources_;
  std::size_t ears_ = 0;
  std::vector<std::vector<CabinPath>> paths_;
};

}  // namespace cabinfield
