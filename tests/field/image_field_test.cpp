#include "field/images/image_field.h"

#include <gtest/gtest.h>
#include <omp.h>

#include <random>

#include "base/constants.h"
#include "field/frequency_grid.h"
#include "support/cabins.h"

namespace cabinfield {
namespace {

std::vector<Material> some_materials() {
  Material rigid, carpet, glass, lining;
  rigid.name = "rigid";
  carpet.name = "carpet";
  carpet.absorption = {{125, 0.08}, {250, 0.24}, {500, 0.57}, {1000, 0.69}, {2000, 0.71}, {4000, 0.73}};
  glass.name = "glass";
  glass.specific_impedance = Complex(30, -12);
  lining.name = "lining";
  lining.panel = Panel{2.0, 60, 0.3};
  lining.absorption = {{125, 0.1}, {1000, 0.5}, {4000, 0.6}};
  return {rigid, carpet, glass, lining};
}

Source point_source(const Vector3& position) {
  Source source;
  source.position = position;
  return source;
}

double largest(const Table<Complex, 3>& table) {
  double size = 0;
  for (const Complex& value : table.values()) size = std::max(size, std::abs(value));
  return size;
}

TEST(ImageField, IsReciprocalForPointSources) {
  const auto frequency = octave_grid_hz(100, 8000, 12);
  for (unsigned seed : {3u, 4u, 5u}) {
    const Cabin cabin = test::random_cabin(seed);
    const Vector3 a = test::random_air_point(cabin, seed + 10), b = test::random_air_point(cabin, seed + 20);
    const ImageField field(cabin, some_materials(), air_at({}), 3);
    const auto there = field.solve({{point_source(a)}, {b}, frequency}).transfer_pa_s_m3;
    const auto back = field.solve({{point_source(b)}, {a}, frequency}).transfer_pa_s_m3;
    const double size = largest(there);
    for (std::size_t f = 0; f < frequency.size(); ++f)
      EXPECT_LT(std::abs(there(0, 0, f) - back(0, 0, f)), 1e-9 * size) << "cabin " << seed;
  }
}

TEST(ImageField, BoxByOutlineEqualsTheBoxLattice) {
  // The same box once as `box`, whose lattice is summed, once as an outline with sides cut into spans, whose
  // images are searched.
  const Vector3 size(2.0, 1.4, 1.1);
  const std::vector<Material> materials = some_materials();
  std::vector<ShapeProblem> problems;
  const Cabin lattice = Cabin::build(box_shape(size, {1, 2, 3, 3, 1, 0}), problems);
  CabinShape swept;
  swept.outline = {
      {{0, 0}, "front", 1}, {{0, 1.1}, "roof", 0}, {{2.0, 1.1}, "rear", 2}, {{2.0, 0}, "floor", 1}};
  swept.sides = {{0, 0.7, "low", 3}, {0.4, 0.7, "high", 3}, {1.1, 0.7, "", 0}};
  const Cabin searched = Cabin::build(swept, problems);
  ASSERT_TRUE(problems.empty());
  const auto frequency = octave_grid_hz(50, 16000, 8);
  for (int order : {1, 3, 5}) {
    std::vector<Source> from_lattice, from_search;
    for (const Cabin* cabin : {&lattice, &searched}) {
      std::vector<Source>& sources = cabin == &lattice ? from_lattice : from_search;
      sources.push_back(point_source({0.41, 0.13, 0.37}));
      Source flush = point_source({0.93, 0.17, 0});
      flush.face = cabin->land(flush.position, "floor").face;
      flush.axis = Vector3::UnitZ();
      flush.piston_radius_m = 0.066;
      flush.setback_m = 0.01;
      sources.push_back(flush);
    }
    const std::vector<Vector3> ears{{1.51, -0.22, 0.83}, {1.49, 0.31, 0.79}};
    const auto a = ImageField(lattice, materials, air_at({}), order)
                       .solve({from_lattice, ears, frequency})
                       .transfer_pa_s_m3;
    const auto b = ImageField(searched, materials, air_at({}), order)
                       .solve({from_search, ears, frequency})
                       .transfer_pa_s_m3;
    const double peak = largest(a);
    for (std::size_t i = 0; i < a.size(); ++i)
      EXPECT_LT(std::abs(a.values()[i] - b.values()[i]), 1e-9 * peak) << "order " << order;
  }
}

TEST(ImageField, MirroredSceneHasMirroredTransferFunctions) {
  const Cabin cabin = test::car_cabin();
  const ImageField field(cabin, some_materials(), air_at({}), 3);
  Source left = point_source({0.8, -0.68, 0.3});
  const Landing landing = cabin.land(left.position, "door_left");
  left.position = landing.point;
  left.face = landing.face;
  left.axis = cabin.faces()[landing.face].normal;
  left.piston_radius_m = 0.066;
  Source right = left;
  right.position.y() *= -1;
  right.axis.y() *= -1;
  right.face = cabin.land(right.position, "door_right").face;
  const Vector3 ear(1.3, -0.45, 1.0), other(1.3, 0.45, 1.0);
  const auto frequency = octave_grid_hz(100, 8000, 12);
  const auto table = field.solve({{left, right}, {ear, other}, frequency}).transfer_pa_s_m3;
  const double size = largest(table);
  for (std::size_t f = 0; f < frequency.size(); ++f) {
    EXPECT_LT(std::abs(table(0, 0, f) - table(1, 1, f)), 1e-9 * size);
    EXPECT_LT(std::abs(table(0, 1, f) - table(1, 0, f)), 1e-9 * size);
  }
}

TEST(ImageField, SameBitsForAnyNumberOfThreads) {
  const Cabin car = test::car_cabin(), box = test::box_cabin({2, 1.4, 1.1}, 1);
  const auto frequency = octave_grid_hz(20, 20000, 48);
  FieldQuestion question;
  for (unsigned i = 0; i < 5; ++i)
    question.sources.push_back(point_source({0.7 + 0.1 * i, 0.1 * i - 0.2, 0.6}));
  question.ears = {{1.3, -0.45, 1.0}, {1.3, 0.45, 1.0}, {1.25, 0, 0.7}};
  question.frequency_hz = frequency;
  for (const Cabin* cabin : {&car, &box}) {
    const ImageField field(*cabin, some_materials(), air_at({}), cabin == &box ? 12 : 3);
    std::vector<Table<Complex, 3>> answers;
    for (int threads : {1, 2, 5}) {
      omp_set_num_threads(threads);
      answers.push_back(field.solve(question).transfer_pa_s_m3);
    }
    omp_set_num_threads(omp_get_num_procs());
    EXPECT_EQ(answers[0], answers[1]);
    EXPECT_EQ(answers[0], answers[2]);
  }
}

TEST(ImageField, WarnsOfOmittedOrdersWhenThereAreTooManyImages) {
  const Cabin cabin = test::car_cabin();
  const std::vector<Vector3> ears{{1.35, 0.35, 0.95}, {1.1, -0.4, 0.9}};
  FieldQuestion question{{point_source({0.6, -0.5, 0.3}), point_source({0.7, 0.1, 0.9})}, ears, {100, 1000}};
  question.sources[0].name = "low";
  question.sources[1].name = "high";
  std::array<std::uint64_t, 2> images{};
  for (std::size_t s : {0, 1})
    images[s] =
        MirrorSearch(cabin, 3).run(question.sources[s].position, ears, [](auto, const auto&) {}).images;
  auto field = [&](int order, std::uint64_t most) {
    return ImageField(cabin, some_materials(), air_at({}), order, nullptr, most);
  };
  const auto most = std::max(images[0], images[1]);
  const FieldAnswer both = field(5, most).solve(question), third = field(3, 1'000'000).solve(question);
  EXPECT_EQ(both.transfer_pa_s_m3.values(), third.transfer_pa_s_m3.values());
  ASSERT_FALSE(both.warnings.empty());
  EXPECT_EQ(both.warnings.front(),
            "low, high: more than " + std::to_string(most) +
                " images at order 4; computed to order 3 only, reflections of orders 4 to 5 are omitted");
  // Between the two sources' numbers of images one is computed to order 3, the other to order 2.
  ASSERT_NE(images[0], images[1]);
  const std::size_t fewer = images[0] < images[1] ? 0 : 1;
  const FieldAnswer one = field(3, most - 1).solve(question), second = field(2, 1'000'000).solve(question);
  EXPECT_EQ(one.warnings.front(),
            question.sources[1 - fewer].name + ": more than " + std::to_string(most - 1) +
                " images at order 3; computed to order 2 only, reflections of order 3 are "
                "omitted");
  for (std::size_t e : {0, 1})
    for (std::size_t f : {0, 1}) {
      EXPECT_EQ(one.transfer_pa_s_m3(fewer, e, f), third.transfer_pa_s_m3(fewer, e, f));
      EXPECT_EQ(one.transfer_pa_s_m3(1 - fewer, e, f), second.transfer_pa_s_m3(1 - fewer, e, f));
    }
  for (const std::string& warning : third.warnings) EXPECT_EQ(warning.find("images of"), std::string::npos);
}

TEST(ImageField, FlushDriverInARigidWallDoublesAPointSource) {
  // Far below ka = 1 a flush driver in a rigid wall gives twice the free field at the same distance (half
  // space).
  const Cabin cabin = test::box_cabin({50, 50, 50});
  Source flush = point_source({25, 0, 0});
  flush.face = cabin.land(flush.position, "floor").face;
  flush.axis = Vector3::UnitZ();
  flush.piston_radius_m = 0.066;
  const Vector3 ear(26, 0.3, 0.8);
  const auto wall =
      ImageField(cabin, {Material{}}, air_at({}), 0).solve({{flush}, {ear}, {30}}).transfer_pa_s_m3;
  const auto open = FreeField(air_at({})).solve({{point_source({25, 0, 0})}, {ear}, {30}}).transfer_pa_s_m3;
  EXPECT_NEAR(std::abs(wall(0, 0, 0)), 2 * std::abs(open(0, 0, 0)), 1e-3 * std::abs(open(0, 0, 0)));
}

TEST(MissingLateLevel, IsZeroForFullAbsorptionAndFallsWithOrder) {
  EXPECT_NEAR(missing_late_level_db(1.0, 10, 3, 1), 0, 1e-12);
  EXPECT_GT(missing_late_level_db(0.1, 10, 1, 1), missing_late_level_db(0.1, 10, 3, 1));
  // All orders together are Sabine's reverberant field with the room constant S a/(1 - a): 16 pi (1 - a)/(S
  // a).
  const double a = 0.2, s = 20, r = 1.0;
  double kept = 1 / (r * r);
  for (int n = 1; n <= 3; ++n) kept += 16 * pi / s * std::pow(1 - a, n);
  EXPECT_NEAR(kept * std::pow(10, missing_late_level_db(a, s, 3, r) / 10), 1 + 16 * pi * (1 - a) / (s * a),
              1e-9);
}

}  // namespace
}  // namespace cabinfield
