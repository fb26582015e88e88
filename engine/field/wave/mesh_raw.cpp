#include "field/wave/mesh_raw.h"

#include <cstring>
#include <stdexcept>

namespace cabinfield {
namespace {

template <typename T>
void put(std::string& bytes, const std::vector<T>& values) {
  const std::size_t count = values.size();
  bytes.append(reinterpret_cast<const char*>(&count), sizeof count);
  bytes.append(reinterpret_cast<const char*>(values.data()), count * sizeof(T));
}

template <typename T>
void take(const std::string& bytes, std::size_t& at, std::vector<T>& values) {
  std::size_t count = 0;
  if (bytes.size() - at < sizeof count) throw std::runtime_error("the mesh is incomplete");
  std::memcpy(&count, bytes.data() + at, sizeof count);
  at += sizeof count;
  if ((bytes.size() - at) / sizeof(T) < count) throw std::runtime_error("the mesh is incomplete");
  values.resize(count);
  if (count > 0) std::memcpy(static_cast<void*>(values.data()), bytes.data() + at, count * sizeof(T));
  at += count * sizeof(T);
}

}  // namespace

std::string RawMesh::bytes() const {
  std::string result;
  put(result, node), put(result, tetrahedron), put(result, body), put(result, body_region);
  put(result, body_volume_m3), put(result, sheet), put(result, sheet_partition);
  return result;
}

RawMesh RawMesh::of(const std::string& bytes) {
  RawMesh mesh;
  std::size_t at = 0;
  take(bytes, at, mesh.node), take(bytes, at, mesh.tetrahedron), take(bytes, at, mesh.body);
  take(bytes, at, mesh.body_region), take(bytes, at, mesh.body_volume_m3), take(bytes, at, mesh.sheet);
  take(bytes, at, mesh.sheet_partition);
  return mesh;
}

}  // namespace cabinfield
