#include "field/images/box_lattice.h"

#include <cmath>
#include <cstdlib>
#include <vector>

#include "field/images/departure.h"

namespace cabinfield {
namespace {

struct AxisImage {
  double position = 0;
  int met_low = 0, met_high = 0;
  bool mirrored = false;
};

/// Images along one axis of at most `order` reflections; own_end is 0 or 1 where the source is flush with
/// that wall, else -1.
std::vector<AxisImage> axis_images(double position, double length, int order, int own_end) {
  std::vector<AxisImage> images;
  for (int l = -order; l <= order; ++l)
    for (int u : {0, 1}) {
      const int low = std::abs(l - u), high = std::abs(l);
      if (low + high > order) continue;
      // Of two that coincide, only the one with fewer reflections at its own wall.
      if (own_end == 0 && (u == 0 ? l > 0 : l <= 0)) continue;
      if (own_end == 1 && (u == 0 ? l < 0 : l > 0)) continue;
      images.push_back({(1 - 2 * u) * position + 2 * l * length, low, high, u == 1});
    }
  return images;
}

}  // namespace

bool is_empty_box(const Cabin& cabin) {
  return cabin.shape().box && cabin.shape().blocks.empty() && cabin.faces().size() == 6;
}

LatticeBox lattice_box(const Cabin& cabin) {
  LatticeBox box;
  box.size = *cabin.shape().box;
  box.least = Vector3(0, -box.size.y() / 2, 0);
  for (std::size_t f = 0; f < cabin.faces().size(); ++f) {
    const Face& face = cabin.faces()[f];
    int axis = 0;
    face.normal.cwiseAbs().maxCoeff(&axis);
    const int end = face.normal[axis] > 0 ? 0 : 1;
    box.material[axis][end] = face.material;
    box.face[axis][end] = static_cast<int>(f);
  }
  return box;
}

void for_each_lattice_path(const LatticeBox& box, const Source& source, const Vector3& ear, int order,
                           const std::function<void(const Path&)>& found) {
  // Images along each axis.
  std::array<std::vector<AxisImage>, 3> images;
  int own_axis = -1, own_end = -1;
  for (int axis = 0; axis < 3; ++axis) {
    int end = -1;
    for (int e : {0, 1})
      if (source.face >= 0 && box.face[axis][e] == source.face) own_axis = axis, own_end = end = e;
    double position = source.position[axis] - box.least[axis];
    if (end >= 0) position = end == 0 ? 0 : box.size[axis];
    images[axis] = axis_images(position, box.size[axis], order, end);
  }
  // Every combination of three, up to the order, is a path.
  const Vector3 listener = ear - box.least;
  for (const AxisImage& x : images[0])
    for (const AxisImage& y : images[1]) {
      const int so_far = x.met_low + x.met_high + y.met_low + y.met_high;
      if (so_far > order) continue;
      for (const AxisImage& z : images[2]) {
        if (so_far + z.met_low + z.met_high > order) continue;
        const AxisImage* const image[3] = {&x, &y, &z};
        const Vector3 line = listener - Vector3(x.position, y.position, z.position);
        Path path;
        path.length_m = line.norm();
        Vector3 direction = line / path.length_m;
        path.arrival = -direction;
        for (int axis = 0; axis < 3; ++axis) {
          const double cosine = std::abs(direction[axis]);
          const auto [low, high] = box.material[axis];
          const int met_low = image[axis]->met_low, met_high = image[axis]->met_high;
          if (low == high) {
            if (met_low + met_high > 0) path.wall[path.walls++] = {low, cosine, met_low + met_high};
          } else {
            if (met_low > 0) path.wall[path.walls++] = {low, cosine, met_low};
            if (met_high > 0) path.wall[path.walls++] = {high, cosine, met_high};
          }
          if (axis == own_axis) {
            path.own_material = box.material[axis][own_end];
            path.own_cosine = cosine;
          }
        }
        for (int axis = 0; axis < 3; ++axis)
          if (image[axis]->mirrored) direction[axis] = -direction[axis];
        set_departure(path, source, direction);
        found(path);
      }
    }
}

}  // namespace cabinfield
