// An HDF5 file opened for reading: shapes, numbers, texts. Nothing is trusted: what is missing or of another
// kind is told, not guessed.
#pragma once

#include <cstdint>
#include <stdexcept>
#include <string>
#include <vector>

#include "storage/hdf5_file.h"

namespace cabinfield {

/// The file cannot be read as what it should be; says why in plain words.
class UnreadableFile : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

/// What the values of a dataset are.
enum class DatasetKind { real, integer, text };

class Hdf5Reader {
 public:
  /// Throws UnreadableFile where there is no such file or it is no HDF5 file.
  explicit Hdf5Reader(const std::string& path);
  Hdf5Reader(const Hdf5Reader&) = delete;
  Hdf5Reader& operator=(const Hdf5Reader&) = delete;
  ~Hdf5Reader();

  bool has(const std::string& dataset) const;
  /// Empty where there is none or it is no text.
  std::string attribute(const std::string& name) const;
  /// Empty where there is none or it holds no whole numbers.
  std::vector<int> integer_attribute(const std::string& name) const;

  // Each throws UnreadableFile where the dataset is missing or not of that kind.
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
