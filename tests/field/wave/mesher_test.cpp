#include "field/wave/mesher.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <memory>
#include <set>

#include "field/wave/mesh_check.h"
#include "field/wave/mesh_drawing.h"
#include "support/cabins.h"

namespace cabinfield::test {
namespace {

// Areas and volumes below are worked out by hand from the measures. 1e-9: what is left of them after sums of
// some hundred pieces whose corners the mesher's kernel keeps to 1e-10 m or better.
constexpr double exact = 1e-9;

MeshOptions coarse() {
  MeshOptions options;
  options.size_m = 0.4;
  options.edge_size_m = 0.25;
  return options;
}

Cabin built(const CabinShape& shape) {
  std::vector<ShapeProblem> problems;
  Cabin cabin = Cabin::build(shape, problems);
  for (const ShapeProblem& problem : problems) ADD_FAILURE() << problem.message;
  return cabin;
}

Block upright(const std::string& name, const Vector3& least, const Vector3& most) {
  Block block;
  block.name = name;
  block.corner = {{{least.x(), least.z()}, ""},
                  {{most.x(), least.z()}, ""},
                  {{most.x(), most.z()}, ""},
                  {{least.x(), most.z()}, ""}};
  block.range = {least.y(), most.y()};
  return block;
}

/// 2 m long, 1.2 m wide, 1 m high: y from -0.6 to 0.6.
CabinShape room() { return box_shape_of({2.0, 1.2, 1.0}); }

double area_of(const Mesh& mesh, const std::array<int, 3>& node) {
  const Vector3& a = mesh.node[node[0]];
  return 0.5 * (mesh.node[node[1]] - a).cross(mesh.node[node[2]] - a).norm();
}

std::map<std::string, double> areas(const Mesh& mesh, const Cabin& cabin) {
  std::map<std::string, double> area;
  for (const BoundaryTriangle& triangle : mesh.boundary)
    area[cabin.surfaces()[cabin.faces()[triangle.face].surface]] += area_of(mesh, triangle.node);
  return area;
}

double volume_of_region(const Mesh& mesh, int region) {
  Mesh part;
  part.node = mesh.node;
  for (std::size_t t = 0; t < mesh.tetrahedron.size(); ++t)
    if (mesh.region[t] == region) part.tetrahedron.push_back(mesh.tetrahedron[t]);
  return part.volume_m3();
}

double sheet_area(const Mesh& mesh) {
  double area = 0;
  for (const SheetTriangle& triangle : mesh.sheet) area += area_of(mesh, triangle.node);
  return area;
}

std::array<int, 3> sorted(std::array<int, 3> node) {
  std::sort(node.begin(), node.end());
  return node;
}

/// Every triangle between two tetrahedra or on the boundary, the boundary each once, looking into the air,
/// on its face; every sheet triangle between two tetrahedra.
void expect_fits(const Mesh& mesh, const Cabin& cabin, double moved_m = 0) {
  std::map<std::array<int, 3>, int> uses;
  std::map<std::array<int, 3>, Vector3> middle;
  for (const auto& corner : mesh.tetrahedron) {
    const Vector3& a = mesh.node[corner[0]];
    EXPECT_GT((mesh.node[corner[1]] - a).cross(mesh.node[corner[2]] - a).dot(mesh.node[corner[3]] - a), 0);
    for (int opposite = 0; opposite < 4; ++opposite) {
      std::array<int, 3> face{};
      for (int i = 0, next = 0; i < 4; ++i)
        if (i != opposite) face[next++] = corner[i];
      ++uses[sorted(face)];
      middle[sorted(face)] = mesh.node[corner[opposite]];
    }
  }
  ASSERT_EQ(mesh.region.size(), mesh.tetrahedron.size());
  std::set<std::array<int, 3>> boundary;
  double volume = 0;
  for (const BoundaryTriangle& triangle : mesh.boundary) {
    EXPECT_TRUE(boundary.insert(sorted(triangle.node)).second);
    EXPECT_EQ(uses[sorted(triangle.node)], 1);
    const Vector3 &a = mesh.node[triangle.node[0]], &b = mesh.node[triangle.node[1]],
                  &c = mesh.node[triangle.node[2]];
    const Vector3 normal = (b - a).cross(c - a).normalized();
    EXPECT_GT(normal.dot(middle[sorted(triangle.node)] - a), 0) << "looks out of the air";
    ASSERT_GE(triangle.face, 0);
    const Face& face = cabin.faces()[triangle.face];
    if (moved_m == 0) {
      EXPECT_GT(normal.dot(face.normal), 1 - 1e-6);
    }
    for (int node : triangle.node) EXPECT_LT(std::abs(face.height_over(mesh.node[node])), moved_m + 1e-7);
    volume -= a.dot((b - a).cross(c - a)) / 6;
  }
  // The divergence theorem: the boundary is closed.
  EXPECT_NEAR(volume, mesh.volume_m3(), exact * 10);
  for (const auto& [face, count] : uses) {
    EXPECT_LE(count, 2);
    EXPECT_EQ(count == 1, boundary.contains(face));
  }
  for (const SheetTriangle& triangle : mesh.sheet) EXPECT_EQ(uses[sorted(triangle.node)], 2);
}

TEST(Mesher, FillsABox) {
  const Cabin cabin = built(room());
  const Mesh mesh = mesh_cabin(cabin, coarse());
  expect_fits(mesh, cabin);
  EXPECT_NEAR(mesh.volume_m3(), 2.4, exact);
  auto area = areas(mesh, cabin);
  EXPECT_EQ(area.size(), 6u);
  EXPECT_NEAR(area["front"], 1.2, exact);
  EXPECT_NEAR(area["rear"], 1.2, exact);
  EXPECT_NEAR(area["left"], 2.0, exact);
  EXPECT_NEAR(area["right"], 2.0, exact);
  EXPECT_NEAR(area["floor"], 2.4, exact);
  EXPECT_NEAR(area["roof"], 2.4, exact);
  EXPECT_TRUE(mesh.notes.empty());
  for (int region : mesh.region) EXPECT_EQ(region, Mesh::air);
}

TEST(Mesher, ExcludesABlockThatExtendsOutside) {
  CabinShape shape = room();
  // 0.4 m deep into the room from the front, 0.8 wide, 0.5 high, standing on the floor; the rest is outside.
  shape.blocks = {upright("chest", {-0.3, -0.4, -0.2}, {0.4, 0.4, 0.5})};
  const Cabin cabin = built(shape);
  const Mesh mesh = mesh_cabin(cabin, coarse());
  expect_fits(mesh, cabin);
  EXPECT_NEAR(mesh.volume_m3(), 2.4 - 0.4 * 0.8 * 0.5, exact);
  auto area = areas(mesh, cabin);
  EXPECT_NEAR(area["floor"], 2.4 - 0.4 * 0.8, exact);
  EXPECT_NEAR(area["front"], 1.2 - 0.8 * 0.5, exact);
  EXPECT_NEAR(area["chest.top"], 0.4 * 0.8, exact);
  EXPECT_NEAR(area["chest.rear"], 0.8 * 0.5, exact);
  EXPECT_NEAR(area["chest.left"], 0.4 * 0.5, exact);
  EXPECT_EQ(area.count("chest.front"), 0u);
  EXPECT_EQ(area.count("chest.bottom"), 0u);
}

TEST(Mesher, ExcludesAFloatingBlock) {
  CabinShape shape = room();
  shape.blocks = {upright("lamp", {0.8, -0.2, 0.4}, {1.1, 0.3, 0.6})};
  const Cabin cabin = built(shape);
  const Mesh mesh = mesh_cabin(cabin, coarse());
  expect_fits(mesh, cabin);
  EXPECT_NEAR(mesh.volume_m3(), 2.4 - 0.3 * 0.5 * 0.2, exact);
  auto area = areas(mesh, cabin);
  EXPECT_NEAR(area["lamp.top"], 0.3 * 0.5, exact);
  EXPECT_NEAR(area["lamp.bottom"], 0.3 * 0.5, exact);
}

TEST(Mesher, MeshesAnInnerCorner) {
  CabinShape shape;  // an L on its side, 1 m wide
  shape.outline = {{{0, 0}, "floor", 0},  {{2, 0}, "tail", 0}, {{2, 0.5}, "shelf", 0},
                   {{1, 0.5}, "back", 0}, {{1, 1}, "roof", 0}, {{0, 1}, "front", 0}};
  shape.sides = {{0, 0.5, "side", 0}, {1, 0.5, "", 0}};
  const Cabin cabin = built(shape);
  const Mesh mesh = mesh_cabin(cabin, coarse());
  expect_fits(mesh, cabin);
  EXPECT_NEAR(mesh.volume_m3(), 1.5, exact);
  EXPECT_NEAR(areas(mesh, cabin)["side_left"], 1.5, exact);
  EXPECT_NEAR(areas(mesh, cabin)["shelf"], 1.0, exact);
}

TEST(Mesher, MeshesSlantedSides) {
  CabinShape shape;  // 2 m long; half width 0.7 at the floor, 0.8 at 0.4 m, 0.5 at the roof, 1 m up
  shape.outline = {{{0, 0}, "floor", 0}, {{2, 0}, "tail", 0}, {{2, 1}, "roof", 0}, {{0, 1}, "front", 0}};
  shape.sides = {{0, 0.7, "door", 0}, {0.4, 0.8, "glass", 0}, {1, 0.5, "", 0}};
  const Cabin cabin = built(shape);
  const Mesh mesh = mesh_cabin(cabin, coarse());
  expect_fits(mesh, cabin);
  EXPECT_NEAR(mesh.volume_m3(), 2 * (0.4 * 1.5 + 0.6 * 1.3), exact);
  auto area = areas(mesh, cabin);
  EXPECT_NEAR(area["door_left"], 2 * std::hypot(0.4, 0.1), exact);
  EXPECT_NEAR(area["glass_right"], 2 * std::hypot(0.6, 0.3), exact);
  EXPECT_NEAR(area["roof"], 2.0, exact);
}

TEST(Mesher, MeshesARoofThatEndsInAnEdge) {
  CabinShape shape;  // a tent
  shape.outline = {{{0, 0}, "floor", 0}, {{2, 0}, "tail", 0}, {{2, 1}, "ridge", 0}, {{0, 1}, "front", 0}};
  shape.sides = {{0, 0.5, "cloth", 0}, {1, 0, "", 0}};
  const Cabin cabin = built(shape);
  const Mesh mesh = mesh_cabin(cabin, coarse());
  expect_fits(mesh, cabin);
  EXPECT_NEAR(mesh.volume_m3(), 1.0, exact);
}

TEST(Mesher, ACutIsAirInSolidsAndFillings) {
  CabinShape shape = room();
  Block cut = upright("hollow", {0.2, -0.2, 0.1}, {0.9, 0.2, 0.7});
  cut.cut = true;
  Block seat = upright("seat", {0.5, -0.6, 0.0}, {1.0, 0.6, 0.3});
  seat.filling = 0;
  // The chest is drawn after the cut and yet cut: cuts come after all.
  shape.blocks = {cut, upright("chest", {0.0, -0.4, 0.0}, {0.5, 0.4, 0.5}), seat};
  const Cabin cabin = built(shape);
  const Mesh mesh = mesh_cabin(cabin, coarse());
  expect_fits(mesh, cabin);
  const double chest = 0.5 * 0.8 * 0.5 - 0.3 * 0.4 * 0.4, filled = 0.5 * 1.2 * 0.3 - 0.4 * 0.4 * 0.2;
  EXPECT_NEAR(mesh.volume_m3(), 2.4 - chest, exact);
  EXPECT_NEAR(volume_of_region(mesh, 2), filled, exact);
  EXPECT_NEAR(areas(mesh, cabin)["hollow.bottom"], 0.3 * 0.4, exact);
}

TEST(Mesher, SolidsAndEarlierFillingsReplaceFillings) {
  CabinShape shape = room();
  Block first = upright("first", {0.4, -0.3, 0.0}, {1.0, 0.3, 0.4}), second = first;
  first.filling = 0;
  second = upright("second", {0.8, -0.3, -0.1}, {1.4, 0.3, 0.4});
  second.filling = 1;
  shape.blocks = {second, first, upright("frame", {0.9, -0.1, 0.0}, {1.2, 0.1, 0.2})};
  const Cabin cabin = built(shape);
  const Mesh mesh = mesh_cabin(cabin, coarse());
  expect_fits(mesh, cabin);
  EXPECT_NEAR(mesh.volume_m3(), 2.4 - 0.3 * 0.2 * 0.2, exact);
  EXPECT_NEAR(volume_of_region(mesh, 0), 0.6 * 0.6 * 0.4 - 0.3 * 0.2 * 0.2, exact);
  EXPECT_NEAR(volume_of_region(mesh, 1), 0.4 * 0.6 * 0.4, exact);
  auto area = areas(mesh, cabin);
  // Behind a filling the wall is the wall: its faces bound nothing.
  EXPECT_NEAR(area["floor"], 2.4 - 0.3 * 0.2, exact);
  for (const auto& [name, size] : area)
    EXPECT_FALSE(name.starts_with("first") || name.starts_with("second")) << name;
}

Partition upright_sheet(double x, double from_z, double to_z, double from_y, double to_y) {
  Partition partition;
  partition.name = "sheet";
  partition.line = {Vector2(x, from_z), Vector2(x, to_z)};
  partition.range = {from_y, to_y};
  return partition;
}

TEST(Mesher, MeshesASheetWithOpenings) {
  CabinShape shape = room();
  Partition partition =
      upright_sheet(1.0, -0.1, 0.8, -0.6, 0.4);  // reaches through the floor, free rims above
  partition.openings = {{"hatch", {1.0, -0.2, 0.4}, 0.4, 0.3, true},
                        {"flap", {1.0, 0.3, 0.4}, 0.1, 0.1, false}};
  shape.partitions = {partition};
  const Cabin cabin = built(shape);
  const Mesh mesh = mesh_cabin(cabin, coarse());
  expect_fits(mesh, cabin);
  EXPECT_NEAR(mesh.volume_m3(), 2.4, exact);
  EXPECT_NEAR(sheet_area(mesh), 0.8 * 1.0 - 0.4 * 0.3, exact);
  for (const SheetTriangle& triangle : mesh.sheet) {
    EXPECT_EQ(triangle.partition, 0);
    for (int node : triangle.node) EXPECT_NEAR(mesh.node[node].x(), 1.0, exact);
  }
  EXPECT_NEAR(areas(mesh, cabin)["floor"], 2.4, exact);
}

TEST(Mesher, SheetEndsAtSolidsAndCrossesFillings) {
  CabinShape shape = room();
  Block seat = upright("seat", {0.6, -0.6, 0.0}, {1.4, 0.6, 0.3});
  seat.filling = 0;
  shape.blocks = {upright("chest", {0.8, -0.6, 0.0}, {1.2, 0.0, 1.0}), seat};
  shape.partitions = {upright_sheet(1.0, 0.0, 1.0, -0.7, 0.7)};  // the whole section
  const Cabin cabin = built(shape);
  const Mesh mesh = mesh_cabin(cabin, coarse());
  expect_fits(mesh, cabin);
  EXPECT_NEAR(sheet_area(mesh), 0.6, exact);
}

TEST(Mesher, SheetOnAWallIsIgnored) {
  CabinShape shape = room();
  shape.blocks = {upright("chest", {0.0, -0.6, 0.0}, {0.5, 0.6, 0.5})};
  shape.partitions = {upright_sheet(0.5, 0.0, 1.0, -0.6, 0.6)};  // its lower half lies on the chest
  const Cabin cabin = built(shape);
  const Mesh mesh = mesh_cabin(cabin, coarse());
  expect_fits(mesh, cabin);
  EXPECT_NEAR(sheet_area(mesh), 0.5 * 1.2, exact);
}

TEST(Mesher, PatchOutlinesAreMeshEdges) {
  CabinShape shape = room();
  SurfacePatch patch;
  patch.surface = "roof";
  patch.range[0] = {0.3, 0.73};
  patch.range[1] = {-0.21, 0.17};
  patch.name = "window";
  shape.patches = {patch};
  const Cabin cabin = built(shape);
  const Mesh mesh = mesh_cabin(cabin, coarse());
  expect_fits(mesh, cabin);
  EXPECT_NEAR(areas(mesh, cabin)["window"], 0.43 * 0.38, exact);
  EXPECT_NEAR(areas(mesh, cabin)["roof"], 2.4 - 0.43 * 0.38, exact);
}

TEST(Mesher, AssignsFlushFacesAsTheCabinDoes) {
  CabinShape shape = room();
  // Two tops in one plane that overlap from x 0.4 to 0.6: there the first has it. And a front that is flush
  // with the shell's.
  shape.blocks = {upright("one", {0.0, -0.3, 0.0}, {0.6, 0.3, 0.4}),
                  upright("two", {0.4, -0.3, 0.1}, {1.0, 0.3, 0.4})};
  const Cabin cabin = built(shape);
  const Mesh mesh = mesh_cabin(cabin, coarse());
  expect_fits(mesh, cabin);
  auto area = areas(mesh, cabin);
  EXPECT_NEAR(area["one.top"], 0.6 * 0.6, exact);
  EXPECT_NEAR(area["two.top"], 0.4 * 0.6, exact);
  EXPECT_EQ(area.count("one.front"), 0u);
}

TEST(Mesher, MeshesAGapOfATenthOfAMillimetreOrNotesTheMove) {
  CabinShape shape = room();
  shape.blocks = {upright("one", {0.5, -0.3, 0.2}, {0.8, 0.3, 0.6}),
                  upright("two", {0.8001, -0.3, 0.2}, {1.1, 0.3, 0.6})};
  const Cabin cabin = built(shape);
  const Mesh mesh = mesh_cabin(cabin, coarse());
  const bool moved = !mesh.notes.empty();
  expect_fits(mesh, cabin, moved ? 0.0002 : 0);
  const double solid = (moved ? 0.6 : 0.5999) * 0.6 * 0.4;
  EXPECT_NEAR(mesh.volume_m3(), 2.4 - solid, exact);
  if (moved) {
    EXPECT_EQ(mesh.notes.front(), "block two: moved by up to 0.1 mm so that the cabin can be meshed");
  }
}

TEST(Mesher, MeshesACar) {
  const Cabin cabin = car_cabin();
  const Mesh mesh = mesh_cabin(cabin, {});
  expect_fits(mesh, cabin);
  // Cabin samples: 0.2 %, over what it misses here (0.1 %).
  EXPECT_NEAR(mesh.volume_m3() / cabin.air_volume_m3(), 1, 2e-3);
  for (const auto& [a, b, c, d] : mesh.tetrahedron)
    EXPECT_GT(tetrahedron_quality(mesh.node[a], mesh.node[b], mesh.node[c], mesh.node[d]), 0.05);
}

TEST(Mesher, MeshesTwoSeparateVolumesTogether) {
  CabinShape shape = room();
  shape.blocks = {upright("wall", {0.9, -0.7, -0.1}, {1.1, 0.7, 1.1})};
  const Cabin cabin = built(shape);
  const Mesh mesh = mesh_cabin(cabin, coarse());
  expect_fits(mesh, cabin);
  EXPECT_NEAR(mesh.volume_m3(), 1.8 * 1.2, exact);
}

TEST(Mesher, IsFinerAtProtrudingEdges) {
  CabinShape shape = room();
  shape.blocks = {upright("lamp", {0.2, -0.2, 0.4}, {0.5, 0.2, 0.6})};
  const Cabin cabin = built(shape);
  MeshOptions options;
  options.size_m = 0.2;
  options.edge_size_m = 0.04;
  const Mesh mesh = mesh_cabin(cabin, options);
  double near = 0, far = 0;
  int nears = 0, fars = 0;
  for (const BoundaryTriangle& triangle : mesh.boundary) {
    const Vector3 &a = mesh.node[triangle.node[0]], &b = mesh.node[triangle.node[1]];
    const bool lamp = cabin.faces()[triangle.face].block == 0;
    if (!lamp && 0.5 * (a + b).x() < 1.2) continue;
    (lamp ? near : far) += (a - b).norm();
    ++(lamp ? nears : fars);
  }
  // Between the length wished at the edges and that in the middle of the lamp's faces (0.1 m from them); the
  // mesher's own spread is some ten per cent.
  EXPECT_GT(near / nears, 0.03);
  EXPECT_LT(near / nears, 0.08);
  EXPECT_NEAR(far / fars, 0.2, 0.05);
}

TEST(Mesher, SameBitsEveryTime) {
  const Cabin cabin = car_cabin();
  const Mesh first = mesh_cabin(cabin, coarse());
  for (int again = 0; again < 3; ++again) {
    // Another heap and a team of threads in the parent.
    std::vector<std::unique_ptr<std::vector<char>>> holes;
    for (int i = 0; i < 20000; ++i)
      holes.push_back(std::make_unique<std::vector<char>>(16 + (i * 7919 * (again + 1)) % 700));
    for (std::size_t i = 0; i < holes.size(); i += 2 + again) holes[(i * 7919) % holes.size()].reset();
    int team = 0;
#pragma omp parallel num_threads(2) reduction(+ : team)
    team += 1;
    EXPECT_GE(team, 1);
    const Mesh second = mesh_cabin(cabin, coarse());
    EXPECT_EQ(first.node, second.node);
    EXPECT_EQ(first.tetrahedron, second.tetrahedron);
    ASSERT_EQ(first.boundary.size(), second.boundary.size());
    for (std::size_t i = 0; i < first.boundary.size(); ++i) {
      EXPECT_EQ(first.boundary[i].node, second.boundary[i].node);
      EXPECT_EQ(first.boundary[i].face, second.boundary[i].face);
    }
  }
}

TEST(Mesher, FailsAtTheTimeLimit) {
  MeshOptions options;
  options.time_limit_s = 0.001;
  try {
    mesh_cabin(car_cabin(), options);
    FAIL() << "a millisecond is not enough to load the library";
  } catch (const MeshFailure& failure) {
    EXPECT_STREQ(failure.what(), "the cabin cannot be meshed: the mesher took longer than 0.001 s");
    EXPECT_EQ(failure.block(), "");
  }
}

TEST(Mesher, RejectsMeshesThatDifferFromTheDrawing) {
  const Cabin cabin = built(room());
  const auto drawing = MeshDrawing::of(cabin.shape());
  ASSERT_TRUE(drawing);
  // The box in six tetrahedra about its diagonal.
  RawMesh good;
  for (double x : {0.0, 2.0})
    for (double y : {-0.6, 0.6})
      for (double z : {0.0, 1.0}) good.node.emplace_back(x, y, z);
  good.tetrahedron = {{0, 4, 6, 7}, {0, 4, 5, 7}, {0, 2, 6, 7}, {0, 2, 3, 7}, {0, 1, 5, 7}, {0, 1, 3, 7}};
  good.body.assign(6, 0);
  good.body_region = {Mesh::air};
  good.body_volume_m3 = {2.4};
  std::string reason;
  EXPECT_TRUE(checked_mesh(good, *drawing, cabin, reason)) << reason;

  auto reason_of = [&](const RawMesh& bad) {
    std::string words;
    EXPECT_FALSE(checked_mesh(bad, *drawing, cabin, words));
    return words;
  };
  RawMesh bad = good;
  bad.tetrahedron.pop_back();
  EXPECT_EQ(reason_of(bad), "a part of the air is not filled");
  bad.body_volume_m3 = {2.0};
  EXPECT_EQ(reason_of(bad), "the volume differs from the drawing");
  bad = good;
  bad.node[7].z() = 1.5;
  EXPECT_EQ(reason_of(bad).substr(0, 15), "a part of the a");
  bad = good;
  bad.body_region = {0};
  EXPECT_EQ(reason_of(bad), "some tetrahedra lie outside the air");
  bad = good;
  for (Vector3& node : bad.node) node.z() *= 1e-6;
  EXPECT_EQ(reason_of(bad), "some tetrahedra are flat");
  bad = good;
  bad.tetrahedron.push_back({0, 4, 7, 3});
  bad.body.push_back(0);
  bad.body_volume_m3 = {2.8};
  EXPECT_FALSE(reason_of(bad).empty());
  bad = good;
  bad.sheet = {{1, 2, 4}};  // across the box, no face of any of the six
  bad.sheet_partition = {0};
  EXPECT_EQ(reason_of(bad), "a sheet is not between two tetrahedra");
  bad = good;
  // A seventh, of a hundredth of the volume, on a face that two have already.
  bad.node.emplace_back(2.0 / 3 * 2, -0.2 + 0.02, 1.0 / 3 - 0.02);
  bad.tetrahedron.push_back({0, 4, 7, 8});
  bad.body.push_back(1);
  bad.body_region.push_back(Mesh::air);
  bad.body_volume_m3.push_back(
      std::abs((bad.node[4] - bad.node[0]).cross(bad.node[7] - bad.node[0]).dot(bad.node[8] - bad.node[0])) /
      6);
  EXPECT_EQ(reason_of(bad), "tetrahedra overlap");
}

}  // namespace
}  // namespace cabinfield::test
