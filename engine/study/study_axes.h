// Turns the moves and varies of a study file into axes.
#pragma once

#include <vector>

#include "base/fault.h"
#include "study/study.h"
#include "study/study_specs.h"

namespace cabinfield {

/// What an axis may refer to.
struct StudyGround {
  const Node& document;  ///< of the scene as drawn
  const Scene& scene;    ///< the same scene, built
  double length_unit_m = 1;
  std::string preset;      ///< judged preset; "" is the scene as drawn
  std::string scene_path;  ///< searched for models besides the scene's folder
  std::vector<std::string> model_folders;
};

/// One axis for each move, then one for each vary, in file order, without those that have faults. Faults:
/// unknown drivers, boxes, blocks, seats, surfaces, channels and paths (with the nearest known name), values
/// that the scene's keys do not accept, axes without choices, a grid without a point on its surface,
/// duplicate names of axes or choices.
std::vector<StudyAxis> study_axes(const StudySpec& spec, const StudyGround& ground, Faults& faults);

/// Positions of a driver over a surface; empty after a fault.
std::optional<DriverPoints> points_over(const Located<std::string>& driver, const SurfaceGridSpec& grid,
                                        const std::optional<PlaceSpec>& with, const StudyGround& ground,
                                        Faults& faults);

/// The listed combinations as a choice on each axis. Faults: unknown names and numbers.
std::vector<std::vector<std::size_t>> study_combinations(const std::vector<Node>& combinations,
                                                         const std::vector<StudyAxis>& axes, Faults& faults);

}  // namespace cabinfield
