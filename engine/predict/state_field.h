// The field of a scene in one state of the car: image method, wave field or both joined, as the scene says.
#pragma once

#include <map>
#include <memory>
#include <string>
#include <vector>

#include "base/parallel.h"
#include "field/field.h"
#include "field/images/image_field.h"
#include "field/wave/wave_field.h"
#include "scene/scene.h"

namespace cabinfield {

/// Solved cabins by their keys (cabin_key): states and scenes often differ in leaks and materials alone.
using SolvedCabins = std::map<std::string, WaveCabin>;

/// The drivers as sources in a state, then the rear sides of those without a box. [D + rear sides]
std::vector<Source> sources_of(const Scene& scene, int state);

/// All sources, ears and frequencies of a scene in a state.
FieldQuestion question_of(const Scene& scene, int state);

/// Transfer functions of the drivers from those of the sources: with grilles, and less the rear side of a
/// driver without a box. [D,N,F] from [D + rear sides, N, F]
Table<Complex, 3> of_drivers(const Scene& scene, const FieldQuestion& question,
                             const Table<Complex, 3>& transfer_pa_s_m3);

/// " (state folded)"; "" for the first state.
std::string of_state(const CabinState& state, int index);

class StateField : public Field {
 public:
  /// Solves the cabin where the scene wants the wave field: looks it up in `solved`, then in the folder of
  /// the cabin cache ("" for none), else solves it, and stores it in both. A scene without a cabin has the
  /// free field. The scene must outlive this. Throws as solve_fields does.
  StateField(const Scene& scene, int state, const std::string& cabin_cache_folder, SolvedCabins& solved,
             const Progress& progress = {});
  /// The same cabin with sampled materials, air and ears: uses its reduced basis unchanged. The additional
  /// error is small against the uncertainty that is sampled.
  StateField(const Scene& scene, int state, const WaveCabin& solved);

  /// `question` is question_of the scene, with any sources.
  FieldAnswer solve(const FieldQuestion& question, const Progress& progress = {}) const override;
  /// Stores the reciprocal solutions of this question's ears, so that further questions with these ears and
  /// frequencies are answered faster.
  void store_reciprocal_solutions(const FieldQuestion& question);
  /// Whether any wave path leads from the source to the ear; always true for the image method alone.
  bool reaches(const Source& source, const Vector3& ear) const;

  /// Null where the scene wants the image method alone.
  std::shared_ptr<const WaveField> waves() const { return waves_; }
  /// What the cabin cache was used for, as text.
  const std::vector<std::string>& notes() const { return notes_; }
  const std::vector<std::string>& warnings() const { return warnings_; }

 private:
  std::shared_ptr<const WaveField> solved_waves(const Scene& scene, int index,
                                                const std::string& cabin_cache_folder, SolvedCabins& solved,
                                                const Progress& progress);

  std::vector<std::string> notes_, warnings_;
  FieldKind kind_;
  double wave_top_hz_;
  std::shared_ptr<const WaveField> waves_;
  std::shared_ptr<const Field> prepared_;  // the wave field with stored reciprocal solutions; or null
  std::unique_ptr<const Field> images_;
};

}  // namespace cabinfield
