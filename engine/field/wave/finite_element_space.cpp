#include "field/wave/finite_element_space.h"

#include <metis.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <new>
#include <numeric>
#include <stdexcept>
#include <tuple>

#include "field/wave/tetrahedron.h"

namespace cabinfield {
namespace {

// The corners of the face opposite to each corner.
constexpr std::array<std::array<int, 3>, 4> opposite{{{1, 2, 3}, {0, 2, 3}, {0, 1, 3}, {0, 1, 2}}};

std::array<int, 3> sorted(std::array<int, 3> nodes) {
  std::sort(nodes.begin(), nodes.end());
  return nodes;
}

struct FaceOfTetrahedron {
  std::array<int, 3> node;
  int tetrahedron, local;
  bool operator<(const FaceOfTetrahedron& other) const {
    return std::tie(node, tetrahedron) < std::tie(other.node, other.tetrahedron);
  }
};

int find_root(std::vector<int>& parent, int i) {
  while (parent[i] != i) i = parent[i] = parent[parent[i]];
  return i;
}

int edge_of(int a, int b) {
  if (a > b) std::swap(a, b);
  for (int e = 0; e < 6; ++e)
    if (tetrahedron_edges[e][0] == a && tetrahedron_edges[e][1] == b) return 4 + e;
  return -1;
}

/// Barycentric coordinates of the point of a triangle nearest to `point` (Ericson, Real-Time Collision
/// Detection, section 5.1.5).
std::array<double, 3> nearest_in_triangle(const Vector3& point, const Vector3& a, const Vector3& b,
                                          const Vector3& c) {
  const Vector3 ab = b - a, ac = c - a, ap = point - a, bp = point - b, cp = point - c;
  const double d1 = ab.dot(ap), d2 = ac.dot(ap), d3 = ab.dot(bp), d4 = ac.dot(bp), d5 = ab.dot(cp),
               d6 = ac.dot(cp);
  if (d1 <= 0 && d2 <= 0) return {1, 0, 0};
  if (d3 >= 0 && d4 <= d3) return {0, 1, 0};
  if (d6 >= 0 && d5 <= d6) return {0, 0, 1};
  const double of_c = d1 * d4 - d3 * d2, of_b = d5 * d2 - d1 * d6, of_a = d3 * d6 - d5 * d4;
  if (of_c <= 0 && d1 >= 0 && d3 <= 0) return {1 - d1 / (d1 - d3), d1 / (d1 - d3), 0};
  if (of_b <= 0 && d2 >= 0 && d6 <= 0) return {1 - d2 / (d2 - d6), 0, d2 / (d2 - d6)};
  if (of_a <= 0 && d4 >= d3 && d5 >= d6) {
    const double share = (d4 - d3) / (d4 - d3 + d5 - d6);
    return {0, 1 - share, share};
  }
  const double sum = of_a + of_b + of_c;
  return {of_a / sum, of_b / sum, of_c / sum};
}

}  // namespace

FiniteElementSpace::FiniteElementSpace(Mesh mesh) : mesh_(std::move(mesh)) {
  number_degrees_of_freedom();
  sort_into_grid();
}

void FiniteElementSpace::number_degrees_of_freedom() {
  const int tetrahedra = static_cast<int>(mesh_.tetrahedron.size()),
            nodes = static_cast<int>(mesh_.node.size());
  // Step 1: neighbours. Sort the faces of all tetrahedra by their nodes: equal ones come in pairs.
  std::vector<FaceOfTetrahedron> faces;
  faces.reserve(4 * tetrahedra);
  for (int t = 0; t < tetrahedra; ++t)
    for (int i = 0; i < 4; ++i) {
      const auto& corner = mesh_.tetrahedron[t];
      faces.push_back(
          {sorted({corner[opposite[i][0]], corner[opposite[i][1]], corner[opposite[i][2]]}), t, i});
    }
  std::sort(faces.begin(), faces.end());
  neighbour_.assign(tetrahedra, {-1, -1, -1, -1});
  on_sheet_.assign(tetrahedra, {false, false, false, false});
  for (std::size_t i = 0; i + 1 < faces.size(); ++i)
    if (faces[i].node == faces[i + 1].node) {
      neighbour_[faces[i].tetrahedron][faces[i].local] = faces[i + 1].tetrahedron;
      neighbour_[faces[i + 1].tetrahedron][faces[i + 1].local] = faces[i].tetrahedron;
    }
  auto sides_of = [&](const std::array<int, 3>& nodes_of_face) {
    const FaceOfTetrahedron key{sorted(nodes_of_face), -1, 0};
    auto first = std::lower_bound(faces.begin(), faces.end(), key);
    auto last = first;
    while (last != faces.end() && last->node == key.node) ++last;
    return std::span(first, last);
  };

  // Step 2: mark the faces and nodes that lie in a sheet.
  std::vector<bool> on_sheet(nodes, false);
  for (const SheetTriangle& triangle : mesh_.sheet) {
    const auto sides = sides_of(triangle.node);
    if (sides.size() != 2) throw std::logic_error("a sheet triangle must have air on both sides");
    for (const FaceOfTetrahedron& side : sides) on_sheet_[side.tetrahedron][side.local] = true;
    sheet_sides_.push_back({sides[0].tetrahedron, sides[1].tetrahedron});
    for (int n : triangle.node) on_sheet[n] = true;
  }

  // Step 3: list which tetrahedra share each corner and each edge, sorted by corner or edge.
  struct Incidence {
    std::array<int, 2> key;  // (node, -1) or the two ends of an edge
    int tetrahedron, local;
    bool operator<(const Incidence& other) const {
      return std::tie(key, tetrahedron, local) < std::tie(other.key, other.tetrahedron, other.local);
    }
  };
  std::vector<Incidence> corners, edges;
  corners.reserve(4 * tetrahedra);
  edges.reserve(6 * tetrahedra);
  for (int t = 0; t < tetrahedra; ++t) {
    const auto& corner = mesh_.tetrahedron[t];
    for (int i = 0; i < 4; ++i) corners.push_back({{corner[i], -1}, t, i});
    for (int e = 0; e < 6; ++e) {
      const int a = corner[tetrahedron_edges[e][0]], b = corner[tetrahedron_edges[e][1]];
      edges.push_back({{std::min(a, b), std::max(a, b)}, t, 4 + e});
    }
  }
  std::sort(corners.begin(), corners.end());
  std::sort(edges.begin(), edges.end());

  // Step 4: number the degrees of freedom. A corner or edge has one. In a sheet it has one for each set of
  // tetrahedra around it that are connected without crossing the sheet: two on a sheet, one at its free rim,
  // more where sheets meet. The sets are found by union-find.
  tetrahedron_.assign(tetrahedra, {});
  std::vector<int> parent;
  auto number = [&](const std::vector<Incidence>& incidences) {
    for (std::size_t begin = 0, end = 0; begin < incidences.size(); begin = end) {
      end = begin;
      while (end < incidences.size() && incidences[end].key == incidences[begin].key) ++end;
      const auto [a, b] = incidences[begin].key;
      const Vector3 where = b < 0 ? mesh_.node[a] : Vector3(0.5 * (mesh_.node[a] + mesh_.node[b]));
      if (!on_sheet[a] || (b >= 0 && !on_sheet[b])) {
        for (std::size_t i = begin; i < end; ++i)
          tetrahedron_[incidences[i].tetrahedron][incidences[i].local] = static_cast<int>(position_.size());
        position_.push_back(where);
        continue;
      }
      const int count = static_cast<int>(end - begin);
      parent.resize(count);
      std::iota(parent.begin(), parent.end(), 0);
      for (int i = 0; i < count; ++i) {
        const int t = incidences[begin + i].tetrahedron;
        for (int f = 0; f < 4; ++f) {
          const int corner = mesh_.tetrahedron[t][f];
          // The face opposite a corner contains this corner or edge unless that corner is part of it.
          if (corner == a || corner == b || neighbour_[t][f] < 0 || on_sheet_[t][f]) continue;
          const auto other = std::lower_bound(incidences.begin() + begin, incidences.begin() + end,
                                              Incidence{incidences[begin].key, neighbour_[t][f], -1});
          const int j = static_cast<int>(other - (incidences.begin() + begin));
          if (j < count && other->tetrahedron == neighbour_[t][f])
            parent[find_root(parent, j)] = find_root(parent, i);
        }
      }
      std::map<int, int> number_of;
      for (int i = 0; i < count; ++i) {
        const auto [found, is_new] =
            number_of.try_emplace(find_root(parent, i), static_cast<int>(position_.size()));
        if (is_new) position_.push_back(where);
        tetrahedron_[incidences[begin + i].tetrahedron][incidences[begin + i].local] = found->second;
      }
    }
  };
  number(corners);
  number(edges);
  order_degrees_of_freedom();

  // Step 5: boundary and interface elements with the six degrees of freedom of each triangle.
  auto six = [&](int t, const std::array<int, 3>& triangle) {
    std::array<int, 3> local{};
    for (int i = 0; i < 3; ++i)
      local[i] =
          static_cast<int>(std::find(mesh_.tetrahedron[t].begin(), mesh_.tetrahedron[t].end(), triangle[i]) -
                           mesh_.tetrahedron[t].begin());
    const auto& all = tetrahedron_[t];
    return std::array<int, 6>{all[local[0]],
                              all[local[1]],
                              all[local[2]],
                              all[edge_of(local[0], local[1])],
                              all[edge_of(local[0], local[2])],
                              all[edge_of(local[1], local[2])]};
  };
  auto area = [&](const std::array<int, 3>& n) {
    return 0.5 * (mesh_.node[n[1]] - mesh_.node[n[0]]).cross(mesh_.node[n[2]] - mesh_.node[n[0]]).norm();
  };
  for (const BoundaryTriangle& triangle : mesh_.boundary) {
    const auto sides = sides_of(triangle.node);
    if (sides.size() != 1) throw std::logic_error("a boundary triangle must have air on one side only");
    const int t = sides[0].tetrahedron;
    boundary_.push_back({six(t, triangle.node), area(triangle.node), triangle.face, t});
  }
  for (std::size_t i = 0; i < mesh_.sheet.size(); ++i) {
    const SheetTriangle& triangle = mesh_.sheet[i];
    sheet_.push_back({six(sheet_sides_[i][0], triangle.node), six(sheet_sides_[i][1], triangle.node),
                      area(triangle.node), triangle.partition});
  }
}

void FiniteElementSpace::order_degrees_of_freedom() {
  // METIS builds the graph of degrees of freedom that share a tetrahedron and orders it by nested dissection.
  idx_t count = static_cast<idx_t>(position_.size()), elements = static_cast<idx_t>(tetrahedron_.size());
  std::vector<idx_t> start{0}, member;
  for (const auto& degree_of_freedom : tetrahedron_) {
    member.insert(member.end(), degree_of_freedom.begin(), degree_of_freedom.end());
    start.push_back(static_cast<idx_t>(member.size()));
  }
  idx_t first_number = 0, *neighbour_start = nullptr, *neighbour = nullptr;
  std::array<idx_t, METIS_NOPTIONS> options{};
  METIS_SetDefaultOptions(options.data());
  options[METIS_OPTION_SEED] = 1;
  std::vector<idx_t> order(position_.size()), number(position_.size());
  const bool ordered = METIS_MeshToNodal(&elements, &count, start.data(), member.data(), &first_number,
                                         &neighbour_start, &neighbour) == METIS_OK &&
                       METIS_NodeND(&count, neighbour_start, neighbour, nullptr, options.data(), order.data(),
                                    number.data()) == METIS_OK;
  METIS_Free(neighbour_start);
  METIS_Free(neighbour);
  if (!ordered) throw std::bad_alloc();
  std::vector<Vector3> position(position_.size());
  for (std::size_t i = 0; i < position.size(); ++i) position[number[i]] = position_[i];
  position_ = std::move(position);
  for (auto& degrees_of_freedom : tetrahedron_)
    for (int& degree_of_freedom : degrees_of_freedom)
      degree_of_freedom = static_cast<int>(number[degree_of_freedom]);
}

void FiniteElementSpace::sort_into_grid() {
  // About one box for each tetrahedron, at most 400 along an axis.
  Vector3 least = Vector3::Constant(1e30), most = -least;
  for (const Vector3& node : mesh_.node) {
    least = least.cwiseMin(node);
    most = most.cwiseMax(node);
  }
  const Vector3 extent = (most - least).cwiseMax(1e-6);
  grid_origin_ = least;
  grid_step_m_ = std::cbrt(extent.prod() / std::max(1.0, static_cast<double>(mesh_.tetrahedron.size())));
  grid_step_m_ = std::max(grid_step_m_, extent.maxCoeff() / 400);
  for (int axis = 0; axis < 3; ++axis)
    grid_count_[axis] = std::max(1, static_cast<int>(std::ceil(extent[axis] / grid_step_m_)));
  const std::size_t boxes = static_cast<std::size_t>(grid_count_[0]) * grid_count_[1] * grid_count_[2];
  auto each_box = [&](int t, const auto& visit) {
    std::array<int, 3> low{}, high{};
    for (int axis = 0; axis < 3; ++axis) {
      double from = 1e30, to = -1e30;
      for (int n : mesh_.tetrahedron[t]) {
        from = std::min(from, mesh_.node[n][axis]);
        to = std::max(to, mesh_.node[n][axis]);
      }
      low[axis] =
          std::clamp(static_cast<int>((from - grid_origin_[axis]) / grid_step_m_), 0, grid_count_[axis] - 1);
      high[axis] =
          std::clamp(static_cast<int>((to - grid_origin_[axis]) / grid_step_m_), 0, grid_count_[axis] - 1);
    }
    for (int x = low[0]; x <= high[0]; ++x)
      for (int y = low[1]; y <= high[1]; ++y)
        for (int z = low[2]; z <= high[2]; ++z)
          visit((static_cast<std::size_t>(x) * grid_count_[1] + y) * grid_count_[2] + z);
  };
  // Compressed rows: count the tetrahedra of each box, sum up, then fill in.
  grid_start_.assign(boxes + 1, 0);
  const int tetrahedra = static_cast<int>(mesh_.tetrahedron.size());
  for (int t = 0; t < tetrahedra; ++t) each_box(t, [&](std::size_t box) { ++grid_start_[box + 1]; });
  std::partial_sum(grid_start_.begin(), grid_start_.end(), grid_start_.begin());
  grid_tetrahedron_.resize(grid_start_.back());
  std::vector<int> next(grid_start_.begin(), grid_start_.end() - 1);
  for (int t = 0; t < tetrahedra; ++t)
    each_box(t, [&](std::size_t box) { grid_tetrahedron_[next[box]++] = t; });
}

std::array<double, 4> FiniteElementSpace::barycentric(int t, const Vector3& point) const {
  const auto& n = mesh_.tetrahedron[t];
  const Vector3 a = mesh_.node[n[1]] - mesh_.node[n[0]], b = mesh_.node[n[2]] - mesh_.node[n[0]],
                c = mesh_.node[n[3]] - mesh_.node[n[0]], p = point - mesh_.node[n[0]];
  const double volume = a.cross(b).dot(c);
  const double l1 = p.cross(b).dot(c) / volume, l2 = a.cross(p).dot(c) / volume,
               l3 = a.cross(b).dot(p) / volume;
  return {1 - l1 - l2 - l3, l1, l2, l3};
}

PointValue FiniteElementSpace::at(const Vector3& point, const Vector3& toward) const {
  // The side of a point on a face is decided by a step of a hundredth of a millimetre towards it.
  const Vector3 probe = point + 1e-5 * toward;
  // Through rounding a point on a face may lie outside every tetrahedron, by this part of the height.
  constexpr double rounding = 1e-7;
  std::array<int, 3> box{};
  for (int axis = 0; axis < 3; ++axis)
    box[axis] = std::clamp(static_cast<int>(std::floor((probe[axis] - grid_origin_[axis]) / grid_step_m_)), 0,
                           grid_count_[axis] - 1);
  const std::size_t index =
      (static_cast<std::size_t>(box[0]) * grid_count_[1] + box[1]) * grid_count_[2] + box[2];
  int best = -1;
  double best_least = -rounding;
  for (int i = grid_start_[index]; i < grid_start_[index + 1]; ++i) {
    const auto inside = barycentric(grid_tetrahedron_[i], probe);
    const double least = *std::min_element(inside.begin(), inside.end());
    if (least > best_least) best = grid_tetrahedron_[i], best_least = least;
  }

  PointValue value;
  std::array<double, 4> weight{};
  if (best >= 0) {
    weight = barycentric(best, point);
    double sum = 0;
    for (double& w : weight) sum += w = std::max(w, 0.0);
    for (double& w : weight) w /= sum;
  } else {
    std::tie(best, weight) = nearest_on_boundary(probe);
    Vector3 nearest = Vector3::Zero();
    for (int i = 0; i < 4; ++i) nearest += weight[i] * mesh_.node[mesh_.tetrahedron[best][i]];
    value.outside_m = (nearest - probe).norm();
  }
  value.degree_of_freedom = tetrahedron_[best];
  value.tetrahedron = best;
  for (int i = 0; i < 4; ++i) value.weight[i] = weight[i] * (2 * weight[i] - 1);
  for (int e = 0; e < 6; ++e)
    value.weight[4 + e] = 4 * weight[tetrahedron_edges[e][0]] * weight[tetrahedron_edges[e][1]];
  return value;
}

std::pair<int, std::array<double, 4>> FiniteElementSpace::nearest_on_boundary(const Vector3& point) const {
  int best = -1;
  double least = std::numeric_limits<double>::infinity();
  std::array<double, 4> weight{};
  for (std::size_t b = 0; b < boundary_.size(); ++b) {
    const std::array<int, 3>& node = mesh_.boundary[b].node;
    const Vector3 &one = mesh_.node[node[0]], &two = mesh_.node[node[1]], &three = mesh_.node[node[2]];
    const std::array<double, 3> share = nearest_in_triangle(point, one, two, three);
    const double squared = (share[0] * one + share[1] * two + share[2] * three - point).squaredNorm();
    if (squared >= least) continue;
    least = squared;
    best = boundary_[b].tetrahedron;
    weight.fill(0);
    for (int i = 0; i < 3; ++i) {
      const auto& corner = mesh_.tetrahedron[best];
      weight[std::find(corner.begin(), corner.end(), node[i]) - corner.begin()] = share[i];
    }
  }
  return {best, weight};
}

PressureGradient FiniteElementSpace::gradient_at_centre(int t) const {
  const auto& [a, b, c, d] = mesh_.tetrahedron[t];
  const auto [of, volume_m3] =
      barycentric_gradients(mesh_.node[a], mesh_.node[b], mesh_.node[c], mesh_.node[d]);
  // At the centroid L = 1/4: a corner function L (2 L - 1) has the gradient (4 L - 1) grad L = 0, an edge
  // function 4 L_i L_j has 4 L (grad L_i + grad L_j).
  PressureGradient gradient;
  gradient.volume_m3 = volume_m3;
  for (int i = 0; i < 4; ++i) gradient.weight[i] = Vector3::Zero();
  for (int e = 0; e < 6; ++e)
    gradient.weight[4 + e] = of[tetrahedron_edges[e][0]] + of[tetrahedron_edges[e][1]];
  return gradient;
}

std::vector<int> FiniteElementSpace::components(const std::vector<bool>& passes) const {
  const int tetrahedra = static_cast<int>(tetrahedron_.size());
  std::vector<int> parent(tetrahedra);
  std::iota(parent.begin(), parent.end(), 0);
  for (int t = 0; t < tetrahedra; ++t)
    for (int f = 0; f < 4; ++f)
      if (neighbour_[t][f] >= 0 && !on_sheet_[t][f])
        parent[find_root(parent, neighbour_[t][f])] = find_root(parent, t);
  for (std::size_t i = 0; i < sheet_.size(); ++i)
    if (!passes.empty() && passes[sheet_[i].partition])
      parent[find_root(parent, sheet_sides_[i][0])] = find_root(parent, sheet_sides_[i][1]);
  std::map<int, int> number;
  std::vector<int> piece(tetrahedra);
  for (int t = 0; t < tetrahedra; ++t)
    piece[t] = number.try_emplace(find_root(parent, t), static_cast<int>(number.size())).first->second;
  return piece;
}

}  // namespace cabinfield
