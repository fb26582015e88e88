// The stretching of a cabin with which taped lengths agree best, and which tape looks wrong.
//
// Least squares over the logarithms of stretches (see cabin_warp.h), by Levenberg and Marquardt's method as
// Moré put it into MINPACK (J. Moré, Lecture Notes in Mathematics 630 (1978) 105), in Eigen's unsupported
// module. Beside the tapes stand weak expectations: a body stretches evenly, by a tenth or so.
//
// A wrong tape is found as geodesists find one (W. Baarda, A testing procedure for use in geodetic networks,
// Delft 1968; from memory): each residual over its own standard deviation, which follows from how well the
// other tapes check it; the largest beyond 3.29 (one in a thousand by chance) is left out, the rest fitted
// again.
#pragma once

#include <vector>

#include "geometry/cabin_warp.h"

namespace cabinfield {

/// One end of a tape: a point of the cabin that moves with it, or the wall met from `through` in a direction.
struct TapeEnd {
  enum class Wall { none, front, rear, left, right, floor, roof } wall = Wall::none;
  Vector3 point = Vector3::Zero();   ///< m, in the cabin as drawn
  Vector3 offset = Vector3::Zero();  ///< m, added to the moved point: a head over its seat
};

struct TapeLine {
  TapeEnd from, to;
  Vector3 through = Vector3::Zero();  ///< m; a line to a wall runs through it, straight along an axis
  double length_m = 0;                ///< as taped
};

/// Both ends of a tape in the stretched cabin, m. A wall that is not met: the cabin's farthest extent there.
std::array<Vector3, 2> tape_ends(const CabinWarp& warp, const CabinShape& shape, const TapeLine& tape);

struct TapeFitOptions {
  double tape_deviation_m = 0.008;  ///< standard deviation of a tape held by one hand, m
  bool find_wrong = true;
};

struct FittedTape {
  double fitted_m = 0;        ///< length in the stretched cabin
  double checked = 0;         ///< 0 to 1: how much of an error of this tape the others would show
  bool wrong = false;         ///< left out of the fit
  double likely_error_m = 0;  ///< of the taped length, where wrong: taped minus what the others say
};

struct TapeFit {
  CabinWarp warp;
  std::vector<FittedTape> tapes;  ///< in the order of the tapes
};

TapeFit fit_tapes(const CabinShape& shape, const FreePlanes& planes, const std::vector<TapeLine>& tapes,
                  const TapeFitOptions& options = {});

}  // namespace cabinfield
