#include "storage/hdf5_reader.h"

#include <fmt/format.h>
#include <hdf5.h>

#include <stdexcept>

namespace cabinfield {
namespace {

/// Largest number of values of a dataset of this program: a foreign header must not make it allocate all
/// memory.
constexpr std::size_t most_values = std::size_t{1} << 31;
constexpr hssize_t most_attribute_values = 64;

Hdf5Handle opened(std::int64_t file, const std::string& dataset, const std::string& path) {
  const std::int64_t id = H5Dopen2(file, dataset.c_str(), H5P_DEFAULT);
  if (id < 0) throw UnreadableFile(fmt::format("{}: {} is missing", path, dataset));
  return {id, [](std::int64_t open) { return static_cast<int>(H5Dclose(open)); }, dataset};
}

Hdf5Handle space_of(const Hdf5Handle& dataset) {
  return {H5Dget_space(dataset.id()), [](std::int64_t open) { return static_cast<int>(H5Sclose(open)); },
          "the extent of a dataset"};
}

Hdf5Handle type_of(const Hdf5Handle& dataset) {
  return {H5Dget_type(dataset.id()), [](std::int64_t open) { return static_cast<int>(H5Tclose(open)); },
          "the type of a dataset"};
}

/// Deflated data is at most 1032 times as large (RFC 1951: 258 bytes of two bits).
constexpr std::size_t most_inflation = 1032;

std::size_t count(const Hdf5Handle& handle, const Hdf5Handle& space, const Hdf5Handle& type,
                  const std::string& dataset, const std::string& path) {
  const hssize_t values = H5Sget_simple_extent_npoints(space.id());
  if (values < 0 || static_cast<std::size_t>(values) > most_values)
    throw UnreadableFile(fmt::format("{}: {} is larger than any dataset of this program", path, dataset));
  const std::size_t stored = H5Dget_storage_size(handle.id());
  if (static_cast<std::size_t>(values) * H5Tget_size(type.id()) > (stored + 1) * most_inflation)
    throw UnreadableFile(fmt::format("{}: {} claims more values than are stored", path, dataset));
  return static_cast<std::size_t>(values);
}

}  // namespace

Hdf5Reader::Hdf5Reader(const std::string& path) : path_(path) {
  H5E_auto2_t function = nullptr;
  H5Eget_auto2(H5E_DEFAULT, &function, &error_data_);
  error_function_ = reinterpret_cast<void*>(function);
  H5Eset_auto2(H5E_DEFAULT, nullptr, nullptr);
  file_ = H5Fopen(path.c_str(), H5F_ACC_RDONLY, H5P_DEFAULT);
  if (file_ < 0) {
    H5Eset_auto2(H5E_DEFAULT, function, error_data_);
    throw UnreadableFile(fmt::format("{}: cannot be opened as an HDF5 file", path));
  }
}

Hdf5Reader::~Hdf5Reader() {
  H5Fclose(file_);
  H5Eset_auto2(H5E_DEFAULT, reinterpret_cast<H5E_auto2_t>(error_function_), error_data_);
}

bool Hdf5Reader::has(const std::string& dataset) const {
  // H5Lexists fails where a group above the dataset is missing: check each.
  for (std::size_t slash = dataset.find('/', 1); slash != std::string::npos;
       slash = dataset.find('/', slash + 1))
    if (H5Lexists(file_, dataset.substr(0, slash).c_str(), H5P_DEFAULT) <= 0) return false;
  return H5Lexists(file_, dataset.c_str(), H5P_DEFAULT) > 0;
}

std::string Hdf5Reader::attribute(const std::string& name) const {
  if (H5Aexists(file_, name.c_str()) <= 0) return "";
  const Hdf5Handle attribute(
      H5Aopen(file_, name.c_str(), H5P_DEFAULT),
      [](std::int64_t open) { return static_cast<int>(H5Aclose(open)); }, name);
  const Hdf5Handle type(
      H5Aget_type(attribute.id()), [](std::int64_t open) { return static_cast<int>(H5Tclose(open)); }, name);
  if (H5Tget_class(type.id()) != H5T_STRING) return "";
  if (H5Tis_variable_str(type.id()) > 0) {
    char* text = nullptr;
    if (H5Aread(attribute.id(), type.id(), &text) < 0 || text == nullptr) return "";
    std::string result(text);
    H5free_memory(text);
    return result;
  }
  std::string text(H5Tget_size(type.id()), '\0');
  if (H5Aread(attribute.id(), type.id(), text.data()) < 0) return "";
  return text.substr(0, text.find('\0'));
}

std::vector<int> Hdf5Reader::integer_attribute(const std::string& name) const {
  if (H5Aexists(file_, name.c_str()) <= 0) return {};
  const Hdf5Handle attribute(
      H5Aopen(file_, name.c_str(), H5P_DEFAULT),
      [](std::int64_t open) { return static_cast<int>(H5Aclose(open)); }, name);
  const Hdf5Handle type(
      H5Aget_type(attribute.id()), [](std::int64_t open) { return static_cast<int>(H5Tclose(open)); }, name);
  const Hdf5Handle space(
      H5Aget_space(attribute.id()), [](std::int64_t open) { return static_cast<int>(H5Sclose(open)); }, name);
  const hssize_t values = H5Sget_simple_extent_npoints(space.id());
  if (H5Tget_class(type.id()) != H5T_INTEGER || values < 1 || values > most_attribute_values) return {};
  std::vector<int> numbers(static_cast<std::size_t>(values));
  if (H5Aread(attribute.id(), H5T_NATIVE_INT, numbers.data()) < 0) return {};
  return numbers;
}

DatasetKind Hdf5Reader::kind(const std::string& dataset) const {
  const Hdf5Handle handle = opened(file_, dataset, path_), type = type_of(handle);
  switch (H5Tget_class(type.id())) {
    case H5T_FLOAT:
      return DatasetKind::real;
    case H5T_INTEGER:
      return DatasetKind::integer;
    case H5T_STRING:
      return DatasetKind::text;
    default:
      throw UnreadableFile(fmt::format("{}: {} holds another kind of value", path_, dataset));
  }
}

std::vector<std::size_t> Hdf5Reader::shape(const std::string& dataset) const {
  const Hdf5Handle handle = opened(file_, dataset, path_), space = space_of(handle);
  const int rank = H5Sget_simple_extent_ndims(space.id());
  if (rank < 0) throw UnreadableFile(fmt::format("{}: {} has no extent", path_, dataset));
  std::vector<hsize_t> extent(static_cast<std::size_t>(rank));
  H5Sget_simple_extent_dims(space.id(), extent.data(), nullptr);
  return {extent.begin(), extent.end()};
}

template <typename T>
std::vector<T> Hdf5Reader::numbers(const std::string& dataset, std::int64_t memory_type,
                                   int type_class) const {
  const Hdf5Handle handle = opened(file_, dataset, path_), space = space_of(handle), type = type_of(handle);
  if (H5Tget_class(type.id()) != type_class)
    throw UnreadableFile(fmt::format("{}: {} holds another kind of value", path_, dataset));
  std::vector<T> values(count(handle, space, type, dataset, path_));
  if (!values.empty() && H5Dread(handle.id(), memory_type, H5S_ALL, H5S_ALL, H5P_DEFAULT, values.data()) < 0)
    throw UnreadableFile(fmt::format("{}: {} is damaged", path_, dataset));
  return values;
}

std::vector<double> Hdf5Reader::doubles(const std::string& dataset) const {
  return numbers<double>(dataset, H5T_NATIVE_DOUBLE, H5T_FLOAT);
}

std::vector<int> Hdf5Reader::integers(const std::string& dataset) const {
  return numbers<int>(dataset, H5T_NATIVE_INT, H5T_INTEGER);
}

std::vector<std::string> Hdf5Reader::texts(const std::string& dataset) const {
  const Hdf5Handle handle = opened(file_, dataset, path_), space = space_of(handle), type = type_of(handle);
  if (H5Tget_class(type.id()) != H5T_STRING || H5Tis_variable_str(type.id()) <= 0)
    throw UnreadableFile(fmt::format("{}: {} holds another kind of value", path_, dataset));
  std::vector<char*> raw(count(handle, space, type, dataset, path_), nullptr);
  if (!raw.empty() && H5Dread(handle.id(), type.id(), H5S_ALL, H5S_ALL, H5P_DEFAULT, raw.data()) < 0)
    throw UnreadableFile(fmt::format("{}: {} is damaged", path_, dataset));
  std::vector<std::string> values;
  for (char* text : raw) values.emplace_back(text == nullptr ? "" : text);
  if (!raw.empty()) H5Dvlen_reclaim(type.id(), space.id(), H5P_DEFAULT, raw.data());
  return values;
}

}  // namespace cabinfield
