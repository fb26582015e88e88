#include "study/inherited.h"

#include "input/inheritance.h"
#include "input/scene_file.h"
#include "input/scene_keys.h"

namespace cabinfield {

Node with_inherited_keys(const Node& scene) {
  if (scene.kind() != NodeKind::mapping) return Node();
  const double length_unit_m = length_unit_of(scene).value_or(1);
  // Faults are reported when the edited scene is read.
  Faults untold;
  Reading reading{untold, length_unit_m};
  SceneSpec spec = scene_keys().read(scene, reading);
  resolve_inheritance(spec, untold);
  return parse_document(written(scene_keys(), spec, length_unit_m), "", untold);
}

}  // namespace cabinfield
