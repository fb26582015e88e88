#include "storage/utc_now.h"

#include <array>
#include <charconv>
#include <cstdlib>
#include <ctime>
#include <string_view>

namespace cabinfield {

std::string utc_now() {
  std::time_t seconds = std::time(nullptr);
  if (const char* fixed = std::getenv("SOURCE_DATE_EPOCH")) {
    const std::string_view text(fixed);
    long long given = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), given);
    if (error == std::errc() && end == text.data() + text.size()) seconds = static_cast<std::time_t>(given);
  }
  std::tm parts{};
  gmtime_r(&seconds, &parts);
  std::array<char, 32> text{};
  std::strftime(text.data(), text.size(), "%Y-%m-%dT%H:%M:%SZ", &parts);
  return text.data();
}

}  // namespace cabinfield
