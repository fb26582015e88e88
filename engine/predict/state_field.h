// The field of a scene in one state of the car, ready to be asked: images, waves or both joined, as the scene
// says.
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

/// Cabins solved before, by their keys: states and scenes often differ in leaks and materials alone.
using SolvedCabins = std::map<std::string, WaveCabin>;

/// Every driver as the field of a state sees it, then the backs of those without a box. [D + backs]
std::vector<Source> sources_of(const Scene& scene, int state);

/// All its drivers and ears at all its frequencies.
FieldQuestion question_of(const Scene& scene, int state);

/// With grilles, and with what the back of a driver without a box adds: [D,N,F] from an answer of [D + backs,
/// N, F].
Table<Complex, 3> of_drivers(const Scene& scene, const FieldQuestion& question,
                             const Table<Complex, 3>& transfer_pa_s_m3);

/// In a state other than the first, which one: " (state folded)".
std::string of_state(const CabinState& state, int index);

class StateField {
 public:
  /// Solves the cabin where the scene wants waves: takes it from `solved` where it is there, else from the
  /// folder for kept cabins ("" for none), else anew, and puts it into both. A scene without a cabin has the
  /// free field. It must outlive this. Throws as solve_fields does.
  StateField(const Scene& scene, int state, const std::string& cabin_cache_folder, SolvedCabins& solved,
             const Progress& progress = {});
  /// The same cabin with materials, air and ears as they may be in truth: takes up its columns as they are.
  /// What they miss then is small beside what is not known.
  StateField(const Scene& scene, int state, const WaveCabin& solved);

  /// The scene's ears and frequencies for any sources. Faster from the second question on where it is made
  /// ready for many. `question` is that of the scene, or has other sources.
  FieldAnswer solve(const FieldQuestion& question, const Progress& progress = {}) const;
  /// From now on the ears' fields of this question are kept.
  void expect_more_like(const FieldQuestion& question);
  /// True where a sound gets from there to the ear by waves; always for images alone.
  bool reaches(const Source& source, const Vector3& ear) const;

  /// Null where the scene wants images alone.
  std::shared_ptr<const WaveField> waves() const { return waves_; }
  /// What was done with kept cabins, in words.
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
  std::shared_ptr<const Field> prepared_;  // the same, with its ears' fields at hand; or null
  std::unique_ptr<const Field> images_;
};

}  // namespace cabinfield
