// When a file was made.
#pragma once

#include <string>

namespace cabinfield {

/// ISO 8601 in UTC; that of SOURCE_DATE_EPOCH where the environment fixes it.
std::string utc_now();

}  // namespace cabinfield
