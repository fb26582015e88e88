#include "field/wave/mesh_gmsh_session.h"

#include <dlfcn.h>
#include <gmshc.h>

#include <stdexcept>
#include <string>

namespace cabinfield {
namespace {

template <typename T>
class Returned {
 public:
  T* data = nullptr;
  std::size_t size = 0;
  std::vector<T> values() const { return {data, data + size}; }
};

std::vector<int> flat_list(const std::vector<Entity>& entities) {
  std::vector<int> list;
  for (const auto& [dimension, number] : entities) {
    list.push_back(dimension);
    list.push_back(number);
  }
  return list;
}

std::vector<Entity> entity_list(const int* data, std::size_t size) {
  std::vector<Entity> entities;
  for (std::size_t i = 0; i + 1 < size; i += 2) entities.emplace_back(data[i], data[i + 1]);
  return entities;
}

void* open_library() {
  // Never unloaded: the process ends with the session.
  void* handle = dlopen(CABINFIELD_GMSH_LIBRARY, RTLD_LAZY | RTLD_LOCAL);
  if (handle == nullptr)
    throw std::runtime_error(std::string("the library ") + CABINFIELD_GMSH_LIBRARY + " cannot be loaded");
  return handle;
}

}  // namespace

struct GmshSession::Library {
  void* handle = open_library();

