// An HDF5 file built in memory: datasets, attributes and dimension scales, without time stamps.
//
// The file stays in memory, so that a full disk or a lost network folder cannot leave the HDF5 library with a
// file that it can neither flush nor close; write_whole_file writes the finished bytes. HDF5 1.10 C
// interface; dimension scales follow the HDF5 Dimension Scale Specification. Numbers are stored
// little-endian, text as UTF-8. Every member throws MachineError where the library fails, which in memory
// means that memory ran out.
#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <string>
#include <vector>

namespace cabinfield {

/// Internal layout of a file.
enum class Hdf5Form {
  results,  ///< text of variable length; large arrays chunked and compressed
  netcdf    ///< as netCDF-4: attributes of fixed length in the order of writing; contiguous arrays
};

/// Owns an HDF5 identifier and closes it with its function.
class Hdf5Handle {
 public:
  using Close = int (*)(std::int64_t);

  /// Throws MachineError with `what` for a negative identifier.
  Hdf5Handle(std::int64_t id, Close close, const std::string& what);
  Hdf5Handle(Hdf5Handle&& other) noexcept;
  Hdf5Handle& operator=(Hdf5Handle&& other) noexcept;
  ~Hdf5Handle();

  std::int64_t id() const { return id_; }

 private:
  std::int64_t id_;
  Close close_;
};

/// A written dataset, open for attributes and axes.
class Hdf5Dataset {
 public:
  Hdf5Dataset(Hdf5Handle handle, std::string path, Hdf5Form form);

  void attribute(const std::string& name, const std::string& text);
  /// Makes this one-dimensional dataset a dimension scale.
  void become_axis(const std::string& name);
  /// Attaches `axis` as the scale of a dimension, from 0.
  void attach(std::size_t dimension, const Hdf5Dataset& axis);

 private:
  Hdf5Handle handle_;
  std::string path_;
  Hdf5Form form_;
};

class Hdf5File {
 public:
  using Shape = std::vector<std::size_t>;  ///< row-major; empty for a scalar

  explicit Hdf5File(Hdf5Form form = Hdf5Form::results);
  Hdf5File(const Hdf5File&) = delete;
  Hdf5File& operator=(const Hdf5File&) = delete;
  ~Hdf5File();

  void attribute(const std::string& name, const std::string& text);
  void attribute(const std::string& name, std::span<const int> numbers);

  /// Writes a dataset at an absolute path and creates its groups.
  Hdf5Dataset write(const std::string& path, const Shape& shape, std::span<const double> values);
  Hdf5Dataset write(const std::string& path, const Shape& shape, std::span<const int> values);
  Hdf5Dataset write(const std::string& path, const Shape& shape, std::span<const std::string> values);
  /// Writes texts as rows of `width` single characters, padded with NUL or truncated.
  Hdf5Dataset write_characters(const std::string& path, std::span<const std::string> texts,
                               std::size_t width);
  /// A dataset without stored values whose extent alone matters: an axis without values.
  Hdf5Dataset write_extent(const std::string& path, std::size_t extent);

  /// The bytes of the file.
  std::vector<std::byte> bytes() const;

 private:
  class SilentErrors {
   public:
    SilentErrors();
    SilentErrors(const SilentErrors&) = delete;
    SilentErrors& operator=(const SilentErrors&) = delete;
    ~SilentErrors();

   private:
    void* function_ = nullptr;
    void* data_ = nullptr;
  };

  Hdf5Dataset write_raw(const std::string& path, const Shape& shape, std::int64_t file_type,
                        std::int64_t memory_type, std::size_t element_size, const void* values);
  void make_groups_above(const std::string& path);

  SilentErrors silent_;
  Hdf5Form form_;
  Hdf5Handle handle_;
};

}  // namespace cabinfield
