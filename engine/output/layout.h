// What a results file holds and where: one entry a dataset. The writer knows nothing else.
#pragma once

#include <cstddef>
#include <functional>
#include <string>
#include <variant>
#include <vector>

#include "predict/results.h"

namespace cabinfield {

/// Values of one dataset in row-major order. Complex numbers take a trailing axis: real, imaginary.
struct DatasetValues {
  std::vector<std::size_t> shape;  ///< empty for a scalar
  std::variant<std::vector<double>, std::vector<int>, std::vector<std::string>> data;

  std::size_t size() const;
};

/// One dataset. An axis is a dataset at the root along itself: path "/seat", axes {"seat"}.
struct LayoutEntry {
  std::string path;
  std::vector<std::string> axes;
  std::string units;  ///< in the notation of UDUNITS-2, with dB besides; empty for text
  std::string long_name;
  std::function<DatasetValues(const Results&)> values;  ///< without any value: left out of the file

  bool is_axis() const { return axes.size() == 1 && path == "/" + axes.front(); }
};

/// Every dataset of the file in the order written, each axis before its first use.
std::vector<LayoutEntry> results_layout();

}  // namespace cabinfield
