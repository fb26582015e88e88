// Results to an HDF5 file, laid out as FORMAT.md says.
#pragma once

#include <string>

#include "predict/results.h"

namespace cabinfield {

/// Writes the results file whole or not at all; a file already at `path` is replaced only on success.
///
/// The same results give the same bytes but for the root attribute `created`, which is now, or the time in
/// the environment variable SOURCE_DATE_EPOCH (reproducible-builds.org specification, seconds since 1970).
/// Throws MachineError where the disk, a permission or memory fails; std::logic_error, naming the dataset,
/// where a table's shape does not fit the axes or a value is not finite: the file promises neither NaN nor
/// infinity.
void write_results(const Results& results, const std::string& path);

}  // namespace cabinfield
