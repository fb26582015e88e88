// What a shape only guesses gives way where it does not fit the body that the tapes made: leaks shrink, an
// opening moves into its partition, a driver moves to a free place near its own; what still does not fit is
// left out, as a comment.
#pragma once

#include <string>
#include <vector>

#include "base/fault.h"

namespace cabinfield {

struct YieldedScene {
  std::string text;
  std::vector<std::string> notes;  ///< what gave way, for the screen; the text says it beside each
  Faults faults;                   ///< that no guess could mend; none: the text is a sound scene
};

YieldedScene with_yielding_guesses(std::string text, const std::vector<std::string>& model_folders);

}  // namespace cabinfield
