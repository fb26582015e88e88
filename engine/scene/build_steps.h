// The steps of building a scene, in their order. Each takes what those before it made and adds faults of its
// own.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "base/fault.h"
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
  int index(const std::optional<MaterialChoice>& choice, const Place& place);
  std::vector<Material> list() const { return list_; }

 private:
  void check(const std::string& name, const MaterialSpec& spec);
  int add(const std::string& name, const MaterialSpec& spec);
  const SceneSpec& spec_;
  Faults& faults_;
  std::vector<Material> list_;
  std::map<std::string, int> by_name_;
};

/// Null where the scene has no cabin or any part of its shape is at fault.
std::shared_ptr<const Cabin> cabin(const SceneSpec& spec, Materials& materials, Faults& faults);
std::vector<Seat> seats(const SceneSpec& spec, const Cabin* cabin, Faults& faults);
/// Those that have a place.
std::vector<PlacedDriver> drivers(const SceneSpec& spec, const Scene& scene, Faults& faults,
                                  std::vector<std::string>& notes);
void channels(const SceneSpec& spec, Scene& scene, Faults& faults);
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

/// A fault where `list`, the `section` of the scene, does not hold the name. What stands there and could not
/// be built is known all the same: it has had faults of its own, as has a section that could not be read.
template <typename T>
void check_known(const std::string& kind, const Placed<std::string>& wanted, const SceneSpec& scene,
                 const char* section, const std::vector<Named<T>>& list, Faults& faults) {
  if (position_of(list, wanted.value) >= 0 || (list.empty() && !scene.sound(section))) return;
  faults.add(wanted.place, unknown_name(kind, wanted.value, names_of(list)));
}

/// Words for a point that is not in the air: outside or in which block, how far, which surface is nearest.
std::string not_in_air(const Cabin& cabin, const Vector3& point);

}  // namespace cabinfield::build
