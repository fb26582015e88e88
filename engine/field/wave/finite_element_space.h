// Continuous piecewise quadratic pressures on a mesh: which unknown belongs to which corner and edge, the two
// sides of a sheet kept apart, and where in the mesh a point lies.
//
// Ten shape functions a tetrahedron, in barycentric coordinates L: corners L_i (2 L_i - 1), i = 0..3, then
// edges 4 L_i L_j of the pairs 01 02 03 12 13 23 (Zienkiewicz & Taylor, The Finite Element Method, vol. 1).
//
// Unknowns are numbered in the order in which a sparse factorisation should take them (nested dissection,
// METIS), so that every solver can take them as they are and gives the same bits every time.
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

/// A linear functional "the pressure here": ten unknowns and their weights.
struct PointValue {
  std::array<int, 10> degree_of_freedom{};
  std::array<double, 10> weight{};
  int tetrahedron = -1;
  double outside_m =
      0;  ///< how far the point was beyond the mesh; it is then that of the nearest point within
};

/// The pressure's gradient at the middle of a tetrahedron: a weight for each of its ten unknowns.
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
    std::array<int, 6> front{}, back{};  ///< the same points seen from either side
    double area_m2 = 0;
    int partition = -1;
  };

  explicit FiniteElementSpace(Mesh mesh);

  const Mesh& mesh() const { return mesh_; }
  int degrees_of_freedom() const { return static_cast<int>(position_.size()); }
  const std::vector<std::array<int, 10>>& tetrahedra() const { return tetrahedron_; }
  const std::vector<BoundaryElement>& boundary() const { return boundary_; }
  const std::vector<InterfaceElement>& sheets() const { return sheet_; }
  const std::vector<Vector3>& position() const { return position_; }  ///< of each unknown, m

  /// Where a point lies; of a point on a sheet or a wall, `toward` (a unit vector or zero) says on which
  /// side.
  PointValue at(const Vector3& point, const Vector3& toward = Vector3::Zero()) const;

  PressureGradient gradient_at_centre(int tetrahedron) const;

  /// Number of the connected piece of each tetrahedron: pieces are joined through faces and through sheets
  /// that `passes` (by partition index; none where empty).
  std::vector<int> pieces(const std::vector<bool>& passes) const;

 private:
  void number_degrees_of_freedom();
  void order_degrees_of_freedom();
  void sort_into_grid();
  std::array<double, 4> barycentric(int tetrahedron, const Vector3& point) const;
  /// The tetrahedron and the barycentric coordinates of the point of the boundary nearest to one outside.
  std::pair<int, std::array<double, 4>> nearest_on_boundary(const Vector3& point) const;

  Mesh mesh_;
  std::vector<std::array<int, 10>> tetrahedron_;
  std::vector<std::array<int, 4>> neighbour_;  // across the face opposite to each corner, -1 at the boundary
  std::vector<std::array<bool, 4>> sheeted_;   // a sheet lies in that face
  std::vector<BoundaryElement> boundary_;
  std::vector<InterfaceElement> sheet_;
  std::vector<std::array<int, 2>> sheet_sides_;  // tetrahedra on both sides of each sheet triangle
  std::vector<Vector3> position_;
  // A grid of boxes, each with the tetrahedra that touch it.
  Vector3 grid_origin_ = Vector3::Zero();
  double grid_step_m_ = 1;
  std::array<int, 3> grid_count_{1, 1, 1};
  std::vector<int> grid_start_, grid_tetrahedron_;
};

}  // namespace cabinfield
