#include "storage/hdf5_reading.h"

#include <hdf5.h>
#include <hdf5_hl.h>

#include <stdexcept>

namespace cabinfield::reading {
namespace {

hid_t good(hid_t id, const std::string& what) {
  if (id < 0) throw std::runtime_error("cannot read " + what);
  return id;
}

std::string name_of(hid_t object) {
  std::string name(static_cast<std::size_t>(H5Iget_name(object, nullptr, 0)), '\0');
  H5Iget_name(object, name.data(), name.size() + 1);
  return name;
}

hid_t utf8_text() {
  const hid_t type = H5Tcopy(H5T_C_S1);
  H5Tset_size(type, H5T_VARIABLE);
  H5Tset_cset(type, H5T_CSET_UTF8);
  return type;
}

std::string text_attribute(hid_t object, const char* name) {
  if (H5Aexists(object, name) <= 0) return {};
  const hid_t attribute = good(H5Aopen(object, name, H5P_DEFAULT), name);
  const hid_t type = utf8_text();
  char* text = nullptr;
  good(H5Aread(attribute, type, &text), name);
  std::string copy = text;
  H5free_memory(text);
  H5Tclose(type);
  H5Aclose(attribute);
  return copy;
}

herr_t first_scale(hid_t, unsigned, hid_t scale, void* path) {
  *static_cast<std::string*>(path) = name_of(scale);
  return 1;
}

StoredDataset read_dataset(hid_t file, const std::string& path) {
  StoredDataset stored;
  stored.path = path;
  const hid_t dataset = good(H5Dopen2(file, path.c_str(), H5P_DEFAULT), path);
  const hid_t space = H5Dget_space(dataset);
  std::vector<hsize_t> extents(static_cast<std::size_t>(H5Sget_simple_extent_ndims(space)));
  H5Sget_simple_extent_dims(space, extents.data(), nullptr);
  stored.shape.assign(extents.begin(), extents.end());
  const auto count = static_cast<std::size_t>(H5Sget_simple_extent_npoints(space));
  for (unsigned dimension = 0; dimension < extents.size(); ++dimension) {
    std::string scale;
    if (H5DSis_scale(dataset) > 0)
      scale = path;
    else
      H5DSiterate_scales(dataset, dimension, nullptr, first_scale, &scale);
    stored.axes.push_back(scale);
  }
  stored.units = text_attribute(dataset, "units");
  stored.long_name = text_attribute(dataset, "long_name");
  const hid_t type = H5Dget_type(dataset);
  if (H5Tget_class(type) == H5T_STRING) {
    stored.type = H5Tis_variable_str(type) > 0 && H5Tget_cset(type) == H5T_CSET_UTF8 ? "text" : "other text";
    const hid_t memory = utf8_text();
    std::vector<char*> texts(count);
    good(H5Dread(dataset, memory, H5S_ALL, H5S_ALL, H5P_DEFAULT, texts.data()), path);
    for (char* text : texts) {
      stored.texts.emplace_back(text);
      H5free_memory(text);
    }
    H5Tclose(memory);
  } else {
    stored.type = H5Tequal(type, H5T_IEEE_F64LE) > 0  ? "real"
                  : H5Tequal(type, H5T_STD_I32LE) > 0 ? "integer"
                                                      : "other number";
    stored.numbers.resize(count);
    good(H5Dread(dataset, H5T_NATIVE_DOUBLE, H5S_ALL, H5S_ALL, H5P_DEFAULT, stored.numbers.data()), path);
  }
  H5Tclose(type);
  H5Sclose(space);
  H5Dclose(dataset);
  return stored;
}

herr_t collect(hid_t, const char* name, const H5O_info_t* info, void* paths) {
  if (info->type == H5O_TYPE_DATASET)
    static_cast<std::vector<std::string>*>(paths)->push_back("/" + std::string(name));
  return 0;
}

}  // namespace

std::vector<StoredDataset> read_all(const std::string& file_name) {
  const hid_t file = good(H5Fopen(file_name.c_str(), H5F_ACC_RDONLY, H5P_DEFAULT), file_name);
  std::vector<std::string> paths;
  H5Ovisit(file, H5_INDEX_NAME, H5_ITER_INC, collect, &paths);
  std::vector<StoredDataset> all;
  for (const std::string& path : paths) all.push_back(read_dataset(file, path));
  H5Fclose(file);
  return all;
}

std::string root_text(const std::string& file_name, const std::string& name) {
  const hid_t file = good(H5Fopen(file_name.c_str(), H5F_ACC_RDONLY, H5P_DEFAULT), file_name);
  std::string text = text_attribute(file, name.c_str());
  H5Fclose(file);
  return text;
}

std::vector<int> root_integers(const std::string& file_name, const std::string& name) {
  const hid_t file = good(H5Fopen(file_name.c_str(), H5F_ACC_RDONLY, H5P_DEFAULT), file_name);
  const hid_t attribute = good(H5Aopen(file, name.c_str(), H5P_DEFAULT), name);
  const hid_t space = H5Aget_space(attribute);
  std::vector<int> numbers(static_cast<std::size_t>(H5Sget_simple_extent_npoints(space)));
  good(H5Aread(attribute, H5T_NATIVE_INT, numbers.data()), name);
  H5Sclose(space);
  H5Aclose(attribute);
  H5Fclose(file);
  return numbers;
}

}  // namespace cabinfield::reading
