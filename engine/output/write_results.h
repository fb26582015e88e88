// Writes results to an HDF5 file with the layout of FORMAT.md.
#pragma once

#include <string>

#include "predict/results.h"

namespace cabinfield {

/// Writes the results file, whole or not at all; an existing file is replaced only on success.
///
/// The same results give the same bytes except for the root attribute `created`: the present time, or that in
/// the environment variable SOURCE_DATE_EPOCH (reproducible-builds.org specification, seconds since 1970).
/// Throws MachineError where disk, permission or memory fails; std::logic_error, naming the dataset, for a
/// table whose shape does not fit its axes or a value that is not finite: the file holds neither NaN nor
/// infinity.
void write_results(const Results& results, const std::string& path);

}  // namespace cabinfield
