// The transfer functions of a scene, in every state of the car that a preset asks for.
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

/// How a scene is to be predicted, beyond what it says itself.
struct PredictionOptions {
  /// Folder for solved cabins: taken from there where one fits, else put there. Empty: none is kept.
  std::string cabin_cache_folder;
  std::vector<double> map_frequency_hz;  ///< of the maps of pressure; empty: none are drawn
};

/// What the wave field had to say of one state.
struct WaveReport {
  std::string state;
  int degrees_of_freedom = 0, basis_vectors = 0;
  double error_estimate = 0, error_at_hz = 0;
  std::vector<CabinMode> modes;  ///< up to 250 Hz; of the first state alone
};

struct FieldSolution {
  FieldKind kind = FieldKind::free;
  /// Ear pressure per unit volume velocity, with grilles and with what the back of a driver without a box
  /// adds, Pa s/m3. [states] of [D,N,F], empty for a state that no preset asks for
  std::vector<Table<Complex, 3>> transfer_pa_s_m3;
  Table<double, 2> join_coherence, join_mismatch_db;          ///< of the first state; [D,N] or empty
  std::vector<WaveReport> waves;                              ///< of each state solved by waves
  std::vector<std::shared_ptr<const WaveField>> wave_fields;  ///< [states]; null where there is none
  std::vector<std::string> notes, warnings;
};

/// Throws InputError where no sound can get from a driver to a seat, or the cabin cannot be meshed or is too
/// large; MachineError where a solver gives up.
FieldSolution solve_fields(const Scene& scene, const PredictionOptions& options,
                           const Progress& progress = {});

}  // namespace cabinfield
