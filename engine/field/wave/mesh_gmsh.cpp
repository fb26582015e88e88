#include "field/wave/mesh_gmsh.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <set>
#include <stdexcept>

#include "field/wave/mesh_gmsh_session.h"
#include "field/wave/mesh_size.h"

namespace cabinfield {
namespace {

struct Bounds {
  Vector3 least, most;
};

Bounds bounds_of(const Prism& prism) {
  const int axis_b = prism.sweep == Sweep::across ? 2 : 1, swept = 3 - axis_b;
  Bounds bounds;
  bounds.least[swept] = prism.range[0];
  bounds.most[swept] = prism.range[1];
  Vector2 least = prism.polygon.front(), most = least;
  for (const Vector2& p : prism.polygon) least = least.cwiseMin(p), most = most.cwiseMax(p);
  bounds.least[0] = least.x(), bounds.most[0] = most.x();
  bounds.least[axis_b] = least.y(), bounds.most[axis_b] = most.y();
  return bounds;
}

Bounds bounds_of_shell(const MeshDrawing& drawing) {
  Vector2 least = drawing.profile.front(), most = least;
  for (const Vector2& p : drawing.profile) least = least.cwiseMin(p), most = most.cwiseMax(p);
  double wide = 0;
  for (const Vector2& p : drawing.section) wide = std::max(wide, p.x());
  return {{least.x(), -wide, least.y()}, {most.x(), wide, most.y()}};
}

bool meet(const Bounds& one, const Bounds& other) {
  return (one.least.array() < other.most.array()).all() && (other.least.array() < one.most.array()).all();
}

std::vector<Vector3> raised(const Polygon2& polygon, int axis_a, int axis_b, double at) {
  std::vector<Vector3> corners;
  for (const Vector2& p : polygon) {
    Vector3 corner = Vector3::Constant(at);
    corner[axis_a] = p.x();
    corner[axis_b] = p.y();
    corners.push_back(corner);
  }
  return corners;
}

Entity body_of(const GmshSession& gmsh, const Prism& prism) {
  const int axis_b = prism.sweep == Sweep::across ? 2 : 1, swept = 3 - axis_b;
  return gmsh.extrude(gmsh.flat(raised(prism.polygon, 0, axis_b, prism.range[0])),
                      (prism.range[1] - prism.range[0]) * Vector3::Unit(swept));
}

Entity shell_of(const GmshSession& gmsh, const MeshDrawing& drawing, const Bounds& bounds) {
  const double wide = bounds.most.y();
  const bool straight = std::all_of(drawing.section.begin(), drawing.section.end(),
                                    [&](const Vector2& p) { return std::abs(p.x()) == wide; });
  // Drawn wider and clipped by the other sweep, so that no two faces lie in one plane.
  const double half = straight ? wide : 1.5 * wide;
  const Entity swept =
      gmsh.extrude(gmsh.flat(raised(drawing.profile, 0, 2, -half)), 2 * half * Vector3::UnitY());
  if (straight) return swept;
  const double margin = 0.1;
  const Entity along = gmsh.extrude(gmsh.flat(raised(drawing.section, 1, 2, bounds.least.x() - margin)),
                                    (bounds.most.x() - bounds.least.x() + 2 * margin) * Vector3::UnitX());
  const auto shell = gmsh.intersect({swept}, {along});
  if (shell.size() != 1) throw std::runtime_error("the shell is not one volume");
  return shell.front();
}

/// The drawing as conforming bodies and sheets, without what is not air.
struct Model {
  std::vector<Entity> bodies;
  std::vector<int> body_region;
  std::vector<Entity> sheets;
  std::vector<int> sheet_partition;
};

Model build_model(const GmshSession& gmsh, const MeshDrawing& drawing, bool imprint_patches) {
  // Step 1: draw the shell, then blocks less the cuts in them, sheets less their holes, and patches; note
  // what each part is.
  const Bounds whole = bounds_of_shell(drawing);
  std::vector<Entity> parts{shell_of(gmsh, drawing, whole)};
  enum class Kind { shell, solid, filling, sheet, patch };
  struct Meaning {
    Kind kind = Kind::shell;
    int index = -1;
  };
  std::vector<Meaning> meanings{{}};

  std::vector<std::pair<Bounds, Entity>> cuts;
  for (const Prism& cut : drawing.cuts)
    if (meet(bounds_of(cut), whole)) cuts.emplace_back(bounds_of(cut), body_of(gmsh, cut));
  auto add_body = [&](const Prism& prism, Kind kind) {
    const Bounds bounds = bounds_of(prism);
    if (!meet(bounds, whole)) return;
    std::vector<Entity> left{body_of(gmsh, prism)}, tools;
    for (const auto& [reach, cut] : cuts)
      if (meet(bounds, reach)) tools.push_back(cut);
    if (!tools.empty()) left = gmsh.cut(left, tools);
    for (const Entity& part : left) {
      parts.push_back(part);
      meanings.push_back({kind, prism.block});
    }
  };
  for (const Prism& solid : drawing.solids) add_body(solid, Kind::solid);
  for (const Prism& filling : drawing.fillings) add_body(filling, Kind::filling);
  for (const auto& [reach, cut] : cuts) gmsh.remove({cut});
  for (const Sheet& sheet : drawing.sheets) {
    std::vector<Entity> left{gmsh.flat({sheet.rim.begin(), sheet.rim.end()})}, holes;
    for (const Quad& hole : sheet.holes) holes.push_back(gmsh.flat({hole.begin(), hole.end()}));
    if (!holes.empty()) {
      left = gmsh.cut(left, holes);
      gmsh.remove(holes);
    }
    for (const Entity& part : left) {
      parts.push_back(part);
      meanings.push_back({Kind::sheet, sheet.partition});
    }
  }
  if (imprint_patches)
    for (const auto& patch : drawing.patches) {
      parts.push_back(gmsh.flat(patch));
      meanings.push_back({Kind::patch, -1});
    }
  // Step 2: split all parts at each other.
  const auto became = parts.size() > 1 ? gmsh.fragment(parts) : std::vector<std::vector<Entity>>{parts};

  // Step 3: the air is the pieces of the shell that no solid occupies; remove all other volumes.
  std::set<Entity> air(became.front().begin(), became.front().end()), removed;
  std::map<Entity, int> filled, sheets;
  for (std::size_t i = 1; i < became.size(); ++i)
    for (const Entity& piece : became[i]) {
      if (meanings[i].kind == Kind::solid) air.erase(piece);
      // Where two fillings overlap, the first counts.
      if (meanings[i].kind == Kind::filling) filled.emplace(piece, meanings[i].index);
      if (meanings[i].kind == Kind::sheet) sheets.emplace(piece, meanings[i].index);
    }
  for (const auto& pieces : became)
    for (const Entity& piece : pieces)
      if (piece.first == 3 && !air.contains(piece)) removed.insert(piece);
  if (air.empty()) throw std::runtime_error("no air is left");
  if (!removed.empty()) gmsh.remove({removed.begin(), removed.end()});
  gmsh.synchronize();

  // Step 4: name what remains.
  Model model;
  for (const Entity& body : air) {
    model.bodies.push_back(body);
    const auto found = filled.find(body);
    model.body_region.push_back(found == filled.end() ? Mesh::air : found->second);
  }
  for (const auto& [piece, partition] : sheets) {
    model.sheets.push_back(piece);
    model.sheet_partition.push_back(partition);
  }
  return model;
}

/// Elements along the smaller side of an opening: with these the transmission is accurate to 4 %.
constexpr double elements_across_opening = 12;

/// Edges with air over more than half a turn, and free rims of sheets.
std::vector<MeshSize::Edge> protruding_edges(const GmshSession& gmsh, const MeshDrawing& drawing,
                                             const Model& model, double size_m) {
  constexpr int steps = 24;
  // Air over 210 degrees and more: at smaller angles the singularity is weak.
  constexpr int max_closed = 10;
  constexpr double look_m = 0.002;
  std::set<int> sheets;
  for (const Entity& sheet : model.sheets) sheets.insert(sheet.second);
  std::vector<MeshSize::Edge> edges;
  for (const Entity& curve : gmsh.entities(1)) {
    const auto ends = gmsh.boundary(curve);
    if (ends.size() != 2) continue;
    const MeshSize::Edge edge{{gmsh.position(ends[0]), gmsh.position(ends[1])}, size_m};
    const Vector3 middle = 0.5 * (edge.end[0] + edge.end[1]),
                  along = (edge.end[1] - edge.end[0]).normalized();
    const Vector3 side = along.unitOrthogonal(), other = along.cross(side);
    int open = 0;
    for (int step = 0; step < steps; ++step) {
      const double angle = 2 * std::numbers::pi * (step + 0.37) / steps;
      open += drawing.hollow().in_air(middle + look_m * (std::cos(angle) * side + std::sin(angle) * other));
    }
    if (open == steps) {
      int rims = 0, others = 0;
      for (int surface : gmsh.bounded_by(curve)) ++(sheets.contains(surface) ? rims : others);
      if (rims == 1 && others == 0) edges.push_back(edge);
    } else if (open >= steps - max_closed) {
      edges.push_back(edge);
    }
  }
  // The transmission of an opening depends on its rims.
  for (const Sheet& sheet : drawing.sheets)
    for (const Quad& hole : sheet.holes) {
      const double least_m = std::min((hole[1] - hole[0]).norm(), (hole[2] - hole[1]).norm());
      for (std::size_t i = 0; i < 4; ++i)
        edges.push_back({{hole[i], hole[(i + 1) % 4]}, std::min(size_m, least_m / elements_across_opening)});
    }
  return edges;
}

}  // namespace

RawMesh mesh_with_gmsh(const MeshDrawing& drawing, const RawMeshOptions& options) {
  const GmshSession gmsh;
  const Model model = build_model(gmsh, drawing, options.imprint_patches);
  RawMesh mesh;
  mesh.body_region = model.body_region;
  for (const Entity& body : model.bodies) mesh.body_volume_m3.push_back(gmsh.volume_m3(body));

  const Bounds bounds = bounds_of_shell(drawing);
  const MeshSize size(options.size_m,
                      protruding_edges(gmsh, drawing, model, std::min(options.size_m, options.edge_size_m)),
                      bounds.least, bounds.most);
  gmsh.mesh([&](const Vector3& point) { return size.at(point); });

  const auto nodes = gmsh.nodes();
  std::map<std::size_t, std::size_t> index_of;
  for (std::size_t i = 0; i < nodes.number.size(); ++i) index_of.emplace(nodes.number[i], i);
  // Number the nodes of tetrahedra in the order of first use.
  std::vector<int> renumbered(nodes.number.size(), -1);
  auto node = [&](std::size_t number) {
    int& index = renumbered[index_of.at(number)];
    if (index < 0) {
      index = static_cast<int>(mesh.node.size());
      mesh.node.push_back(nodes.position[index_of.at(number)]);
    }
    return index;
  };
  for (std::size_t b = 0; b < model.bodies.size(); ++b) {
    const auto corners = gmsh.elements(model.bodies[b]);
    for (std::size_t i = 0; i + 3 < corners.size(); i += 4) {
      mesh.tetrahedron.push_back(
          {node(corners[i]), node(corners[i + 1]), node(corners[i + 2]), node(corners[i + 3])});
      mesh.body.push_back(static_cast<int>(b));
    }
  }
  for (std::size_t s = 0; s < model.sheets.size(); ++s) {
    const auto corners = gmsh.elements(model.sheets[s]);
    for (std::size_t i = 0; i + 2 < corners.size(); i += 3) {
      std::array<int, 3> triangle{};
      for (int k = 0; k < 3; ++k) triangle[k] = renumbered[index_of.at(corners[i + k])];
      // Parts outside the air have nodes without a tetrahedron.
      if (*std::min_element(triangle.begin(), triangle.end()) < 0) continue;
      mesh.sheet.push_back(triangle);
      mesh.sheet_partition.push_back(model.sheet_partition[s]);
    }
  }
  return mesh;
}

}  // namespace cabinfield
