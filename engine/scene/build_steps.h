// The steps of building a scene, in their order. Each takes what those before it made and adds faults of its own.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "base/fault.h"
#include "scene/scene.h"
#include "scene/specs.h"

namespace cabinfield::build {

Air air(const AirSpec& spec, Faults& faults);
/// Materials by index; [0] is rigid. Fills `index` by name as needed.
class Materials {
 public:
  Materials(const SceneSpec& spec, Faults& faults);
  /// Index of the material chosen; rigid where none is. `place` is that of the choice.
  int index(const std::optional<MaterialChoice>& choice, const Place& place);
  std::vector<Material> list() const { return list_; }

 private:
  int add(const std::string& name, const MaterialSpec& spec);
  const SceneSpec& spec_;
  Faults& faults_;
  std::vector<Material> list_;
  std::map<std::string, int> by_name_;
};

/// Null where the scene has no cabin or it cannot be built.
std::shared_ptr<const Cabin> cabin(const SceneSpec& spec, Materials& materials, Faults& faults);
std::vector<Seat> seats(const SceneSpec& spec, const Cabin* cabin, Faults& faults);
std::vector<PlacedDriver> drivers(const SceneSpec& spec, const Scene& scene, Faults& faults, std::vector<std::string>& notes);
void channels(const SceneSpec& spec, Scene& scene, Faults& faults);
std::vector<Tape> tapes(const SceneSpec& spec, const Scene& scene, Faults& faults);
Computation computation(const SceneSpec& spec, const Cabin* cabin, Faults& faults);

/// "unknown seat 'drivr'; did you mean 'driver'? known: …"
std::string unknown_name(const std::string& kind, const std::string& name, const std::vector<std::string>& known);

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

/// Words for a point that is not in the air: outside or in which block, how far, which surface is nearest.
std::string not_in_air(const Cabin& cabin, const Vector3& point);

}  // namespace cabinfield::build
