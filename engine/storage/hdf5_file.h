// An HDF5 file built in memory: datasets, attributes and dimension scales, without time stamps.
//
// Nothing touches the disk here, so a full disk or a lost network folder cannot leave the HDF5 library with a
// file it can neither flush nor close; the finished bytes go out through write_whole_file. HDF5 1.10 C
// interface; dimension scales follow the HDF5 Dimension Scale Specification. Numbers are stored
// little-endian, text as UTF-8. Every member throws MachineError when the library refuses, which in memory
// means that memory ran out.
#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <string>
#include <vector>

namespace cabinfield {

/// How a file is laid out inside.
enum class Hdf5Form {
  results,  ///< text of variable length; large arrays chunked and compressed
  netcdf    ///< as the netCDF-4 library has its own: attributes of fixed length, kept in the order written;
            ///< arrays in one piece
};

/// Owner of one HDF5 identifier, closed with the function that fits it.
class Hdf5Handle {
 public:
  using Close = int (*)(std::int64_t);

  /// Throws MachineError naming `what` where the identifier is negative.
  Hdf5Handle(std::int64_t id, Close close, const std::string& what);
  Hdf5Handle(Hdf5Handle&& other) noexcept;
  Hdf5Handle& operator=(Hdf5Handle&& other) noexcept;
  ~Hdf5Handle();

  std::int64_t id() const { return id_; }

 private:
  std::int64_t id_;
  Close close_;
};

/// A dataset just written, open for its attributes and axes.
class Hdf5Dataset {
 public:
  Hdf5Dataset(Hdf5Handle handle, std::string path, Hdf5Form form);

  void attribute(const std::string& name, const std::string& text);
  /// Makes this one-dimensional dataset an axis that others can be attached to.
  void become_axis(const std::string& name);
  /// Names `axis` as the scale of dimension number `dimension`, from 0.
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

  /// Writes a dataset at an absolute path; its groups are made on the way.
  Hdf5Dataset write(const std::string& path, const Shape& shape, std::span<const double> values);
  Hdf5Dataset write(const std::string& path, const Shape& shape, std::span<const int> values);
  Hdf5Dataset write(const std::string& path, const Shape& shape, std::span<const std::string> values);
  /// Writes texts as rows of `width` single characters, short ones filled up with NUL, long ones cut.
  Hdf5Dataset write_characters(const std::string& path, std::span<const std::string> texts,
                               std::size_t width);
  /// A dataset of which only the extent means anything, for an axis without values; nothing is stored for
  /// them.
  Hdf5Dataset write_extent(const std::string& path, std::size_t extent);

  /// The whole file as it would stand on disk.
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
