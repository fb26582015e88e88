#include "support/cabins.h"

#include <algorithm>
#include <random>
#include <stdexcept>

namespace cabinfield::test {

CabinShape box_shape_of(const Vector3& size_m, int material) {
  return box_shape(size_m, {material, material, material, material, material, material});
}

Cabin box_cabin(const Vector3& size_m, int material) {
  std::vector<ShapeProblem> problems;
  return Cabin::build(box_shape_of(size_m, material), problems);
}

CabinShape car_shape() {
  CabinShape shape;
  shape.outline = {{{0.00, 0.00}, "footwell", 1},   {{0.00, 0.75}, "windscreen", 2},
                   {{0.75, 1.15}, "roof", 3},       {{2.00, 1.15}, "tailgate", 2},
                   {{2.45, 0.60}, "tail_panel", 1}, {{2.45, 0.00}, "floor", 1}};
  shape.sides = {{0.00, 0.68, "door", 1}, {0.65, 0.72, "side_glass", 2}, {1.15, 0.52, "", 0}};
  Block dash;
  dash.name = "dash";
  dash.corner = {{{0.0, 0.78}, "top"}, {{0.50, 0.78}, "edge"}, {{0.42, 0.40}, ""}, {{0.0, 0.40}, ""}};
  dash.range = {-0.9, 0.9};
  Block console;
  console.name = "console";
  console.corner = {{{0.40, 0.0}, ""}, {{1.20, 0.0}, ""}, {{1.20, 0.35}, "top"}, {{0.40, 0.45}, ""}};
  console.range = {-0.11, 0.11};
  Block back;
  back.name = "back_left";
  back.corner = {{{1.30, 0.25}, ""}, {{1.42, 0.25}, ""}, {{1.62, 0.85}, ""}, {{1.50, 0.85}, ""}};
  back.range = {-0.60, -0.16};
  Block other = back;
  other.name = "back_right";
  other.range = {0.16, 0.60};
  shape.blocks = {dash, console, back, other};
  return shape;
}

Cabin car_cabin() {
  std::vector<ShapeProblem> problems;
  Cabin cabin = Cabin::build(car_shape(), problems);
  if (!problems.empty()) throw std::runtime_error(problems.front().message);
  return cabin;
}

Cabin random_cabin(unsigned seed) {
  std::mt19937 random(seed);
  auto between = [&](double low, double high) {
    return std::uniform_real_distribution<double>(low, high)(random);
  };
  CabinShape shape = car_shape();
  for (OutlineCorner& corner : shape.outline) {
    // Floor and roof stay level; the rest moves.
    if (corner.point.y() > 0.01 && corner.point.y() < 1.14) corner.point.y() += between(-0.05, 0.05);
    corner.point.x() += between(-0.08, 0.08);
    corner.material = static_cast<int>(between(0, 3.99));
  }
  for (SideCorner& side : shape.sides) side.half_width += between(-0.05, 0.05);
  shape.blocks.clear();
  const int blocks = static_cast<int>(between(0, 8.99));
  for (int b = 0; b < blocks; ++b) {
    Block block;
    block.name = "block" + std::to_string(b);
    block.sweep = between(0, 1) < 0.5 ? Sweep::across : Sweep::up;
    const double x = between(-0.1, 2.3),
                 second = block.sweep == Sweep::across ? between(-0.1, 0.9) : between(-0.8, 0.6);
    const double wide = between(0.05, 0.6), tall = between(0.05, 0.5), lean = between(-0.1, 0.1);
    // Some share planes with others: centimetre steps.
    auto step = [](double value) { return std::round(value * 20) / 20; };
    block.corner = {{{step(x), step(second)}, ""},
                    {{step(x + wide) + 0.05, step(second)}, ""},
                    {{step(x + wide) + 0.05 + lean, step(second + tall) + 0.05}, ""},
                    {{step(x) + lean, step(second + tall) + 0.05}, ""}};
    if (between(0, 1) < 0.3)
      block.corner.insert(block.corner.begin() + 2, {{step(x + wide / 2), step(second + tall / 2)}, ""});
    const double from = block.sweep == Sweep::across ? between(-0.8, 0.5) : between(-0.1, 0.8);
    block.range = {step(from), step(from + between(0.05, 0.6)) + 0.05};
    block.cut = b > 2 && between(0, 1) < 0.2;
    block.material = static_cast<int>(between(0, 3.99));
    shape.blocks.push_back(block);
  }
  std::vector<ShapeProblem> problems;
  Cabin cabin = Cabin::build(shape, problems);
  if (problems.empty()) return cabin;
  return random_cabin(seed + 100003);
}

Vector3 random_air_point(const Cabin& cabin, unsigned seed, double clear_m) {
  std::mt19937 random(seed);
  std::uniform_real_distribution<double> x(0.0, 2.5), y(-0.75, 0.75), z(0.0, 1.15);
  for (int attempt = 0; attempt < 20000; ++attempt) {
    const Vector3 point(x(random), y(random), z(random));
    if (!cabin.in_air(point)) continue;
    double nearest = 1e9;
    for (const std::string& surface : cabin.surfaces())
      nearest = std::min(nearest, cabin.land(point, surface).distance_m);
    if (nearest > clear_m) return point;
  }
  throw std::runtime_error("no room in this cabin");
}

}  // namespace cabinfield::test
