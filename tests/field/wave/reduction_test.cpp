// The reduced-order model of a small cabin against the full solution, from 10 Hz up.
#include <gtest/gtest.h>

#include "support/reduction_miss.h"
#include "support/solved_box.h"

namespace cabinfield {
namespace {

using test::SolvedBox;

const Air air = air_with(343, 1.2);

Block seat(const std::string& name, double from_x, double to_x, double to_z, std::array<double, 2> range) {
  Block block;
  block.name = name;
  block.corner = {{{from_x, 0}, ""}, {{to_x, 0}, ""}, {{to_x, to_z}, ""}, {{from_x, to_z}, ""}};
  block.range = range;
  block.filling = 0;
  return block;
}

/// 1.8 x 1.2 x 1.0 m, two seats of foam on the floor, a bending roof and rear, and a given wall for the rest.
std::unique_ptr<SolvedBox> small_cabin(const Material& wall, const std::vector<Vector3>& ears) {
  WaveMedium medium;
  medium.air = air;
  Material roof, glass;
  roof.panel = Panel{8, 55, 0.2};
  glass.panel = Panel{12, 110, 0.1};
  medium.materials = {wall, roof, glass};
  Filling foam;
  foam.flow_resistivity_pa_s_m2 = 8000;
  medium.fillings = {foam};
  CabinShape shape = box_shape({1.8, 1.2, 1.0}, {0, 2, 0, 0, 0, 1});
  shape.blocks = {seat("left", 0.6, 1.05, 0.6, {-0.6, -0.15}), seat("right", 0.6, 1.05, 0.6, {0.15, 0.6})};
  std::vector<ShapeProblem> problems;
  Cabin cabin = Cabin::build(shape, problems);
  for (const ShapeProblem& problem : problems) ADD_FAILURE() << problem.message;
  const auto region = [](const Vector3& centre) {
    if (centre.x() < 0.6 || centre.x() > 1.05 || centre.z() > 0.6 || std::abs(centre.y()) < 0.15)
      return Mesh::air;
    return centre.y() < 0 ? 0 : 1;
  };
  return std::make_unique<SolvedBox>(std::move(cabin), test::BoxMeshOptions{{12, 8, 5}, region, {}}, medium,
                                     ears);
}

Source at(const Vector3& position) {
  Source source;
  source.name = "anywhere";
  source.position = position;
  return source;
}

class SmallCabin : public testing::TestWithParam<double> {};

TEST_P(SmallCabin, ReducedIsWithinTwoAndAHalfPercentOfFull) {
  // With strong walls and porous seats a basis of rigid modes alone has errors of decibels.
  Material wall;
  wall.specific_impedance = 1 / GetParam();
  const std::vector<Vector3> ears{{1.3, -0.3, 0.75}, {1.3, -0.12, 0.75}, {1.3, 0.12, 0.75}, {1.3, 0.3, 0.75}};
  const auto box = small_cabin(wall, ears);
  const WaveField field = box->field(400);
  // None of them a point that the basis was made for: a corner, before and behind the seats, a hand above the
  // foam, between the seats, near an ear. Within foam, where no driver may be, the error may be larger.
  const std::vector<Source> sources{at({0.02, -0.58, 0.02}), at({0.4, 0.5, 0.3}), at({1.7, 0, 0.1}),
                                    at({0.8, 0.4, 0.62}),    at({0.8, 0, 0.3}),   at({1.4, -0.3, 0.8})};
  const test::ReductionMiss miss =
      test::reduction_miss(field, box->cabin, sources, ears, test::frequencies_up_to(400, 72));
  EXPECT_LE(miss.worst, 0.025) << "source " << miss.source << ", ear " << miss.ear << ", "
                               << miss.frequency_hz << " Hz, " << miss.basis_vectors << " columns";
  RecordProperty("worst_per_mille", static_cast<int>(1000 * miss.worst));
}

// From almost rigid to a third of full absorption.
INSTANTIATE_TEST_SUITE_P(Walls, SmallCabin, testing::Values(0.01, 0.3));

}  // namespace
}  // namespace cabinfield
