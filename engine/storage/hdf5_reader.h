// Reads shapes, numbers and texts of an HDF5 file. The file is not trusted: missing data or data of another
// type is reported, never guessed.
#pragma once

#include <cstdint>
#include <stdexcept>
#include <string>
#include <vector>

#include "storage/hdf5_file.h"

namespace cabinfield {

/// The file cannot be read as expected; the message gives the reason.
class UnreadableFile : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

/// Type of the values of a dataset.
enum class DatasetKind { real, integer, text };

class Hdf5Reader {
 public:
  /// Throws UnreadableFile for a missing file or one that is not HDF5.
  explicit Hdf5Reader(const std::string& path);
  Hdf5Reader(const Hdf5Reader&) = delete;
  Hdf5Reader& operator=(const Hdf5Reader&) = delete;
  ~Hdf5Reader();

  bool has(const std::string& dataset) const;
  /// Empty for a missing attribute or one that is not text.
  std::string attribute(const std::string& name) const;
  /// Empty for a missing attribute or one without integers.
  std::vector<int> integer_attribute(const std::string& name) const;

  // Each throws UnreadableFile where the dataset is missing or of another type.
  std::vector<std::size_t> shape(const std::string& dataset) const;
  DatasetKind kind(const std::string& dataset) const;
  std::vector<double> doubles(const std::string& dataset) const;
  std::vector<int> integers(const std::string& dataset) const;
  std::vector<std::string> texts(const std::string& dataset) const;

 private:
  template <typename T>
  std::vector<T> numbers(const std::string& dataset, std::int64_t memory_type, int type_class) const;

  std::string path_;
  std::int64_t file_ = -1;
  void* error_function_ = nullptr;
  void* error_data_ = nullptr;
};

}  // namespace cabinfield
