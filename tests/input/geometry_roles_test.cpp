// Geometry declared once: by the role of its key a value is shifted, mirrored, fitted and shown to visitors,
// and no key of a scene that is a length or a position goes without a role.
#include <gtest/gtest.h>

#include <cmath>
#include <filesystem>
#include <map>
#include <set>
#include <stdexcept>

#include "fitting/moved_text.h"
#include "input/geometry_nodes.h"
#include "input/mirroring.h"
#include "input/scene_keys.h"
#include "input/toy_spec.h"
#include "study/shifts.h"

namespace cabinfield {
namespace {

const std::string places = R"(x: 1.0
y: 0.5
z: 0.25
half_width: 0.75
across: [-0.5, 0.25]
point: [1.0, 0.5, 0.25]
mounting: [1.0, 0.5, 0.25]
remote: [1.0, 0.5, 0.25]
side_view: [1.0, 0.25]
plan: [1.0, 0.5]
direction: [1.0, 0.5, 0.25]
room: {at: [1.0, 0.5, 0.25], size: [0.5, 0.25, 0.5]}
size: [0.5, 0.25, 0.5]
thickness: 20 mm
side: pad_left
)";

const std::set<GeometryRole> all_roles{
    GeometryRole::x,         GeometryRole::y,          GeometryRole::z,
    GeometryRole::point,     GeometryRole::half_width, GeometryRole::mounting_point,
    GeometryRole::direction, GeometryRole::plan_point, GeometryRole::side_view_point,
    GeometryRole::extent,    GeometryRole::size,       GeometryRole::remote_point,
    GeometryRole::sided_name};

Node parsed(const std::string& text) {
  Faults faults;
  const Node node = parse_document(text, "f", faults);
  for (const Fault& fault : faults.faults()) ADD_FAILURE() << to_string(fault);
  return node;
}

ToyPlacesSpec read_places() {
  Faults faults;
  Reading reading{faults};
  ToyPlacesSpec spec = toy_places_keys().read(parsed(places), reading);
  for (const Fault& fault : faults.faults()) ADD_FAILURE() << to_string(fault);
  return spec;
}

void expect_lines(const std::string& text, const std::vector<std::string>& lines) {
  for (const std::string& line : lines)
    EXPECT_NE(("\n" + text).find("\n" + line + "\n"), std::string::npos) << line << "\nin\n" << text;
}

TEST(GeometryRoles, TheToyHasAKeyOfEachRole) {
  std::set<GeometryRole> found;
  visit_geometry(parsed(places), toy_places_keys().tree(),
                 [&](const GeometryNode& node) { found.insert(node.role); });
  EXPECT_EQ(found, all_roles);
}

TEST(GeometryRoles, EachIsShiftedAsItsRoleSays) {
  const Node node = shifted_geometry(parsed(places), toy_places_keys().tree(), {0.125, 0.0625, -0.25});
  expect_lines(document_text(node),
               {"x: 1.125", "y: 0.5625", "z: 0", "half_width: 0.75", "across: [-0.4375, 0.3125]",
                "point: [1.125, 0.5625, 0]", "mounting: [1.125, 0.5625, 0]", "remote: [1.0, 0.5, 0.25]",
                "side_view: [1.125, 0]", "plan: [1.125, 0.5625]", "direction: [1.0, 0.5, 0.25]",
                "room: {at: [1.125, 0.5625, 0], size: [0.5, 0.25, 0.5]}", "size: [0.5, 0.25, 0.5]",
                "thickness: 20 mm", "side: pad_left"});
}

TEST(GeometryRoles, EachIsMirroredAsItsRoleSays) {
  const ToyPlacesSpec there = mirrored(read_places(), toy_places_keys());
  EXPECT_EQ(there.x_m, 1.0);
  EXPECT_EQ(there.y_m, -0.5);
  EXPECT_EQ(there.z_m, 0.25);
  EXPECT_EQ(there.half_width_m, 0.75);
  EXPECT_EQ(there.across_m, (std::array<double, 2>{-0.25, 0.5}));
  for (const auto& point : {there.point, there.mounting, there.remote, there.direction, there.room->at})
    EXPECT_EQ(point, Vector3(1, -0.5, 0.25));
  EXPECT_EQ(there.side_view, Vector2(1, 0.25));
  EXPECT_EQ(there.plan, Vector2(1, -0.5));
  for (const auto& size : {there.size_m, there.room->size_m}) EXPECT_EQ(size, Vector3(0.5, 0.25, 0.5));
  EXPECT_EQ(there.thickness_m, 0.02);
  EXPECT_EQ(there.side, "pad_right");
}

TEST(GeometryRoles, EachIsFittedAsItsRoleSays) {
  CabinShape shape;
  shape.outline = {{{0, 0}, "", 0}, {{0, 1}, "", 0}, {{2, 1}, "", 0}, {{2, 0}, "", 0}};
  shape.sides = {{0, 0.8, "", 0}, {1, 0.8, "", 0}};
  const FreePlanes planes = free_planes(shape, {});
  // Twice as long, three times as high, half as wide again.
  const auto gaps_x = static_cast<Eigen::Index>(planes.x.size() - 1),
             gaps_z = static_cast<Eigen::Index>(planes.z.size() - 1);
  Eigen::VectorXd stretch =
      Eigen::VectorXd::Constant(static_cast<Eigen::Index>(planes.degrees_of_freedom()), std::log(1.5));
  stretch.head(gaps_x).setConstant(std::log(2.0));
  stretch.segment(gaps_x, gaps_z).setConstant(std::log(3.0));
  const CabinWarp warp(planes, stretch);
  expect_lines(moved_text(places, parsed(places), warp, {}, toy_places_keys().tree()),
               {"x: 2.00", "y: 0.75", "z: 0.75", "half_width: 1.125", "across: [-0.75, 0.375]",
                "point: [2.00, 0.75, 0.75]", "mounting: [2.00, 0.75, 0.75]", "remote: [2.00, 0.75, 0.75]",
                "side_view: [2.00, 0.75]", "plan: [2.00, 0.75]", "direction: [1.0, 0.5, 0.25]",
                "room: {at: [2.00, 0.75, 0.75], size: [1.00, 0.375, 1.50]}", "size: [0.5, 0.25, 0.5]",
                "thickness: 20 mm", "side: pad_left"});
}

/// All numbers and names, in the order in which a hash takes them up.
class Collected final : public GeometryVisitor {
 public:
  void numbers(GeometryRole role, double* first, std::size_t count) override {
    all.insert(all.end(), first, first + count);
    of_role[role] += count;
  }
  void name(std::string& name) override {
    names.push_back(name);
    ++of_role[GeometryRole::sided_name];
  }
  std::vector<double> all;
  std::vector<std::string> names;
  std::map<GeometryRole, std::size_t> of_role;
};

TEST(GeometryRoles, EachReachesAVisitorWithAllItsNumbers) {
  ToyPlacesSpec spec = read_places();
  Collected seen;
  toy_places_keys().visit_geometry(spec, seen);
  std::set<GeometryRole> roles;
  for (const auto& [role, count] : seen.of_role) roles.insert(role);
  EXPECT_EQ(roles, all_roles);
  EXPECT_EQ(seen.all, (std::vector<double>{1,    0.5, 0.25, 0.75, -0.5, 0.25, 1,   0.5,  0.25, 1,   0.5,
                                           0.25, 1,   0.5,  0.25, 1,    0.25, 1,   0.5,  1,    0.5, 0.25,
                                           1,    0.5, 0.25, 0.5,  0.25, 0.5,  0.5, 0.25, 0.5,  0.02}));
  EXPECT_EQ(seen.names, std::vector<std::string>{"pad_left"});
}

TEST(GeometryRoles, EveryLengthAndPositionOfASceneHasARole) {
  const auto undeclared = [](GeometryRole role) { return role == GeometryRole::undeclared; };
  EXPECT_FALSE(has_role(scene_keys().tree(), undeclared));
  // The toy's height has none.
  EXPECT_TRUE(has_role(toy_keys().tree(), undeclared));
  EXPECT_THROW(point(GeometryRole::none), std::logic_error);
  EXPECT_THROW(coordinate(GeometryRole::undeclared), std::logic_error);
}

/// No container of values hides a number from visitors.
TEST(GeometryRoles, SpecsAndDocumentsShowTheSameNumbers) {
  int scenes = 0;
  const std::string folder = std::string(CABINFIELD_SOURCE_DIR) + "/scenes";
  for (const auto& file : std::filesystem::directory_iterator(folder)) {
    if (file.path().extension() != ".yaml") continue;
    ++scenes;
    Faults faults;
    const Node root = load_document(file.path().string(), faults);
    const Node* units = root.find("units");
    const Node* length = units == nullptr ? nullptr : units->find("length");
    Reading reading{faults, length != nullptr && length->text() == "cm" ? 0.01 : 1.0};
    SceneSpec spec = scene_keys().read(root, reading);
    ASSERT_FALSE(faults.any()) << to_string(faults.faults().front());
    Collected of_spec;
    scene_keys().visit_geometry(spec, of_spec);
    std::map<GeometryRole, std::size_t> of_document;
    visit_geometry(root, scene_keys().tree(),
                   [&](const GeometryNode& node) { of_document[node.role] += node.numbers().size(); });
    // Sizes and names may have defaults.
    for (const GeometryRole role : all_roles)
      if (role != GeometryRole::size && role != GeometryRole::sided_name) {
        EXPECT_EQ(of_spec.of_role[role], of_document[role])
            << file.path() << " role " << static_cast<int>(role);
      }
  }
  EXPECT_GT(scenes, 3);
}

}  // namespace
}  // namespace cabinfield
