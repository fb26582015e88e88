// Predicts a scene: from the scene to its results.
#pragma once

#include "base/parallel.h"
#include "predict/field_solution.h"
#include "predict/results.h"
#include "scene/scene.h"

namespace cabinfield {

/// Solves the scene. Results of parts that the scene lacks stay empty. The same to the last bit for any
/// number of threads. Throws as solve_fields does.
Results predict(const Scene& scene, const PredictionOptions& options = {}, const Progress& progress = {});

/// Positions, paths, arrivals and checks alone: everything that needs no field solution.
Results predict_without_field(const Scene& scene);

}  // namespace cabinfield
