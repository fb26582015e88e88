// The steps of building a scene, in their order. Each takes what those before it made and adds faults of its
// own.
#pragma once

#include <map>
#include <string>
#include <tuple>
#include <vector>

#include "base/fault.h"
#include "scene/cabin_shelf.h"
#include "scene/scene.h"
#include "scene/specs.h"

namespace cabinfield::build {

Air air(const AirSpec& spec, Faults& faults);

/// Materials by index; [0] is rigid. Checks those that the scene lists, used or not. Fills `index` by name as
/// needed.
class Materials {
 public:
  Materials(const SceneSpec& spec, Faults& faults);
  /// Index of the material chosen; rigid where none is. `place` is that of the choice.
  int index(const std::optional<MaterialChoice>& choice, const SourceLocation& location);
  /// What the face of a porous block does: a layer of that filling (`index` tells fillings apart), so deep.
  int layer(const Filling& filling, int index, double depth_m);
  /// What either face of a partition does.
  int sheet(const std::string& name, const TransferImpedance& transfer_impedance);
  const std::vector<Material>& list() const { return list_; }

 private:
  void check(const std::string& name, const MaterialSpec& spec);
  int add(const std::string& name, const MaterialSpec& spec);
  const SceneSpec& spec_;
  Faults& faults_;
  std::vector<Material> list_;
  std::map<std::string, int> by_name_;
  std::map<std::tuple<std::string, int, int>, int> in_place_;  ///< by file, line and column
  std::map<std::pair<int, int>, int> layers_;                  ///< by filling and depth in mm
};

/// Fillings by index. Checks those that the scene lists, used or not.
class Fillings {
 public:
  Fillings(const SceneSpec& spec, Faults& faults);
  /// Index of the filling chosen; -1 where none is, or none that can be used.
  int index(const std::optional<FillingChoice>& choice, const SourceLocation& location);
  const std::vector<Filling>& list() const { return list_; }

 private:
  void check(const std::string& name, const FillingSpec& spec);
  int add(const std::string& name, const FillingSpec& spec);
  const SceneSpec& spec_;
  Faults& faults_;
  std::vector<Filling> list_;
  std::map<std::string, int> by_name_;
};

/// The shape of a cabin and where its parts stand in the file.
struct DrawnCabin {
  CabinShape shape;
  std::vector<const PatchSpec*> patch;  ///< of each patch; null where a box has it of its own
  std::vector<SourceLocation> block_location;
  std::vector<const PartitionSpec*> partition;
  std::vector<TransferImpedance> transfer_impedances;  ///< of each partition
};

/// Empty where the scene has no cabin or any part of its shape is at fault.
std::optional<DrawnCabin> draw_cabin(const SceneSpec& spec, Materials& materials, Fillings& fillings,
                                     CabinShelf& cabins, Faults& faults, std::vector<std::string>& notes);
/// Null where the shape cannot be meant. `owner` ("cabin", "state 'folded'") and its place head the faults.
std::shared_ptr<const Cabin> stand(const DrawnCabin& drawn, const CabinSpec& spec, const std::string& owner,
                                   const SourceLocation& owner_location, CabinShelf& cabins, Faults& faults);
/// Blocks of which no sound ever meets a face: they coincide with others, lie within them or beyond the
/// shell.
void warn_of_hidden_blocks(const DrawnCabin& drawn, const Cabin& cabin, Faults& faults);
/// Empty where it is at fault.
std::optional<Block> block(const BlockSpec& spec, Materials& materials, Fillings& fillings, Faults& faults);
/// A shared box takes up room in the cabin: a block of its own name.
Block outside_block(const std::string& name, const Vector3& at, const Vector3& size);
/// Empty where it is at fault. Openings are moved into its plane.
std::optional<Partition> partition(const PartitionSpec& spec, Materials& materials, Fillings& fillings,
                                   TransferImpedance& transfer_impedance, Faults& faults,
                                   std::vector<std::string>& notes);
/// What only the standing cabin shows of its partitions: sheets and openings that are not in it.
void check_partitions(const DrawnCabin& drawn, const Cabin& cabin, Faults& faults);
/// Those of the list that can be used; the rest are at fault.
std::vector<CabinLeak> leaks(const std::vector<LeakSpec>& specs, const Cabin& cabin, Faults& faults);
/// Fills Scene::states from its cabin, passages, leaks, seats and drivers.
void states(const SceneSpec& spec, const std::optional<DrawnCabin>& drawn, Materials& materials,
            Fillings& fillings, CabinShelf& cabins, Scene& scene, Faults& faults);

std::vector<Seat> seats(const SceneSpec& spec, const Cabin* cabin, Faults& faults);
/// Those that have a place.
std::vector<MountedDriver> drivers(const SceneSpec& spec, const Scene& scene, Faults& faults,
                                   std::vector<std::string>& notes);
void channels(const SceneSpec& spec, Scene& scene, Faults& faults);
/// Fills Scene::system: amplifiers, processor, feeds of the channels, supply, load space, boxes.
void system_plan(const SceneSpec& spec, Scene& scene, Faults& faults);
/// Settings as the named processor runs them; after channels, system plan and computation.
void processing(const SceneSpec& spec, Scene& scene, Faults& faults);
std::vector<Tape> tapes(const SceneSpec& spec, const Scene& scene, Faults& faults);
Computation computation(const SceneSpec& spec, const Cabin* cabin, Faults& faults);

/// "unknown seat 'drivr'; did you mean 'driver'? known: …"; entries without a name are left out.
std::string unknown_name(const std::string& kind, const std::string& name,
                         const std::vector<std::string>& known);

/// Names of a list of named things.
template <typename T>
std::vector<std::string> names_of(const std::vector<T>& list) {
  std::vector<std::string> names;
  for (const T& entry : list) names.push_back(entry.name);
  return names;
}

/// Position of a name in a list of named things, -1 where it is not there.
template <typename T>
int position_of(const std::vector<T>& list, const std::string& name) {
  for (std::size_t i = 0; i < list.size(); ++i)
    if (list[i].name == name) return static_cast<int>(i);
  return -1;
}

/// A model of the scene's own by its name; null where there is none of that kind, or it could not be read.
template <typename Spec>
const Spec* own_model(const SceneSpec& spec, const std::string& name) {
  const int at = position_of(spec.models, name);
  if (at < 0 || spec.models[static_cast<std::size_t>(at)].broken) return nullptr;
  return std::get_if<Spec>(&spec.models[static_cast<std::size_t>(at)].value);
}

/// A fault where `list`, the `section` of the scene, does not hold the name. What stands there and could not
/// be built is known all the same: it has had faults of its own, as has a section that could not be read.
template <typename T>
void check_known(const std::string& kind, const Located<std::string>& wanted, const SceneSpec& scene,
                 const char* section, const std::vector<Named<T>>& list, Faults& faults) {
  if (position_of(list, wanted.value) >= 0 || (list.empty() && !scene.sound(section))) return;
  faults.add({wanted.location, unknown_name(kind, wanted.value, names_of(list)), FaultCode::unknown_name});
}

/// Words for a point that is not in the air: outside or in which block, how far, which surface is nearest.
std::string not_in_air(const Cabin& cabin, const Vector3& point);

}  // namespace cabinfield::build
