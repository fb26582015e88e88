// The main job: from a scene to its results.
#pragma once

#include "base/parallel.h"
#include "predict/field_solution.h"
#include "predict/results.h"
#include "scene/scene.h"

namespace cabinfield {

/// Solves the scene. Parts that the scene does not hold stay empty. The same to the last bit for any number
/// of threads. Throws as solve_fields does.
Results predict(const Scene& scene, const PredictionOptions& options = {}, const Progress& progress = {});

/// Places, paths, arrivals and checks alone: what needs no solving.
Results predict_places(const Scene& scene);

}  // namespace cabinfield
