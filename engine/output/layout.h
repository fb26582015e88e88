// Layout of a results file, one entry a dataset, which alone determines what the writer writes.
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

/// One dataset. An axis is a dataset in the root group along itself: path "/seat", axes {"seat"}.
struct LayoutEntry {
  std::string path;
  std::vector<std::string> axes;
  std::string units;  ///< UDUNITS-2 notation or dB; empty for text
  std::string long_name;
  std::function<DatasetValues(const Results&)> values;  ///< without a value: omitted

  bool is_axis() const { return axes.size() == 1 && path == "/" + axes.front(); }
};

/// All datasets in the order of writing, each axis before its first use.
std::vector<LayoutEntry> results_layout();

}  // namespace cabinfield
