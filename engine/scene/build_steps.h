// The steps of building a scene, in order. Each uses the results of those before it and adds its own faults.
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

/// Materials by index; [0] is rigid. Checks every material that the scene lists, used or not.
/// Each is added on first use.
class Materials {
 public:
  Materials(const SceneSpec& spec, Faults& faults);
  /// Index of the chosen material, rigid if none is chosen. `location` is that of the choice.
  int index(const std::optional<MaterialChoice>& choice, const SourceLocation& location);
  /// Material of the face of a porous block: a layer of the filling with that index, `depth_m` deep.
  int layer(const Filling& filling, int index, double depth_m);
  /// Material of both faces of a partition.
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

/// Fillings by index. Checks every filling that the scene lists, used or not.
class Fillings {
 public:
  Fillings(const SceneSpec& spec, Faults& faults);
  /// Index of the chosen filling; -1 if none is chosen, or after a fault.
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

/// The shape of a cabin and the source locations of its parts.
struct DrawnCabin {
  CabinShape shape;
  std::vector<const PatchSpec*> patch;  ///< of each patch; null for those that a box adds
  std::vector<SourceLocation> block_location;
  std::vector<const PartitionSpec*> partition;
  std::vector<TransferImpedance> transfer_impedances;  ///< of each partition
};

/// Empty if the scene has no cabin or its shape has a fault.
std::optional<DrawnCabin> draw_cabin(const SceneSpec& spec, Materials& materials, Fillings& fillings,
                                     CabinShelf& cabins, Faults& faults, std::vector<std::string>& notes);
/// Null after a geometry error. `owner` ("cabin", "state 'folded'") begins the fault messages.
std::shared_ptr<const Cabin> stand(const DrawnCabin& drawn, const CabinSpec& spec, const std::string& owner,
                                   const SourceLocation& owner_location, CabinShelf& cabins, Faults& faults);
/// Warns of blocks without an exposed face: they coincide with others, or lie inside them or outside the
/// shell.
void warn_of_hidden_blocks(const DrawnCabin& drawn, const Cabin& cabin, Faults& faults);
/// Empty after a fault.
std::optional<Block> block(const BlockSpec& spec, Materials& materials, Fillings& fillings, Faults& faults);
/// The space that a shared box takes in the cabin: a block of the same name.
Block outside_block(const std::string& name, const Vector3& at, const Vector3& size);
/// Empty after a fault. Openings are moved into its plane.
std::optional<Partition> partition(const PartitionSpec& spec, Materials& materials, Fillings& fillings,
                                   TransferImpedance& transfer_impedance, Faults& faults,
                                   std::vector<std::string>& notes);
/// Checks that need the built cabin: partitions and openings that are outside it.
void check_partitions(const DrawnCabin& drawn, const Cabin& cabin, Faults& faults);
/// The valid leaks of the list; adds a fault for each other.
std::vector<CabinLeak> leaks(const std::vector<LeakSpec>& specs, const Cabin& cabin, Faults& faults);
/// Fills Scene::states from its cabin, transfer impedances, leaks, seats and drivers.
void states(const SceneSpec& spec, const std::optional<DrawnCabin>& drawn, Materials& materials,
            Fillings& fillings, CabinShelf& cabins, Scene& scene, Faults& faults);

std::vector<Seat> seats(const SceneSpec& spec, const Cabin* cabin, Faults& faults);
/// The drivers of the scene, with faults for those that cannot be mounted.
std::vector<MountedDriver> drivers(const SceneSpec& spec, const Scene& scene, Faults& faults,
                                   std::vector<std::string>& notes);
void channels(const SceneSpec& spec, Scene& scene, Faults& faults);
/// Fills Scene::system: amplifiers, processor, feeds of the channels, supply, load space, boxes.
void system_plan(const SceneSpec& spec, Scene& scene, Faults& faults);
/// Rounds settings to what the named processor can do; after channels, system plan and computation.
void processing(const SceneSpec& spec, Scene& scene, Faults& faults);
std::vector<Tape> tapes(const SceneSpec& spec, const Scene& scene, Faults& faults);
Computation computation(const SceneSpec& spec, const Cabin* cabin, Faults& faults);
/// Warns of what is legal but cannot be real; of a scene without faults, as the last step.
void warn_of_implausible(const SceneSpec& spec, const Scene& scene, Faults& faults);

/// "unknown seat 'drivr'; did you mean 'driver'? known: …"; entries without a name are omitted.
std::string unknown_name(const std::string& kind, const std::string& name,
                         const std::vector<std::string>& known);

/// Names of a list of named items.
template <typename T>
std::vector<std::string> names_of(const std::vector<T>& list) {
  std::vector<std::string> names;
  for (const T& entry : list) names.push_back(entry.name);
  return names;
}

/// Index of a name in a list of named items, -1 if it is absent.
template <typename T>
int position_of(const std::vector<T>& list, const std::string& name) {
  for (std::size_t i = 0; i < list.size(); ++i)
    if (list[i].name == name) return static_cast<int>(i);
  return -1;
}

/// A model from the scene itself by name; null if there is none of that kind, or it could not be read.
template <typename Spec>
const Spec* own_model(const SceneSpec& spec, const std::string& name) {
  const int at = position_of(spec.models, name);
  if (at < 0 || spec.models[static_cast<std::size_t>(at)].broken) return nullptr;
  return std::get_if<Spec>(&spec.models[static_cast<std::size_t>(at)].value);
}

/// Adds a fault if `list`, the `section` of the scene, lacks the name. Entries that could not be built count
/// as known: their faults are already reported, as are those of a section that could not be read.
template <typename T>
void check_known(const std::string& kind, const Located<std::string>& wanted, const SceneSpec& scene,
                 const char* section, const std::vector<Named<T>>& list, Faults& faults) {
  if (position_of(list, wanted.value) >= 0 || (list.empty() && !scene.sound(section))) return;
  faults.add({wanted.location, unknown_name(kind, wanted.value, names_of(list)), FaultCode::unknown_name});
}

/// Describes a point that is not in the air: outside or in which block, and how far from which surface.
std::string not_in_air(const Cabin& cabin, const Vector3& point);

}  // namespace cabinfield::build
