// Finite-element space of continuous second-order (P2) Lagrange pressures on a mesh: the degree of freedom of
// each corner and edge midpoint, separate ones on the two sides of a sheet, and the evaluation at a point.
//
// Ten shape functions a tetrahedron, in barycentric coordinates L: corners L_i (2 L_i - 1), i = 0..3, then
// edges 4 L_i L_j of the pairs 01 02 03 12 13 23 (Zienkiewicz & Taylor, The Finite Element Method, vol. 1).
//
// Degrees of freedom are numbered by nested dissection (METIS), the elimination order of every sparse
// factorisation, so that all solvers use the order as it is and give the same bits every time.
#pragma once

#include <array>
#include <span>
#include <utility>
#include <vector>

#include "base/vector.h"
#include "field/wave/mesh.h"

namespace cabinfield {

inline constexpr std::array<std::array<int, 2>, 6> tetrahedron_edges{
    {{0, 1}, {0, 2}, {0, 3}, {1, 2}, {1, 3}, {2, 3}}};

/// Interpolation at a point, a linear functional: ten degrees of freedom and their weights.
struct PointValue {
  std::array<int, 10> degree_of_freedom{};
  std::array<double, 10> weight{};
  int tetrahedron = -1;
  double outside_m =
      0;  ///< distance of the point from the mesh; the value is that of the nearest point in it
};

/// Pressure gradient at the centroid of a tetrahedron: a weight for each of its ten degrees of freedom.
struct PressureGradient {
  std::array<Vector3, 10> weight{};
  double volume_m3 = 0;
};

class FiniteElementSpace {
 public:
  struct BoundaryElement {
    std::array<int, 6> degree_of_freedom{};  ///< corners, then edges 01 02 12
    double area_m2 = 0;
    int face = -1;
    int tetrahedron = -1;
  };
  struct InterfaceElement {
    std::array<int, 6> front{}, back{};  ///< the same nodes on either side
    double area_m2 = 0;
    int partition = -1;
  };

  explicit FiniteElementSpace(Mesh mesh);

  const Mesh& mesh() const { return mesh_; }
  int degrees_of_freedom() const { return static_cast<int>(position_.size()); }
  const std::vector<std::array<int, 10>>& tetrahedra() const { return tetrahedron_; }
  const std::vector<BoundaryElement>& boundary() const { return boundary_; }
  const std::vector<InterfaceElement>& sheets() const { return sheet_; }
  const std::vector<Vector3>& position() const { return position_; }  ///< of each degree of freedom, m

  /// Interpolation at a point. For a point on a sheet or a wall, `toward` (a unit vector or zero) points to
  /// the side that is meant.
  PointValue at(const Vector3& point, const Vector3& toward = Vector3::Zero()) const;

  PressureGradient gradient_at_centre(int tetrahedron) const;

  /// Number of the connected component of each tetrahedron: tetrahedra are connected through faces, and
  /// through the sheets of partitions that transmit (`passes` by partition index; none where empty).
  std::vector<int> components(const std::vector<bool>& passes) const;

 private:
  void number_degrees_of_freedom();
  void order_degrees_of_freedom();
  void sort_into_grid();
  std::array<double, 4> barycentric(int tetrahedron, const Vector3& point) const;
  /// Tetrahedron and barycentric coordinates of the boundary point nearest to a point outside.
  std::pair<int, std::array<double, 4>> nearest_on_boundary(const Vector3& point) const;

  Mesh mesh_;
  std::vector<std::array<int, 10>> tetrahedron_;
  std::vector<std::array<int, 4>> neighbour_;  // across the face opposite to each corner, -1 at the boundary
  std::vector<std::array<bool, 4>> on_sheet_;  // whether that face lies in a sheet
  std::vector<BoundaryElement> boundary_;
  std::vector<InterfaceElement> sheet_;
  std::vector<std::array<int, 2>> sheet_sides_;  // tetrahedra on both sides of each sheet triangle
  std::vector<Vector3> position_;
  // A regular grid of boxes for the search of points, each with the tetrahedra that touch it.
  Vector3 grid_origin_ = Vector3::Zero();
  double grid_step_m_ = 1;
  std::array<int, 3> grid_count_{1, 1, 1};
  std::vector<int> grid_start_, grid_tetrahedron_;
};

}  // namespace cabinfield
