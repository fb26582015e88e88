// Leaks, panels, partitions and porous bodies in the wave field, on regular meshes, against exact solutions
// of ducts.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "base/constants.h"
#include "field/wave/mesher.h"
#include "support/box_mesh.h"
#include "support/cabins.h"
#include "support/layered_duct.h"
#include "support/solved_box.h"
#include "support/wave_oracles.h"

namespace cabinfield {
namespace {

using test::SolvedBox;

const Air air = air_with(343, 1.2);

/// A duct along x, with materials of its front and rear ends; all else is rigid.
Cabin duct(const Vector3& size, int front, int rear) {
  std::vector<ShapeProblem> problems;
  return Cabin::build(box_shape(size, {front, rear, 0, 0, 0, 0}), problems);
}

Material with_impedance(Complex specific_impedance) {
  Material material;
  material.specific_impedance = specific_impedance;
  return material;
}

TEST(WaveLeak, AndVolumeResonateAsSpringAndMass) {
  // A third of the vessel's air moves along (Rayleigh, Theory of Sound, sections 303 ff.): the exact answer
  // of the duct whose whole end wall takes in the leak's flow.
  const Vector3 size(0.9, 0.7, 0.6);
  const Leak leak{0.004, 0.03};
  WaveMedium medium;
  medium.air = air;
  medium.materials = {Material{}};
  const Cabin cabin = duct(size, 0, 0);
  medium.leaks = {{leak, cabin.surface_index("rear")}};
  const SolvedBox box(cabin, {{5, 4, 4}, {}, {}}, medium, {{0.8, 0.3, 0.5}});
  const double expected = test::helmholtz_in_duct_hz(
      size.x(), size.y() * size.z(), test::duct_mass_kg_m4(leak.area_m2, leak.depth_m, air), air);
  const double found = test::peak_hz(
      [&](double f) {
        return std::abs(box.in_full({0.1, -0.3, 0.1}, f));
      },
      0.6 * expected, 1.5 * expected);
  EXPECT_NEAR(found / expected, 1, 0.02);
}

TEST(WavePanel, HasTheResonancesOfTheTranscendentalEquation) {
  const Vector3 size(1.5, 0.4, 0.3);
  Material panel;
  panel.panel = Panel{6, 70, 0.02};
  WaveMedium medium;
  medium.air = air;
  medium.materials = {Material{}, panel};
  const SolvedBox box(duct(size, 0, 1), {{12, 3, 3}, {}, {}}, medium, {{0.05, 0.1, 0.1}});
  const auto expected = test::panel_duct_resonances(size.x(), *panel.panel, air, 350);
  ASSERT_GE(expected.size(), 3U);
  for (const Complex resonance : expected) {
    if (resonance.real() < 10) continue;
    const double found = test::peak_hz(
        [&](double f) {
          return std::abs(box.in_full({0.02, -0.1, 0.2}, f));
        },
        0.94 * resonance.real(), 1.06 * resonance.real());
    EXPECT_NEAR(found / resonance.real(), 1, 0.01);
  }
}

TEST(WavePartition, TransmitsAsThePlaneWaveSolution) {
  const Vector3 size(2.4, 0.3, 0.25);
  WaveMedium medium;
  medium.air = air;
  medium.materials = {Material{}, with_impedance(1)};
  TransferImpedance transfer_impedance;
  transfer_impedance.panel = Panel{3, 90, 0.3};
  medium.transfer_impedances = {transfer_impedance};
  test::BoxMeshOptions options{{24, 3, 3}, {}, [](const Vector3& centre, const Vector3& normal) {
                                 return std::abs(centre.x() - 1.2) < 1e-9 && normal.x() > 0.99 ? 0 : -1;
                               }};
  const SolvedBox box(duct(size, 1, 1), options, medium, {{2.05, 0.1, 0.05}});
  const Vector3 source(0.35, -0.1, 0.2);
  for (double f : {40.0, 90.0, 150.0, 250.0, 380.0}) {
    test::LayeredDuct exact{size.y(), size.z(), {}, 1, 1};
    exact.layer = {test::air_layer(1.2, air, transfer_impedance_pa_s_m(transfer_impedance, air, f)),
                   test::air_layer(1.2, air)};
    const Complex expected = test::layered_duct_pressure(exact, air, f, source + Vector3(0, 0.15, 0),
                                                         Vector3(2.05, 0.25, 0.05)),
                  plain = 0.5 * air.characteristic_impedance() / (size.y() * size.z()) *
                          std::polar(1.0, -2 * pi * f / 343 * 1.7) *
                          test::partition_transmission(transfer_impedance_pa_s_m(transfer_impedance, air, f),
                                                       air);
    EXPECT_LT(std::abs(expected / plain - 1.0), 0.03) << f << " Hz: the two exact answers";
    EXPECT_LT(std::abs(box.in_full(source, f) / expected - 1.0), 0.03) << f << " Hz";
  }
}

TEST(WavePartition, ThatIsRigidTransmitsNothing) {
  WaveMedium medium;
  medium.air = air;
  medium.materials = {Material{}, with_impedance(1)};
  medium.transfer_impedances = {TransferImpedance{}};
  test::BoxMeshOptions options{{12, 2, 2}, {}, [](const Vector3& centre, const Vector3& normal) {
                                 return std::abs(centre.x() - 0.6) < 1e-9 && normal.x() > 0.99 ? 0 : -1;
                               }};
  const SolvedBox box(duct({1.2, 0.3, 0.25}, 1, 1), options, medium, {{1.0, 0.1, 0.05}, {0.2, 0.1, 0.05}});
  EXPECT_LT(std::abs(box.in_full({0.3, -0.1, 0.2}, 100)),
            1e-9 * std::abs(box.in_full({0.3, -0.1, 0.2}, 100, 1)));
  const auto apart = box.space.components({false}), joined = box.space.components({true});
  EXPECT_EQ(*std::max_element(apart.begin(), apart.end()), 1);
  EXPECT_EQ(*std::max_element(joined.begin(), joined.end()), 0);
}

TEST(WaveFilling, ReflectsAsTheTransferMatrix) {
  const Vector3 size(1.6, 0.3, 0.25);
  Filling foam;
  foam.flow_resistivity_pa_s_m2 = 9000;
  WaveMedium medium;
  medium.air = air;
  medium.materials = {Material{}, with_impedance(1)};
  medium.fillings = {foam};
  std::vector<ShapeProblem> problems;
  CabinShape shape = box_shape(size, {1, 0, 0, 0, 0, 0});
  Block block;
  block.name = "foam";
  block.corner = {{{1.4, 0}, ""}, {{1.6, 0}, ""}, {{1.6, 0.25}, ""}, {{1.4, 0.25}, ""}};
  block.range = {-0.15, 0.15};
  block.filling = 0;
  shape.blocks = {block};
  // Four elements across the layer: the wave in the foam is short.
  const SolvedBox box(
      Cabin::build(shape, problems),
      {{32, 3, 3}, [](const Vector3& centre) { return centre.x() > 1.4 ? 0 : Mesh::air; }, {}}, medium,
      {{1.3, 0.1, 0.05}, {0.9, 0.1, 0.05}});
  const Vector3 source(0.2, -0.1, 0.2);
  for (double f : {40.0, 100.0, 200.0, 300.0, 400.0}) {
    const EquivalentFluid fluid = equivalent_fluid(foam, air, {f});
    test::LayeredDuct exact{size.y(), size.z(), {}, 1, 0};
    exact.layer = {test::air_layer(1.4, air), {0.2, fluid.density_kg_m3[0], fluid.bulk_modulus_pa[0], 0}};
    for (Eigen::Index ear : {0, 1}) {
      const Complex expected = test::layered_duct_pressure(exact, air, f, source + Vector3(0, 0.15, 0),
                                                           Vector3(ear == 0 ? 1.3 : 0.9, 0.25, 0.05));
      EXPECT_LT(std::abs(box.in_full(source, f, ear) / expected - 1.0), 0.02) << f << " Hz, ear " << ear;
    }
  }
}

// Leaks and walls act in parallel: their admittances add up, however the surface is divided into materials.
TEST(WaveLeak, AddsItsFlowToThatOfAnyWall) {
  const Leak one{0.002, 0.01}, two{0.0005, 0.04};
  WaveMedium medium;
  medium.air = air;
  medium.materials = {Material{}, with_impedance({3, -4}), with_impedance(8)};
  // Two corners name one surface: a floor of two materials.
  CabinShape shape = box_shape({2.0, 0.8, 0.6}, {0, 0, 0, 0, 1, 0});
  const auto floor = std::find_if(shape.outline.begin(), shape.outline.end(),
                                  [](const OutlineCorner& corner) { return corner.surface == "floor"; });
  ASSERT_NE(floor, shape.outline.end());
  shape.outline.insert(floor + 1, {{0.5, 0}, "floor", 2});
  shape.box.reset();
  std::vector<ShapeProblem> problems;
  const Cabin cabin = Cabin::build(shape, problems);
  ASSERT_TRUE(problems.empty()) << problems.front().message;
  MeshOptions options;
  options.size_m = options.edge_size_m = 0.3;
  const FiniteElementSpace space(mesh_cabin(cabin, options));
  const WaveMatrices matrices(space, cabin);
  const int leaky = cabin.surface_index("floor");
  medium.leaks = {{one, leaky}, {two, leaky}};
  const std::vector<double> frequencies{30, 110, 350};
  const Table<Complex, 2> property = medium.properties(matrices, cabin, frequencies);
  for (std::size_t f = 0; f < frequencies.size(); ++f) {
    // The floor is 2 x 0.8 m; one of its materials has 0.5 x 0.8 m of it.
    std::vector<double> area(3, 0.0);
    Complex flow = 0;
    for (std::size_t t = 0; t < matrices.terms().size(); ++t) {
      if (matrices.terms()[t].kind != OperatorTerm::Kind::wall) continue;
      const WallGroup& wall = matrices.walls()[matrices.terms()[t].index];
      if (wall.surface != leaky) {
        EXPECT_EQ(property(t, f), Complex(0));
        continue;
      }
      area[wall.material] += wall.area_m2;
      flow += property(t, f) * wall.area_m2 / air.characteristic_impedance();
    }
    EXPECT_NEAR(area[1] + area[2], 1.6, 1e-9);
    EXPECT_NEAR(std::min(area[1], area[2]), 0.4, 1e-9);
    const Complex expected = (area[1] / Complex(3, -4) + area[2] / 8) / air.characteristic_impedance() +
                             leak_admittance_m3_s_pa(one, air, frequencies[f]) +
                             leak_admittance_m3_s_pa(two, air, frequencies[f]);
    EXPECT_LT(std::abs(flow - expected), 1e-9 * std::abs(expected)) << frequencies[f] << " Hz";
  }
}

// A uniform pressure drives no flow through a sheet: a cabin with a sheet that ends in the air is still one
// pressure vessel (within 0.5 % at 2 Hz, as without it).
TEST(WavePartition, ThatEndsInTheAirLeavesOnePressureVessel) {
  const Vector3 size(2.0, 1.4, 1.1);
  WaveMedium medium;
  medium.air = air;
  medium.materials = {Material{}};
  Filling felt;
  felt.flow_resistivity_pa_s_m2 = 20000;
  TransferImpedance transfer_impedance;
  transfer_impedance.porous =
      PorousSheet{felt, 0.002};  // 40 Pa s/m: a tenth of the characteristic impedance of air
  medium.transfer_impedances = {transfer_impedance};
  const test::BoxMeshOptions options{{10, 7, 6}, {}, [](const Vector3& centre, const Vector3& normal) {
                                       const bool there =
                                           std::abs(centre.x() - 1.0) < 1e-9 && normal.x() > 0.99;
                                       return there && centre.z() < 0.55 ? 0 : -1;
                                     }};
  const SolvedBox box(test::box_cabin(size), options, medium, {{1.6, 0.3, 0.3}, {0.3, -0.4, 0.9}});
  for (Eigen::Index ear : {0, 1})
    EXPECT_LT(
        std::abs(box.in_full({0.4, 0.3, 0.25}, 2, ear) / test::vessel_pressure(size.prod(), air, 2) - 1.0),
        0.005)
        << "ear " << ear;
}

// Two layers of different foams at the two ends of a duct, against the exact solution of layers.
TEST(WaveFilling, BelongsToItsOwnBlock) {
  const Vector3 size(1.6, 0.3, 0.25);
  Filling light, dense;
  light.flow_resistivity_pa_s_m2 = 3000;
  dense.flow_resistivity_pa_s_m2 = 20000;
  WaveMedium medium;
  medium.air = air;
  medium.materials = {Material{}};
  medium.fillings = {light, dense};
  CabinShape shape = box_shape(size, {0, 0, 0, 0, 0, 0});
  auto layer = [](const std::string& name, double from, double to, int filling) {
    Block block;
    block.name = name;
    block.corner = {{{from, 0}, ""}, {{to, 0}, ""}, {{to, 0.25}, ""}, {{from, 0.25}, ""}};
    block.range = {-0.15, 0.15};
    block.filling = filling;
    return block;
  };
  shape.blocks = {layer("rear", 1.4, 1.6, 1), layer("front", 0, 0.2, 0)};
  std::vector<ShapeProblem> problems;
  const SolvedBox box(Cabin::build(shape, problems),
                      {{32, 3, 3},
                       [](const Vector3& centre) {
                         return centre.x() > 1.4 ? 0 : centre.x() < 0.2 ? 1 : Mesh::air;
                       },
                       {}},
                      medium, {{1.3, 0.1, 0.05}, {0.9, 0.1, 0.05}});
  const Vector3 source(0.4, -0.1, 0.2);
  for (double f : {40.0, 100.0, 200.0, 300.0, 400.0}) {
    const EquivalentFluid in_front = equivalent_fluid(light, air, {f}),
                          behind = equivalent_fluid(dense, air, {f});
    test::LayeredDuct exact{size.y(), size.z(), {}, 0, 0};
    exact.layer = {{0.2, in_front.density_kg_m3[0], in_front.bulk_modulus_pa[0], 0},
                   test::air_layer(1.2, air),
                   {0.2, behind.density_kg_m3[0], behind.bulk_modulus_pa[0], 0}};
    for (Eigen::Index ear : {0, 1}) {
      const Complex expected = test::layered_duct_pressure(exact, air, f, source + Vector3(0, 0.15, 0),
                                                           Vector3(ear == 0 ? 1.3 : 0.9, 0.25, 0.05));
      EXPECT_LT(std::abs(box.in_full(source, f, ear) / expected - 1.0), 0.02) << f << " Hz, ear " << ear;
    }
  }
}

TEST(WaveField, OfAFurnishedSealedCabinHasThePressureGain) {
  // Carpet on foam and upholstery of Bies, Hansen & Howard, Engineering Noise Control, 5th ed., table 6.2.
  Material carpet, seats;
  carpet.absorption = {{125, 0.08}, {250, 0.24}, {500, 0.57}, {1000, 0.69}, {2000, 0.71}, {4000, 0.73}};
  seats.absorption = {{125, 0.54}, {250, 0.62}, {500, 0.68}, {1000, 0.70}, {2000, 0.68}, {4000, 0.66}};
  WaveMedium medium;
  medium.air = air;
  medium.materials = {Material{}, carpet, seats};
  std::vector<ShapeProblem> problems;
  const Vector3 size(2.3, 1.4, 1.1);
  const SolvedBox furnished(Cabin::build(box_shape(size, {1, 2, 0, 0, 1, 1}), problems), {{8, 5, 4}, {}, {}},
                            medium, {{1.5, 0.4, 0.9}});
  const double change_db = 20 * std::log10(std::abs(furnished.in_full({0.3, -0.5, 0.3}, 10) /
                                                    test::vessel_pressure(size.prod(), air, 10)));
  EXPECT_LT(std::abs(change_db), 1) << "against a rigid vessel at 10 Hz";
}

}  // namespace
}  // namespace cabinfield
