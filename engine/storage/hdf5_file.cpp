#include "storage/hdf5_file.h"

#include <hdf5.h>
#include <hdf5_hl.h>

#include <algorithm>
#include <type_traits>
#include <utility>

#include "base/fault.h"

namespace cabinfield {
namespace {

static_assert(std::is_same_v<hid_t, std::int64_t>);
static_assert(std::is_same_v<herr_t, int>);

/// Smaller arrays stay contiguous: the overhead of chunks would exceed the gain of compression, bytes.
constexpr std::size_t least_compressed_size = 16 * 1024;
/// Chunks hold whole runs of the last axes up to this size, so that one seat's response is one read, bytes.
constexpr std::size_t chunk_size = 256 * 1024;
constexpr unsigned deflate_level = 4;
/// How the memory image grows, bytes.
constexpr std::size_t image_increment = 1024 * 1024;

[[noreturn]] void fail(const std::string& what) {
  throw MachineError("the file could not be built (" + what + "): not enough memory?");
}

void require(bool good, const std::string& what) {
  if (!good) fail(what);
}

Hdf5Handle property_list(hid_t kind, const std::string& what) { return {H5Pcreate(kind), H5Pclose, what}; }

void track_attribute_order(const Hdf5Handle& creation, const std::string& what) {
  require(H5Pset_attr_creation_order(creation.id(), H5P_CRT_ORDER_TRACKED | H5P_CRT_ORDER_INDEXED) >= 0,
          what);
}

Hdf5Handle create_in_memory(Hdf5Form form) {
  Hdf5Handle access = property_list(H5P_FILE_ACCESS, "file");
  require(H5Pset_fapl_core(access.id(), image_increment, false) >= 0, "file");
  Hdf5Handle creation = property_list(H5P_FILE_CREATE, "file");
  require(H5Pset_link_creation_order(creation.id(), H5P_CRT_ORDER_TRACKED | H5P_CRT_ORDER_INDEXED) >= 0 &&
              H5Pset_obj_track_times(creation.id(), false) >= 0,
          "file");
  if (form == Hdf5Form::netcdf) track_attribute_order(creation, "file");
  return {H5Fcreate("results", H5F_ACC_TRUNC, creation.id(), access.id()), H5Fclose, "file"};
}

Hdf5Handle utf8_text(const std::string& what) {
  Hdf5Handle type(H5Tcopy(H5T_C_S1), H5Tclose, what);
  require(H5Tset_size(type.id(), H5T_VARIABLE) >= 0 && H5Tset_cset(type.id(), H5T_CSET_UTF8) >= 0, what);
  return type;
}

Hdf5Handle space_of(const Hdf5File::Shape& shape, const std::string& what) {
  if (shape.empty()) return {H5Screate(H5S_SCALAR), H5Sclose, what};
  const std::vector<hsize_t> extents(shape.begin(), shape.end());
  return {H5Screate_simple(static_cast<int>(extents.size()), extents.data(), nullptr), H5Sclose, what};
}

std::vector<hsize_t> chunk_of(const Hdf5File::Shape& shape, std::size_t element_size) {
  std::vector<hsize_t> chunk(shape.size(), 1);
  std::size_t size = element_size;
  for (std::size_t axis = shape.size(); axis-- > 0;) {
    const std::size_t room = std::max<std::size_t>(1, chunk_size / size);
    chunk[axis] = std::min(shape[axis], room);
    size *= chunk[axis];
    if (chunk[axis] < shape[axis]) break;
  }
  return chunk;
}

void write_attribute(hid_t object, const std::string& name, hid_t file_type, hid_t memory_type,
                     const Hdf5Handle& space, const void* value) {
  Hdf5Handle attribute(H5Acreate2(object, name.c_str(), file_type, space.id(), H5P_DEFAULT, H5P_DEFAULT),
                       H5Aclose, name);
  require(H5Awrite(attribute.id(), memory_type, value) >= 0, name);
}

/// Marked as ASCII whatever it holds, like the characters of the netCDF library: some readers accept nothing
/// else.
Hdf5Handle text_of_length(std::size_t length, const std::string& what) {
  Hdf5Handle type(H5Tcopy(H5T_C_S1), H5Tclose, what);
  require(H5Tset_size(type.id(), std::max<std::size_t>(1, length)) >= 0, what);
  return type;
}

void write_text_attribute(hid_t object, Hdf5Form form, const std::string& name, const std::string& text) {
  if (form == Hdf5Form::netcdf) {
    const Hdf5Handle type = text_of_length(text.size(), name);
    write_attribute(object, name, type.id(), type.id(), space_of({}, name), text.c_str());
    return;
  }
  const Hdf5Handle type = utf8_text(name);
  const char* characters = text.c_str();
  write_attribute(object, name, type.id(), type.id(), space_of({}, name), &characters);
}

}  // namespace

Hdf5Handle::Hdf5Handle(std::int64_t id, Close close, const std::string& what) : id_(id), close_(close) {
  if (id_ < 0) fail(what);
}

Hdf5Handle::Hdf5Handle(Hdf5Handle&& other) noexcept
    : id_(std::exchange(other.id_, -1)), close_(other.close_) {}

Hdf5Handle& Hdf5Handle::operator=(Hdf5Handle&& other) noexcept {
  std::swap(id_, other.id_);
  std::swap(close_, other.close_);
  return *this;
}

Hdf5Handle::~Hdf5Handle() {
  if (id_ >= 0) close_(id_);
}

Hdf5Dataset::Hdf5Dataset(Hdf5Handle handle, std::string path, Hdf5Form form)
    : handle_(std::move(handle)), path_(std::move(path)), form_(form) {}

void Hdf5Dataset::attribute(const std::string& name, const std::string& text) {
  write_text_attribute(handle_.id(), form_, name, text);
}

void Hdf5Dataset::become_axis(const std::string& name) {
  require(H5DSset_scale(handle_.id(), name.c_str()) >= 0, path_);
}

void Hdf5Dataset::attach(std::size_t dimension, const Hdf5Dataset& axis) {
  require(H5DSattach_scale(handle_.id(), axis.handle_.id(), static_cast<unsigned>(dimension)) >= 0, path_);
}

Hdf5File::SilentErrors::SilentErrors() {
  H5E_auto2_t function = nullptr;
  H5Eget_auto2(H5E_DEFAULT, &function, &data_);
  function_ = reinterpret_cast<void*>(function);
  H5Eset_auto2(H5E_DEFAULT, nullptr, nullptr);
}

Hdf5File::SilentErrors::~SilentErrors() {
  H5Eset_auto2(H5E_DEFAULT, reinterpret_cast<H5E_auto2_t>(function_), data_);
}

Hdf5File::Hdf5File(Hdf5Form form) : form_(form), handle_(create_in_memory(form)) {}

Hdf5File::~Hdf5File() = default;

void Hdf5File::attribute(const std::string& name, const std::string& text) {
  write_text_attribute(handle_.id(), form_, name, text);
}

void Hdf5File::attribute(const std::string& name, std::span<const int> numbers) {
  write_attribute(handle_.id(), name, H5T_STD_I32LE, H5T_NATIVE_INT, space_of({numbers.size()}, name),
                  numbers.data());
}

Hdf5Dataset Hdf5File::write(const std::string& path, const Shape& shape, std::span<const double> values) {
  return write_raw(path, shape, H5T_IEEE_F64LE, H5T_NATIVE_DOUBLE, sizeof(double), values.data());
}

Hdf5Dataset Hdf5File::write(const std::string& path, const Shape& shape, std::span<const int> values) {
  return write_raw(path, shape, H5T_STD_I32LE, H5T_NATIVE_INT, sizeof(int), values.data());
}

Hdf5Dataset Hdf5File::write(const std::string& path, const Shape& shape,
                            std::span<const std::string> values) {
  std::vector<const char*> characters;
  characters.reserve(values.size());
  for (const std::string& text : values) characters.push_back(text.c_str());
  const Hdf5Handle type = utf8_text(path);
  return write_raw(path, shape, type.id(), type.id(), sizeof(char*), characters.data());
}

Hdf5Dataset Hdf5File::write_characters(const std::string& path, std::span<const std::string> texts,
                                       std::size_t width) {
  std::string characters(texts.size() * width, '\0');
  for (std::size_t row = 0; row < texts.size(); ++row)
    texts[row].copy(characters.data() + row * width, width);
  const Hdf5Handle type = text_of_length(1, path);
  return write_raw(path, {texts.size(), width}, type.id(), type.id(), 1, characters.data());
}

Hdf5Dataset Hdf5File::write_extent(const std::string& path, std::size_t extent) {
  return write_raw(path, {extent}, H5T_IEEE_F32BE, H5T_NATIVE_FLOAT, sizeof(float), nullptr);
}

std::vector<std::byte> Hdf5File::bytes() const {
  require(H5Fflush(handle_.id(), H5F_SCOPE_GLOBAL) >= 0, "file");
  const ssize_t size = H5Fget_file_image(handle_.id(), nullptr, 0);
  require(size > 0, "file");
  std::vector<std::byte> image(static_cast<std::size_t>(size));
  require(H5Fget_file_image(handle_.id(), image.data(), image.size()) == size, "file");
  return image;
}

Hdf5Dataset Hdf5File::write_raw(const std::string& path, const Shape& shape, std::int64_t file_type,
                                std::int64_t memory_type, std::size_t element_size, const void* values) {
  make_groups_above(path);
  const Hdf5Handle space = space_of(shape, path);
  const Hdf5Handle creation = property_list(H5P_DATASET_CREATE, path);
  require(H5Pset_obj_track_times(creation.id(), false) >= 0, path);
  std::size_t size = element_size;
  for (std::size_t extent : shape) size *= extent;
  if (form_ == Hdf5Form::netcdf) track_attribute_order(creation, path);
  if (form_ == Hdf5Form::results && size >= least_compressed_size && H5Tis_variable_str(file_type) == 0) {
    const std::vector<hsize_t> chunk = chunk_of(shape, element_size);
    require(H5Pset_chunk(creation.id(), static_cast<int>(chunk.size()), chunk.data()) >= 0 &&
                H5Pset_shuffle(creation.id()) >= 0 && H5Pset_deflate(creation.id(), deflate_level) >= 0,
            path);
  }
  Hdf5Handle dataset(
      H5Dcreate2(handle_.id(), path.c_str(), file_type, space.id(), H5P_DEFAULT, creation.id(), H5P_DEFAULT),
      H5Dclose, path);
  require(
      values == nullptr || H5Dwrite(dataset.id(), memory_type, H5S_ALL, H5S_ALL, H5P_DEFAULT, values) >= 0,
      path);
  return {std::move(dataset), path, form_};
}

void Hdf5File::make_groups_above(const std::string& path) {
  const Hdf5Handle creation = property_list(H5P_GROUP_CREATE, path);
  require(H5Pset_link_creation_order(creation.id(), H5P_CRT_ORDER_TRACKED | H5P_CRT_ORDER_INDEXED) >= 0 &&
              H5Pset_obj_track_times(creation.id(), false) >= 0,
          path);
  for (std::size_t slash = path.find('/', 1); slash != std::string::npos; slash = path.find('/', slash + 1)) {
    const std::string group = path.substr(0, slash);
    const htri_t exists = H5Lexists(handle_.id(), group.c_str(), H5P_DEFAULT);
    require(exists >= 0, group);
    if (exists > 0) continue;
    Hdf5Handle(H5Gcreate2(handle_.id(), group.c_str(), H5P_DEFAULT, creation.id(), H5P_DEFAULT), H5Gclose,
               group);
  }
}

}  // namespace cabinfield
