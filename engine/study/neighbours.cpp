#include "study/neighbours.h"

#include <cmath>
#include <map>

namespace cabinfield {
namespace {

/// Tolerance; points are rounded to 0.1 mm.
constexpr double off_lattice_m = 1e-3;

/// Finds points by position.
class Finder {
 public:
  Finder(const std::vector<Vector3>& points, double spacing_m) : points_(points), cell_m_(spacing_m) {
    for (std::size_t i = 0; i < points.size(); ++i) by_cell_[cell(points[i])].push_back(static_cast<int>(i));
  }
  template <typename Visit>
  void near(const Vector3& at, const Visit& visit) const {
    const std::array<long, 3> middle = cell(at);
    for (long x = -1; x <= 1; ++x)
      for (long y = -1; y <= 1; ++y)
        for (long z = -1; z <= 1; ++z) {
          const auto found = by_cell_.find({middle[0] + x, middle[1] + y, middle[2] + z});
          if (found == by_cell_.end()) continue;
          for (int i : found->second) visit(i);
        }
  }
  /// -1 if there is none.
  int at(const Vector3& location) const {
    int found = -1;
    near(location, [&](int i) {
      if ((points_[static_cast<std::size_t>(i)] - location).norm() < off_lattice_m) found = i;
    });
    return found;
  }

 private:
  std::array<long, 3> cell(const Vector3& point) const {
    return {std::lround(point.x() / cell_m_), std::lround(point.y() / cell_m_),
            std::lround(point.z() / cell_m_)};
  }
  const std::vector<Vector3>& points_;
  double cell_m_;
  std::map<std::array<long, 3>, std::vector<int>> by_cell_;
};

}  // namespace

std::vector<std::array<int, 3>> neighbour_triangles(const std::vector<Vector3>& points, double spacing_m) {
  const Finder finder(points, spacing_m);
  std::vector<std::array<int, 3>> triangles;
  for (std::size_t p = 0; p < points.size(); ++p) {
    std::vector<int> beside;
    finder.near(points[p], [&](int i) {
      if (std::abs((points[static_cast<std::size_t>(i)] - points[p]).norm() - spacing_m) < off_lattice_m)
        beside.push_back(i);
    });
    for (int a : beside)
      for (int b : beside) {
        const Vector3 along = points[static_cast<std::size_t>(a)] - points[p],
                      across = points[static_cast<std::size_t>(b)] - points[p];
        const int self = static_cast<int>(p);
        // Each square once, from the corner with the lowest number, its lower neighbour first.
        if (a >= b || a < self || std::abs(along.dot(across)) > 0.1 * spacing_m * spacing_m) continue;
        const int opposite = finder.at(points[p] + along + across);
        if (opposite < self) continue;
        triangles.push_back({self, a, opposite});
        triangles.push_back({self, opposite, b});
      }
  }
  return triangles;
}

}  // namespace cabinfield
