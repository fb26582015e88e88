// Reading a results file back with the plain HDF5 C interface, independent of the code that wrote it.
#pragma once

#include <string>
#include <vector>

namespace cabinfield::reading {

struct StoredDataset {
  std::string path;
  std::vector<std::string> axes;  ///< paths of the attached scales; of itself for a scale
  std::vector<std::size_t> shape;
  std::string type;  ///< "real" | "integer" | "text"
  std::string units, long_name;
  std::vector<double> numbers;  ///< real and integer values
  std::vector<std::string> texts;
};

/// Every dataset of the file. Throws std::runtime_error where a call fails.
std::vector<StoredDataset> read_all(const std::string& file);

/// A text attribute of the root group.
std::string root_text(const std::string& file, const std::string& name);

/// An integer attribute of the root group.
std::vector<int> root_integers(const std::string& file, const std::string& name);

}  // namespace cabinfield::reading
