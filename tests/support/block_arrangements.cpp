#include "support/block_arrangements.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <random>
#include <vector>

#include "geometry/polygon.h"
#include "support/cabins.h"

namespace cabinfield::test {
namespace {

double half_width_at(const std::vector<SideCorner>& sides, double z) {
  if (z <= sides.front().z) return sides.front().half_width;
  for (std::size_t i = 0; i + 1 < sides.size(); ++i)
    if (z <= sides[i + 1].z)
      return sides[i].half_width + (sides[i + 1].half_width - sides[i].half_width) * (z - sides[i].z) /
                                       (sides[i + 1].z - sides[i].z);
  return sides.back().half_width;
}

Polygon2 polygon_of(const Block& block) {
  Polygon2 polygon;
  for (const BlockCorner& corner : block.corner) polygon.push_back(corner.point);
  return polygon;
}

/// Middles and widths of cells no wider than `step` between the coordinates.
std::vector<std::array<double, 2>> cells_between(std::vector<double> at, double low, double high,
                                                 double step) {
  std::erase_if(at, [&](double value) { return value <= low || value >= high; });
  at.push_back(low);
  at.push_back(high);
  std::sort(at.begin(), at.end());
  std::vector<std::array<double, 2>> cells;
  for (std::size_t i = 0; i + 1 < at.size(); ++i) {
    const double width = at[i + 1] - at[i];
    const int parts = static_cast<int>(std::ceil(width / step));
    for (int k = 0; k < parts; ++k) cells.push_back({at[i] + (k + 0.5) * width / parts, width / parts});
  }
  return cells;
}

/// Where the column at (x, z) runs through the block, as y pairs.
void add_runs(const Block& block, double x, double z, std::vector<std::array<double, 2>>& runs) {
  const Polygon2 polygon = polygon_of(block);
  if (block.sweep == Sweep::across) {
    if (contains(polygon, {x, z})) runs.push_back({block.range[0], block.range[1]});
    return;
  }
  if (z < block.range[0] || z > block.range[1]) return;
  std::vector<double> at;
  for (std::size_t i = 0; i < polygon.size(); ++i) {
    const Vector2 &p = polygon[i], &q = polygon[(i + 1) % polygon.size()];
    if ((p.x() < x) != (q.x() < x)) at.push_back(p.y() + (q.y() - p.y()) * (x - p.x()) / (q.x() - p.x()));
  }
  std::sort(at.begin(), at.end());
  for (std::size_t i = 0; i + 1 < at.size(); i += 2) runs.push_back({at[i], at[i + 1]});
}

bool in_any(const std::vector<std::array<double, 2>>& runs, double y) {
  return std::any_of(runs.begin(), runs.end(), [&](const auto& run) { return y > run[0] && y < run[1]; });
}

}  // namespace

CabinShape random_arrangement(unsigned seed) {
  std::mt19937 random(seed);
  auto between = [&](double low, double high) {
    return std::uniform_real_distribution<double>(low, high)(random);
  };
  auto chance = [&](double probability) { return between(0, 1) < probability; };
  auto centimetres = [](double value) { return std::round(value * 100) / 100; };
  CabinShape shape = car_shape();
  shape.blocks.clear();
  // Coordinates that faces have already, by axis: floor, walls, roof first.
  std::array<std::vector<double>, 3> taken{{{0.0, 2.45}, {-0.68, 0.68}, {0.0, 1.15}}};
  const int blocks = static_cast<int>(between(3, 8.99));
  for (int b = 0; b < blocks; ++b) {
    std::array<std::array<double, 2>, 3> extent;
    const double least[3] = {-0.1, -0.8, -0.1}, most[3] = {2.2, 0.6, 0.9};
    for (int axis = 0; axis < 3; ++axis) {
      const double from = centimetres(between(least[axis], most[axis]));
      extent[axis] = {from, from + centimetres(between(0.06, 0.6))};
    }
    for (int axis = 0; axis < 3; ++axis)
      for (int end : {0, 1}) {
        if (!chance(0.3)) continue;
        const auto& choice = taken[axis];
        const double face =
            choice[static_cast<std::size_t>(between(0, 0.999) * static_cast<double>(choice.size()))];
        const double apart = chance(0.25) ? 0 : std::pow(10, between(-5, -3)) * (chance(0.5) ? 1 : -1);
        const double length = extent[axis][1] - extent[axis][0];
        extent[axis][end] = face + apart;
        extent[axis][1 - end] = extent[axis][end] + (end == 0 ? length : -length);
      }
    for (int axis = 0; axis < 3; ++axis)
      taken[axis].insert(taken[axis].end(), extent[axis].begin(), extent[axis].end());
    Block block;
    block.name = "block" + std::to_string(b);
    block.sweep = chance(0.5) ? Sweep::across : Sweep::up;
    const auto &x = extent[0], &second = block.sweep == Sweep::across ? extent[2] : extent[1];
    block.range = block.sweep == Sweep::across ? extent[1] : extent[2];
    const double lean = chance(0.3) ? centimetres(between(-0.15, 0.15)) : 0;
    block.corner = {{{x[0], second[0]}, ""},
                    {{x[1], second[0]}, ""},
                    {{x[1] + lean, second[1]}, ""},
                    {{x[0] + lean, second[1]}, ""}};
    block.cut = b > 2 && chance(0.2);
    shape.blocks.push_back(block);
  }
  return shape;
}

double hollow_volume_m3(const CabinShape& shape) {
  Polygon2 outline;
  std::vector<double> xs, zs;
  for (const OutlineCorner& corner : shape.outline) {
    outline.push_back(corner.point);
    xs.push_back(corner.point.x());
    zs.push_back(corner.point.y());
  }
  const auto [x0, x1] = std::minmax_element(xs.begin(), xs.end());
  const auto [z0, z1] = std::minmax_element(zs.begin(), zs.end());
  const double low_x = *x0, high_x = *x1, low_z = *z0, high_z = *z1;
  for (const SideCorner& side : shape.sides) zs.push_back(side.z);
  for (const Block& block : shape.blocks) {
    for (const BlockCorner& corner : block.corner) {
      xs.push_back(corner.point.x());
      if (block.sweep == Sweep::across) zs.push_back(corner.point.y());
    }
    if (block.sweep == Sweep::up) zs.insert(zs.end(), block.range.begin(), block.range.end());
  }
  constexpr double step_m = 0.005;
  const auto along = cells_between(xs, low_x, high_x, step_m), up = cells_between(zs, low_z, high_z, step_m);
  double volume = 0;
  std::vector<std::array<double, 2>> solids, cuts;
  for (const auto& [x, dx] : along)
    for (const auto& [z, dz] : up) {
      if (!contains(outline, {x, z})) continue;
      solids.clear(), cuts.clear();
      for (const Block& block : shape.blocks)
        if (block.filling < 0 && block.partition < 0) add_runs(block, x, z, block.cut ? cuts : solids);
      const double wide = half_width_at(shape.sides, z);
      std::vector<double> at{-wide, wide};
      for (const auto* runs : {&solids, &cuts})
        for (const auto& run : *runs)
          for (double y : run)
            if (std::abs(y) < wide) at.push_back(y);
      std::sort(at.begin(), at.end());
      for (std::size_t i = 0; i + 1 < at.size(); ++i) {
        const double middle = 0.5 * (at[i] + at[i + 1]);
        if (in_any(cuts, middle) || !in_any(solids, middle)) volume += (at[i + 1] - at[i]) * dx * dz;
      }
    }
  return volume;
}

double block_area_m2(const CabinShape& shape) {
  double area = 0;
  for (const Block& block : shape.blocks) {
    const Polygon2 polygon = polygon_of(block);
    area += 2 * std::abs(signed_area(polygon));
    for (std::size_t i = 0; i < polygon.size(); ++i)
      area += (polygon[(i + 1) % polygon.size()] - polygon[i]).norm() * (block.range[1] - block.range[0]);
  }
  return area;
}

}  // namespace cabinfield::test
