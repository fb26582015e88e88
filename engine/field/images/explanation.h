// The strongest reflections at an ear, and the reflection that causes a notch.
#pragma once

#include <vector>

#include "base/air.h"
#include "field/images/cabin_paths.h"
#include "material/material.h"

namespace cabinfield {

/// A reflection relative to the direct sound (or diffraction path) of the same driver at the same ear.
struct Reflection {
  std::size_t source = 0, ear = 0;
  std::vector<int> faces;     ///< in the order met
  double length_m = 0;        ///< including the setback
  double extra_m = 0;         ///< path difference to the direct sound
  double level_db = 0;        ///< relative to it, at 1 kHz
  double first_notch_hz = 0;  ///< lowest frequency of opposite phase, with the walls' phases of 1 kHz
};

/// Stores all paths from some sources to some ears: order 3 in a cabin gives about a hundred a pair.
class Explanation {
 public:
  /// Everything passed by reference must outlive it.
  Explanation(const Cabin& cabin, const std::vector<Material>& materials, const Air& air,
              const DiffractionPath* diffraction, const std::vector<Source>& sources,
              const std::vector<Vector3>& ears, int order);

  /// The strongest reflections of a source at an ear, strongest first, at most `most`; empty where no direct
  /// sound reaches it.
  std::vector<Reflection> strongest(std::size_t source, std::size_t ear, std::size_t most) const;

  /// The reflection whose removal raises the sum at that frequency the most, for the listed sources with
  /// these volume velocities (m3/s); null path where no removal raises it.
  struct Cause {
    std::size_t source = 0;
    const CabinPath* path = nullptr;
    double extra_m = 0;  ///< path difference to the direct sound of that source
  };
  Cause cause_of_notch(const std::vector<int>& sources, const std::vector<Complex>& volume_velocity_m3_s,
                       std::size_t ear, double frequency_hz) const;

 private:
  const std::vector<CabinPath>& paths(std::size_t source, std::size_t ear) const {
    return paths_[source * ears_ + ear];
  }
  const CabinPath* direct(std::size_t source, std::size_t ear) const;
  /// Transfer function of one path alone, Pa s/m3.
  Complex transfer(const PathMedium& medium, std::size_t source, const CabinPath& path) const;
  PathMedium medium_at(double frequency_hz) const;

  const std::vector<Material>& materials_;
  const Air& air_;
  const std::vector<Source>& sources_;
  std::size_t ears_ = 0;
  std::vector<std::vector<CabinPath>> paths_;
};

}  // namespace cabinfield
