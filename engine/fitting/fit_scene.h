// A scene moved until it agrees with its own tapes as well as it can.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "input/model_library.h"

namespace cabinfield {

/// One of the scene's tapes, before and after; m.
struct SceneTapeFit {
  std::string from, to;
  double taped_m = 0, drawn_m = 0, fitted_m = 0;
  bool wrong = false;         ///< it contradicts the others and was left out
  double likely_error_m = 0;  ///< taped minus what the others say, where wrong
  double checked = 0;         ///< 0 to 1: how much of an error of it the others would show
};

/// What moved, in words and m.
struct PlaneMove {
  std::string words;  ///< "the driver's head, rearward"
  double from_m = 0, to_m = 0;
};

struct FittedScene {
  std::vector<SceneTapeFit> tapes;  ///< in the order of the file
  std::vector<PlaneMove> moves;
  std::string text;  ///< the file with its positions moved
  std::size_t degrees_of_freedom = 0;
  /// Why the moved file is no scene to write: what `check` would draw, and which tape looks wrong.
  std::vector<Fault> unsound;
};

/// Empty after a fault: whatever the scene itself draws (its tapes apart), no cabin with a side view, no
/// seats, no tapes; a tape from a point to itself, one that cannot be meant, two of the same ends that
/// differ.
std::optional<FittedScene> fit_scene(
    const std::string& text, const std::string& file, Faults& faults,
    const std::vector<std::string>& model_folders = standard_model_folders());

}  // namespace cabinfield
