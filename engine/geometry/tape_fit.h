// Fits a cabin to taped lengths, and finds tapes that look wrong.
//
// Least squares over the logarithms of stretches (see cabin_warp.h), by the Levenberg-Marquardt method of
// MINPACK (J. Moré, Lecture Notes in Mathematics 630 (1978) 105) in Eigen's unsupported module. Weak priors
// are added to the tapes: a body stretches evenly, by a tenth or so.
//
// Wrong tapes are found by data snooping (W. Baarda, A testing procedure for use in geodetic networks, Delft
// 1968; from memory): each residual is divided by its own standard deviation, which follows from how well the
// other tapes check it; the largest beyond 3.29 (one in a thousand by chance) is left out, and the rest
// fitted again.
#pragma once

#include <vector>

#include "geometry/cabin_warp.h"

namespace cabinfield {

/// One end of a tape: a point that moves with the cabin, or the wall hit from `through` in a direction.
struct TapeEnd {
  enum class Wall { none, front, rear, left, right, floor, roof } wall = Wall::none;
  Vector3 point = Vector3::Zero();   ///< m, in the cabin as drawn
  Vector3 offset = Vector3::Zero();  ///< m, added to the moved point, such as from a seat to its head
};

struct TapeLine {
  TapeEnd from, to;
  Vector3 through = Vector3::Zero();  ///< m; a line to a wall runs through this point, along an axis
  double length_m = 0;                ///< as taped
};

/// Both ends of a tape in the stretched cabin, m. If no wall is hit: the cabin's farthest extent there.
std::array<Vector3, 2> tape_ends(const CabinWarp& warp, const CabinShape& shape, const TapeLine& tape);

struct TapeFitOptions {
  double tape_deviation_m = 0.008;  ///< standard deviation of a tape held by one hand, m
  bool find_wrong = true;
};

struct FittedTape {
  double fitted_m = 0;        ///< length in the stretched cabin
  double checked = 0;         ///< redundancy, 0 to 1: share of an error of this tape that its residual shows
  bool wrong = false;         ///< left out of the fit
  double likely_error_m = 0;  ///< of a wrong tape: taped length minus the length fitted without it
};

struct TapeFit {
  CabinWarp warp;
  std::vector<FittedTape> tapes;  ///< in the order of the tapes
};

TapeFit fit_tapes(const CabinShape& shape, const FreePlanes& planes, const std::vector<TapeLine>& tapes,
                  const TapeFitOptions& options = {});

}  // namespace cabinfield
