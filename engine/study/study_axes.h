// From what a study's file moves and varies to its axes.
#pragma once

#include <vector>

#include "base/fault.h"
#include "study/study.h"
#include "study/study_specs.h"

namespace cabinfield {

/// What an axis may refer to.
struct StudyGround {
  const Node& document;  ///< of the scene as drawn
  const Scene& scene;    ///< the same, built
  double length_unit_m = 1;
  std::string preset;      ///< that is heard; "" as drawn
  std::string scene_path;  ///< where models are looked for, besides
  std::vector<std::string> model_folders;
};

/// One axis for each move, then one for each vary, in their order. Those at fault are left out. Faults:
/// unknown drivers, boxes, blocks, seats, surfaces, channels and paths with the nearest known, values that
/// the scene's keys do not take, axes with nothing to choose, a grid without a point on its surface, two axes
/// or choices of one name.
std::vector<StudyAxis> study_axes(const StudySpec& spec, const StudyGround& ground, Faults& faults);

/// Places of a driver over a surface; empty after a fault.
std::optional<DriverPoints> points_over(const Located<std::string>& driver, const SurfaceGridSpec& grid,
                                        const std::optional<PlaceSpec>& with, const StudyGround& ground,
                                        Faults& faults);

/// The listed combinations as choices on each axis; names and positions that no axis has are faults.
std::vector<std::vector<std::size_t>> study_combinations(const std::vector<Node>& combinations,
                                                         const std::vector<StudyAxis>& axes, Faults& faults);

}  // namespace cabinfield
