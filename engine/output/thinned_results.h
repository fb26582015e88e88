// A smaller results file for a report page: parts that the page can do without are omitted, the rest is
// unchanged.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

namespace cabinfield {

struct ThinnedResults {
  std::vector<std::byte> bytes;  ///< a complete results file
  std::string left_out;          ///< as text; empty where nothing was omitted
};

/// The results file at `path`, reduced to `largest` bytes if possible by omitting, in this order, impulse
/// responses, maps of single drivers, every second frequency, all maps, and repeatedly every second frequency
/// (not below 60). A file within the limit is returned byte for byte, and so is a study; a larger study is
/// refused. Throws UnreadableFile for a file that is missing, not a results file, truncated, or of a version
/// that this program does not read; the message says which.
ThinnedResults thinned_results(const std::string& path, std::size_t largest);

}  // namespace cabinfield
