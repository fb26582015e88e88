// Time stamp of a file.
#pragma once

#include <string>

namespace cabinfield {

/// The present time in UTC (ISO 8601), or that of the environment variable SOURCE_DATE_EPOCH.
std::string utc_now();

}  // namespace cabinfield
