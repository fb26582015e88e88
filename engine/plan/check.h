// One rule of the plan as judged.
#pragma once

#include <limits>
#include <string>

namespace cabinfield {

/// Outcome of one rule of the plan.
struct Check {
  std::string rule;     ///< e.g. "mounting depth"
  std::string subject;  ///< e.g. "mid_left"
  std::string outcome;  ///< "met" | "caution" | "violated"
  double margin_m = 0;  ///< what is left, NaN where the rule has no length
  std::string words;    ///< a sentence for the installer
  /// What is left where it is no length, NaN where there is none; in L, ohm, A, V or K.
  double margin = std::numeric_limits<double>::quiet_NaN();
  std::string margin_unit{};
};

}  // namespace cabinfield
