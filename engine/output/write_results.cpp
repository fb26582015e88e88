#include "output/write_results.h"

#include <array>
#include <cmath>
#include <map>
#include <span>
#include <stdexcept>
#include <variant>
#include <vector>

#include "base/constants.h"
#include "output/layout.h"
#include "storage/hdf5_file.h"
#include "storage/utc_now.h"
#include "storage/whole_file.h"

namespace cabinfield {
namespace {

struct Axis {
  Hdf5Dataset dataset;
  std::size_t extent;
};

void check_shape(const LayoutEntry& entry, const DatasetValues& values,
                 const std::map<std::string, Axis>& axes) {
  bool fits = values.shape.size() == entry.axes.size();
  std::size_t count = 1;
  for (std::size_t dimension = 0; fits && dimension < values.shape.size(); ++dimension) {
    const auto axis = axes.find(entry.axes[dimension]);
    fits = axis != axes.end() && axis->second.extent == values.shape[dimension];
    count *= values.shape[dimension];
  }
  if (!fits || count != values.size())
    throw std::logic_error(entry.path + ": the shape of the values does not fit the axes of the results");
}

void check_finite(const LayoutEntry& entry, const DatasetValues& values) {
  const auto* numbers = std::get_if<std::vector<double>>(&values.data);
  if (numbers == nullptr) return;
  for (double number : *numbers)
    if (!std::isfinite(number)) throw std::logic_error(entry.path + ": a value is not a finite number");
}

Hdf5Dataset write_entry(Hdf5File& file, const LayoutEntry& entry, const DatasetValues& values) {
  Hdf5Dataset dataset = std::visit(
      [&](const auto& data) {
        return file.write(entry.path, values.shape, std::span(data.data(), data.size()));
      },
      values.data);
  if (!entry.units.empty()) dataset.attribute("units", entry.units);
  dataset.attribute("long_name", entry.long_name);
  return dataset;
}

}  // namespace

void write_results(const Results& results, const std::string& path) {
  Hdf5File file;
  file.attribute("file_format", "cabinfield-results");
  file.attribute("format_version", std::array{results_format_major, results_format_minor});
  file.attribute("program_version", results.program_version);
  file.attribute("created", utc_now());
  file.attribute("title", results.title);

  std::map<std::string, Axis> axes;
  for (const LayoutEntry& entry : results_layout()) {
    const DatasetValues values = entry.values(results);
    if (values.size() == 0) continue;
    check_finite(entry, values);
    if (!entry.is_axis()) check_shape(entry, values, axes);
    Hdf5Dataset dataset = write_entry(file, entry, values);
    if (entry.is_axis()) {
      dataset.become_axis(entry.axes.front());
      axes.emplace(entry.axes.front(), Axis{std::move(dataset), values.size()});
    } else {
      for (std::size_t dimension = 0; dimension < entry.axes.size(); ++dimension)
        dataset.attach(dimension, axes.at(entry.axes[dimension]).dataset);
    }
  }
  axes.clear();
  write_whole_file(path, file.bytes());
}

}  // namespace cabinfield
