// Asking for taped lengths one by one on a terminal.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "fitting/start_scene.h"

namespace cabinfield::command {

/// Asks on standard output and reads standard input: a length with mm, cm, m or in (a bare number takes the
/// unit of the answer before), nothing for one not taken, `back` for the one before, `NUMBER: LENGTH` to
/// correct another. Ends after the last, once these lengths start a scene as `wish` asks for: what keeps them
/// from it is shown, to be corrected. Empty where the input ends early.
std::optional<std::vector<TakenTape>> ask_tapes(const Shape& shape, const StartOptions& options,
                                                const std::vector<std::string>& model_folders,
                                                Faults& faults);

/// The view in which the tape shows best, in letters, with the tape as a line of stars.
std::string tape_drawing(const Scene& body, const std::array<Vector3, 2>& ends);

}  // namespace cabinfield::command
