// A results file made smaller for a page: parts that a page can do without are left out, the rest is as it
// was.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

namespace cabinfield {

struct ThinnedResults {
  std::vector<std::byte> bytes;  ///< a results file of its own
  std::string left_out;          ///< in words; empty where nothing was
};

/// The results file at `path`, at most `largest` bytes where leaving out can do that: first impulse
/// responses, then maps of single drivers, every second frequency, all maps, and every second frequency again
/// and again (not below 60). A file that is small enough comes back byte for byte, and so does a study, which
/// is refused where it is larger. Throws UnreadableFile where the file is no results file of a version that
/// this program reads, and says which of missing, foreign, cut short and newer it is.
ThinnedResults thinned_results(const std::string& path, std::size_t largest);

}  // namespace cabinfield
