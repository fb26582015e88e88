// Scenes of a few lines, built from text.
#pragma once

#include <gtest/gtest.h>

#include <string>

#include "input/scene_file.h"

namespace cabinfield::test {

/// The faults of a scene, one a line; "" where it has none.
inline std::string faults_of(const std::string& text) {
  std::string lines;
  for (const Fault& fault : read_scene_text("cabinfield: 1\n" + text, "f.yaml").faults.sorted())
    lines += to_string(fault) + "\n";
  return lines;
}

inline std::string warnings_of(const std::string& text) {
  std::string lines;
  const SceneFile file = read_scene_text("cabinfield: 1\n" + text, "f.yaml");
  for (const Fault& fault : file.faults.warnings()) lines += to_string(fault) + "\n";
  return lines;
}

/// The scene of a text that must be sound; a failure and an empty scene where it is not.
inline Scene scene_of(const std::string& text) {
  const SceneFile file = read_scene_text("cabinfield: 1\n" + text, "f.yaml");
  if (file.scene) return *file.scene;
  ADD_FAILURE() << faults_of(text);
  return {};
}

template <typename T>
const T& named(const std::vector<T>& list, const std::string& name) {
  for (const T& entry : list)
    if (entry.name == name) return entry;
  throw std::out_of_range("there is no '" + name + "'");
}

}  // namespace cabinfield::test
