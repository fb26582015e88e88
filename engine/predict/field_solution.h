// The transfer functions of a scene, in every state of the car that a preset uses.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "base/parallel.h"
#include "base/table.h"
#include "field/wave/wave_field.h"
#include "predict/state_field.h"
#include "scene/scene.h"

namespace cabinfield {

/// Options of a prediction that are not part of the scene.
struct PredictionOptions {
  /// Folder of the cabin cache: solved cabins are read from it and written to it. Empty: no cache.
  std::string cabin_cache_folder;
  std::vector<double> map_frequency_hz;  ///< frequencies of the pressure maps; empty: no maps
};

/// Key figures of the wave field of one state.
struct WaveReport {
  std::string state;
  int degrees_of_freedom = 0, basis_vectors = 0;
  double error_estimate = 0, error_at_hz = 0;  ///< ReductionEstimate
  std::vector<CabinMode> modes;                ///< up to 250 Hz; of the first state alone
};

struct FieldSolution {
  FieldKind kind = FieldKind::free;
  /// Ear pressure per unit volume velocity, with grilles and the rear radiation of drivers without a box, Pa
  /// s/m3. [states] of [D,N,F], empty for a state that no preset uses
  std::vector<Table<Complex, 3>> transfer_pa_s_m3;
  Table<double, 2> join_coherence, join_mismatch_db;          ///< of the first state; [D,N] or empty
  std::vector<WaveReport> waves;                              ///< of each state solved by waves
  std::vector<std::shared_ptr<const WaveField>> wave_fields;  ///< [states]; null where there is none
  std::vector<std::string> notes, warnings;
};

/// Throws InputError where no path leads from a driver to a seat, or the cabin cannot be meshed or is too
/// large; MachineError where a solver fails.
FieldSolution solve_fields(const Scene& scene, const PredictionOptions& options,
                           const Progress& progress = {});

}  // namespace cabinfield
