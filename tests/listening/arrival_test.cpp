// Distances, angles relative to the listener, delays that align arrivals, and interaural time differences.
#include "listening/arrival.h"

#include <gtest/gtest.h>

#include <cmath>

#include "base/constants.h"
#include "support/cabins.h"

namespace cabinfield {
namespace {

Source at(const Vector3& position, const Vector3& axis = Vector3::UnitX(), double setback_m = 0) {
  Source source;
  source.position = position;
  source.axis = axis;
  source.setback_m = setback_m;
  return source;
}

TEST(DirectPaths, AreStraightWithTheSetbackAdded) {
  const std::vector<Source> sources{at({0, 0, 0}), at({1, 0, 0}, Vector3::UnitX(), 0.03)};
  const DirectPaths paths = direct_paths(nullptr, sources, {{3, 4, 0}, {1, 2, 2}});
  EXPECT_DOUBLE_EQ(paths.length_m(0, 0), 5);
  EXPECT_DOUBLE_EQ(paths.length_m(1, 0), 3);
  EXPECT_DOUBLE_EQ(paths.length_m(1, 1), std::sqrt(8) + 0.03);
  EXPECT_EQ(paths.free(0, 0), 1) << "without a cabin every line is free";
}

TEST(DirectPaths, BlockObstructsTheDirectSound) {
  CabinShape shape = test::box_shape_of({2, 1.4, 1.1});
  Block wall;
  wall.name = "wall";
  wall.corner = {{{0.9, 0}, ""}, {{1.1, 0}, ""}, {{1.1, 0.6}, ""}, {{0.9, 0.6}, ""}};
  wall.range = {-0.7, 0.7};
  shape.blocks.push_back(wall);
  std::vector<ShapeProblem> problems;
  const Cabin cabin = Cabin::build(shape, problems);
  ASSERT_TRUE(problems.empty());
  const DiffractionPath ways(cabin);
  const DirectPaths paths =
      direct_paths(&ways, {at({0.5, 0, 0.3})}, {{1.5, 0, 0.3}, {1.5, 0, 1.05}, {0.8, 0, 0.3}});
  EXPECT_EQ(paths.free(0, 0), 0);
  EXPECT_EQ(paths.free(1, 0), 1) << "over the top: 0.675 m at the middle of the wall, which is 0.6 m high";
  EXPECT_EQ(paths.free(2, 0), 1);
}

TEST(Angles, AreRelativeToAListenerWhoFacesForward) {
  const Vector3 head(2, 0, 1);
  const auto angles = [&](const Vector3& position, const Vector3& axis) {
    return angles_deg(at(position, axis), head);
  };
  const Vector3 rearward(1, 0, 0);
  // Exact to rounding: 1e-12 degrees.
  EXPECT_NEAR(angles({1, 0, 1}, rearward)[0], 0, 1e-12) << "straight ahead";
  EXPECT_NEAR(angles({1, 1, 1}, rearward)[0], 45, 1e-12) << "right is positive";
  EXPECT_NEAR(angles({1, -1, 1}, rearward)[0], -45, 1e-12);
  EXPECT_NEAR(angles({2, 1, 1}, rearward)[0], 90, 1e-12);
  EXPECT_NEAR(std::abs(angles({3, 0, 1}, rearward)[0]), 180, 1e-12) << "behind";
  EXPECT_NEAR(angles({1, 0, 2}, rearward)[1], 45, 1e-12) << "above is positive";
  EXPECT_NEAR(angles({1, 1, 1 - std::sqrt(2)}, rearward)[1], -45, 1e-12);
  EXPECT_NEAR(angles({1, 0, 1}, rearward)[2], 0, 1e-12) << "on its axis";
  EXPECT_NEAR(angles({1, 0, 1}, Vector3(1, 1, 0).normalized())[2], 45, 1e-6)
      << "the arc cosine loses digits near 0 and 180";
  EXPECT_NEAR(angles({1, 0, 1}, -rearward)[2], 180, 1e-6);
}

TEST(AligningDelays, WaitForTheLatestFirstArrival) {
  const std::vector<double> arrival{0.003, 0.005, 0.004, 0.002};
  // The first of a channel's drivers counts; channel 2 is not used, channel 3 has no driver.
  const auto delay = aligning_delays_s(arrival, {{0, 1}, {2}, {1}, {}, {3}}, {1, 1, 0, 1, 1});
  ASSERT_EQ(delay.size(), 5U);
  EXPECT_NEAR(delay[0], 0.001, 1e-15);
  EXPECT_EQ(delay[1], 0);
  EXPECT_EQ(delay[2], 0);
  EXPECT_EQ(delay[3], 0);
  EXPECT_NEAR(delay[4], 0.002, 1e-15);
  for (std::size_t c : {0U, 1U, 4U})
    EXPECT_NEAR(delay[c] + (c == 0 ? 0.003 : c == 1 ? 0.004 : 0.002), 0.004, 1e-15) << "all arrive together";
}

TEST(AligningDelays, IgnoreChannelsWithoutAnArrival) {
  const double never = std::nan("");
  const std::vector<double> first{0.003, never, 0.004};
  const std::vector<int> use{1, 1, 1};
  const auto delay = delays_to_latest_s(first, use);
  EXPECT_NEAR(delay[0], 0.001, 1e-15);
  EXPECT_EQ(delay[1], 0);
  EXPECT_EQ(delay[2], 0);
}

TEST(NearestOfChannels, IsTheDriverNearestToTheHead) {
  // Ears of two seats, three drivers; the third does not reach the second seat.
  Table<double, 2> length({4, 3});
  length.values() = {1.0, 1.3, 5.0, 1.2, 0.9, 5.2, 2.0, 2.4, std::nan(""), 2.2, 2.0, std::nan("")};
  std::vector<double> nearest(2 * 4);
  nearest_of_channels(length, {{0}, {0, 1}, {2, 0}, {}}, nearest);
  // Heads: 1.1, 1.1, 5.1 and 2.1, 2.2, none. (An ear each would make 0.95 of the second channel.)
  const std::vector<double> expected{1.1, 2.1, 1.1, 2.1, 1.1, 2.1};
  for (std::size_t i = 0; i < expected.size(); ++i) EXPECT_NEAR(nearest[i], expected[i], 1e-15) << i;
  EXPECT_TRUE(std::isnan(nearest[6]));
  EXPECT_TRUE(std::isnan(nearest[7]));
  nearest_of_channels(length, {{1}, {2}, {2, 1}, {0}}, nearest);
  EXPECT_NEAR(nearest[1], 2.2, 1e-15);
  EXPECT_TRUE(std::isnan(nearest[3]));
  EXPECT_NEAR(nearest[5], 2.2, 1e-15);
}

TEST(InterauralTime, IsWoodworths) {
  // R. S. Woodworth, Experimental Psychology (1938): a (theta + sin theta)/c; a 8.75 cm, c 343 m/s; computed
  // from the formula. 0.05 us: the figures are printed to 0.1 us.
  const auto microseconds = [](double degrees) {
    return woodworth_itd_s(degrees * pi / 180, head_radius_m, 343) * 1e6;
  };
  EXPECT_NEAR(microseconds(30), 261.1, 0.05);
  EXPECT_NEAR(microseconds(60), 488.1, 0.05);
  EXPECT_NEAR(microseconds(90), 655.8, 0.05);
  EXPECT_EQ(microseconds(0), 0);
  EXPECT_NEAR(microseconds(-30), -261.1, 0.05) << "the other ear first";
  EXPECT_NEAR(microseconds(150), microseconds(30), 1e-9) << "behind as in front";
  EXPECT_NEAR(microseconds(180), 0, 1e-9);
}

}  // namespace
}  // namespace cabinfield