  template <typename Function>
  Function* find(const char* name) const {
    void* address = dlsym(handle, name);
    if (address == nullptr) throw std::runtime_error(std::string("gmsh has no function ") + name);
    return reinterpret_cast<Function*>(address);
  }
};

// A function of gmsh by its name, with its type from gmsh's own header.
#define CABINFIELD_GMSH(name) library_->find<decltype(::name)>(#name)

namespace {

/// Calls a function whose last argument takes the error.
template <typename Function, typename... Arguments>
auto call(Function* function, Arguments... arguments) {
  int error = 0;
  struct Check {
    int& error;
    ~Check() noexcept(false) {
      if (error != 0) throw std::runtime_error("gmsh reports a failure");
    }
  };
  const Check check{error};
  return function(arguments..., &error);
}

/// Result of a set operation, and the parts of each object and tool.
struct Combined {
  std::vector<Entity> made;
  std::vector<std::vector<Entity>> became;
};

/// Cut, intersection or fragments, which share one interface. Objects are consumed.
template <typename Operation>
Combined combine(Operation* operation, const std::vector<Entity>& objects, const std::vector<Entity>& tools,
                 bool use_up_tools) {
  auto from = flat_list(objects), with = flat_list(tools);
  Returned<int> made;
  int** map = nullptr;
  std::size_t *map_sizes = nullptr, maps = 0;
  call(operation, from.data(), from.size(), with.data(), with.size(), &made.data, &made.size, &map,
       &map_sizes, &maps, -1, 1, use_up_tools ? 1 : 0);
  Combined combined{entity_list(made.data, made.size), {}};
  for (std::size_t i = 0; i < maps; ++i) combined.became.push_back(entity_list(map[i], map_sizes[i]));
  return combined;
}

}  // namespace

GmshSession::GmshSession() : library_(std::make_unique<Library>()) {
  call(CABINFIELD_GMSH(gmshInitialize), 0, static_cast<char**>(nullptr), 0);
  const auto set = CABINFIELD_GMSH(gmshOptionSetNumber);
  const std::pair<const char*, double> options[] = {
      {"General.Terminal", 0},
      {"General.Verbosity", 0},
      // The default, 2, throws inside the library and ends the process.
      {"General.AbortOnError", 0},
      {"General.NumThreads", 1},
      // Delaunay: on one thread the same mesh every time.
      {"Mesh.Algorithm3D", 1},
      // The callback alone determines the size.
      {"Mesh.MeshSizeExtendFromBoundary", 0},
      {"Mesh.MeshSizeFromPoints", 0},
      {"Mesh.MeshSizeFromCurvature", 0},
  };
  for (const auto& [name, value] : options) call(set, name, value);
  call(CABINFIELD_GMSH(gmshModelAdd), "cabin");
}

GmshSession::~GmshSession() = default;

Entity GmshSession::flat(const std::vector<Vector3>& rim) const {
  std::vector<int> points, lines;
  for (const Vector3& p : rim)
    points.push_back(call(CABINFIELD_GMSH(gmshModelOccAddPoint), p.x(), p.y(), p.z(), 0.0, -1));
  for (std::size_t i = 0; i < points.size(); ++i)
    lines.push_back(
        call(CABINFIELD_GMSH(gmshModelOccAddLine), points[i], points[(i + 1) % points.size()], -1));
  int loop = call(CABINFIELD_GMSH(gmshModelOccAddCurveLoop), lines.data(), lines.size(), -1);
  return {2, call(CABINFIELD_GMSH(gmshModelOccAddPlaneSurface), &loop, std::size_t{1}, -1)};
}

Entity GmshSession::extrude(const Entity& surface, const Vector3& along) const {
  auto list = flat_list({surface});
  Returned<int> made;
  call(CABINFIELD_GMSH(gmshModelOccExtrude), list.data(), list.size(), along.x(), along.y(), along.z(),
       &made.data, &made.size, static_cast<int*>(nullptr), std::size_t{0}, static_cast<double*>(nullptr),
       std::size_t{0}, 0);
  for (const Entity& entity : entity_list(made.data, made.size))
    if (entity.first == 3) return entity;
  throw std::runtime_error("gmsh extruded no volume");
}

std::vector<Entity> GmshSession::cut(const std::vector<Entity>& objects,
                                     const std::vector<Entity>& tools) const {
  return combine(CABINFIELD_GMSH(gmshModelOccCut), objects, tools, false).made;
}

std::vector<Entity> GmshSession::intersect(const std::vector<Entity>& objects,
                                           const std::vector<Entity>& tools) const {
  return combine(CABINFIELD_GMSH(gmshModelOccIntersect), objects, tools, true).made;
}

std::vector<std::vector<Entity>> GmshSession::fragment(const std::vector<Entity>& all) const {
  const Combined combined =
      combine(CABINFIELD_GMSH(gmshModelOccFragment), {all.front()}, {all.begin() + 1, all.end()}, true);
  if (combined.became.size() != all.size())
    throw std::runtime_error("gmsh returned the wrong number of parts");
  return combined.became;
}

void GmshSession::remove(const std::vector<Entity>& entities) const {
  auto list = flat_list(entities);
  call(CABINFIELD_GMSH(gmshModelOccRemove), list.data(), list.size(), 1);
}

double GmshSession::volume_m3(const Entity& volume) const {
  double mass = 0;
  call(CABINFIELD_GMSH(gmshModelOccGetMass), volume.first, volume.second, &mass);
  return mass;
}

void GmshSession::synchronize() const { call(CABINFIELD_GMSH(gmshModelOccSynchronize)); }

std::vector<Entity> GmshSession::entities(int dimension) const {
  Returned<int> found;
  call(CABINFIELD_GMSH(gmshModelGetEntities), &found.data, &found.size, dimension);
  return entity_list(found.data, found.size);
}

std::vector<Entity> GmshSession::boundary(const Entity& entity) const {
  auto list = flat_list({entity});
  Returned<int> found;
  call(CABINFIELD_GMSH(gmshModelGetBoundary), list.data(), list.size(), &found.data, &found.size, 0, 0, 0);
  return entity_list(found.data, found.size);
}

std::vector<int> GmshSession::bounded_by(const Entity& entity) const {
  Returned<int> up, down;
  call(CABINFIELD_GMSH(gmshModelGetAdjacencies), entity.first, entity.second, &up.data, &up.size, &down.data,
       &down.size);
  return up.values();
}

Vector3 GmshSession::position(const Entity& point) const {
  Returned<double> found;
  call(CABINFIELD_GMSH(gmshModelGetValue), 0, point.second, static_cast<double*>(nullptr), std::size_t{0},
       &found.data, &found.size);
  if (found.size != 3) throw std::runtime_error("gmsh returned no position of a point");
  return {found.data[0], found.data[1], found.data[2]};
}

void GmshSession::mesh(const std::function<double(const Vector3&)>& size) const {
  auto ask = [](int, int, double x, double y, double z, void* data) {
    return (*static_cast<const std::function<double(const Vector3&)>*>(data))({x, y, z});
  };
  call(CABINFIELD_GMSH(gmshModelMeshSetSizeCallback), +ask,
       const_cast<void*>(static_cast<const void*>(&size)));
  call(CABINFIELD_GMSH(gmshModelMeshGenerate), 3);
}

GmshSession::Nodes GmshSession::nodes() const {
  Returned<std::size_t> number;
  Returned<double> coordinate, parameter;
  call(CABINFIELD_GMSH(gmshModelMeshGetNodes), &number.data, &number.size, &coordinate.data, &coordinate.size,
       &parameter.data, &parameter.size, -1, -1, 0, 0);
  Nodes nodes;
  nodes.number = number.values();
  for (std::size_t i = 0; i + 2 < coordinate.size; i += 3)
    nodes.position.emplace_back(coordinate.data[i], coordinate.data[i + 1], coordinate.data[i + 2]);
  if (nodes.position.size() != nodes.number.size())
    throw std::runtime_error("gmsh returned the wrong number of coordinates");
  return nodes;
}

std::vector<std::size_t> GmshSession::elements(const Entity& entity) const {
  // gmsh's numbers of element types.
  constexpr int triangle = 2, tetrahedron = 4;
  Returned<std::size_t> number, node;
  call(CABINFIELD_GMSH(gmshModelMeshGetElementsByType), entity.first == 2 ? triangle : tetrahedron,
       &number.data, &number.size, &node.data, &node.size, entity.second, std::size_t{0}, std::size_t{1});
  return node.values();
}

}  // namespace cabinfield
