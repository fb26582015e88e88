// The wave field on meshes of this program, against a benchmark, an exact solution and another program.
#include <gtest/gtest.h>
#include <unistd.h>
#include <yaml-cpp/yaml.h>

#include <array>
#include <cmath>
#include <cstdio>
#include <filesystem>

#include "base/constants.h"
#include "field/wave/mesher.h"
#include "field/wave/reduced_order_model.h"
#include "field/wave/rigid_modes.h"
#include "support/cabins.h"
#include "support/gmsh_file.h"
#include "support/layered_duct.h"
#include "support/plate_opening.h"
#include "support/wave_oracles.h"

namespace cabinfield {
namespace {

const Air air = air_with(343, 1.2);

Cabin built(CabinShape shape) {
  std::vector<ShapeProblem> problems;
  Cabin cabin = Cabin::build(std::move(shape), problems);
  for (const ShapeProblem& problem : problems) ADD_FAILURE() << problem.message;
  return cabin;
}

/// Three unit squares, half a metre high.
Cabin l_shape() {
  CabinShape shape = box_shape({2, 2, 0.5}, {0, 0, 0, 0, 0, 0});
  Block corner;
  corner.name = "corner";
  corner.sweep = Sweep::up;
  corner.corner = {{{1, 0}, ""}, {{2, 0}, ""}, {{2, 1}, ""}, {{1, 1}, ""}};
  corner.range = {0, 0.5};
  shape.blocks = {corner};
  return built(std::move(shape));
}

std::vector<double> square_wavenumbers(const Cabin& cabin, const MeshOptions& options) {
  const FiniteElementSpace space(mesh_cabin(cabin, options));
  const WaveMatrices matrices(space, cabin);
  std::vector<double> squares;
  for (double k : rigid_modes(matrices, 6).wavenumber_per_m) squares.push_back(k * k);
  return squares;
}

TEST(RigidModes, OfAnLShapeMatchTheBenchmark) {
  // M. Dauge, Benchmark computations for Maxwell equations: the first mode is singular at the
  // protruding corner.
  const Cabin cabin = l_shape();
  MeshOptions usual;
  usual.size_m = 0.1225;
  usual.edge_size_m = 0.8 * usual.size_m;
  MeshOptions graded = usual;
  graded.edge_size_m = 0.015;
  const auto coarse = square_wavenumbers(cabin, usual), fine = square_wavenumbers(cabin, graded);
  for (std::size_t m : {0, 1}) {
    EXPECT_NEAR(coarse[m + 1] / test::l_shape_square_wavenumbers[m], 1, 0.003) << "mode " << m;
    EXPECT_NEAR(fine[m + 1] / test::l_shape_square_wavenumbers[m], 1, 0.0005) << "mode " << m;
  }
}

// At a reentrant corner of 270 degrees the pressure goes with r^(2/3), and for any order of the elements an
// eigenvalue converges with h^(4/3) on uniform meshes (Strang & Fix, An Analysis of the
// Finite Element Method, ch. 8). Graded meshes, elements at the edge 5 and 10 times smaller than elsewhere,
// recover part of it, counted in degrees of freedom, which determine the cost.
TEST(RigidModes, ConvergeFasterWithDegreesOfFreedomOnAGradedMesh) {
  const Cabin cabin = l_shape();
  auto error_of = [&](double size_m, double edge_size_m) {
    MeshOptions options;
    options.size_m = size_m;
    options.edge_size_m = edge_size_m;
    const FiniteElementSpace space(mesh_cabin(cabin, options));
    const WaveMatrices matrices(space, cabin);
    const double k = rigid_modes(matrices, 3).wavenumber_per_m[1];
    return std::pair(static_cast<double>(space.degrees_of_freedom()),
                     std::abs(k * k / test::l_shape_square_wavenumbers[0] - 1));
  };
  const auto [even_few, even_coarse] = error_of(0.25, 0.25);
  const auto [even_many, even_fine] = error_of(0.125, 0.125);
  const auto [graded_few, graded_coarse] = error_of(0.25, 0.05);
  const auto [graded_many, graded_fine] = error_of(0.125, 0.0125);
  // In three dimensions degrees of freedom go with h^-3: the order in h is three times that in degrees of
  // freedom.
  const double even = 3 * std::log(even_coarse / even_fine) / std::log(even_many / even_few),
               graded = 3 * std::log(graded_coarse / graded_fine) / std::log(graded_many / graded_few);
  EXPECT_NEAR(even, 4.0 / 3, 0.3);  // 1.36 measured
  EXPECT_GT(graded, 2.5);           // 3.15 measured; 4 is what a smooth pressure gives
  EXPECT_LT(graded_fine, 0.2 * even_fine);
}

/// Largest relative error of the pressure behind a plate with a hole, over three frequencies.
double error_behind_opening(const MeshOptions& options) {
  const Vector3 size(2.0, 0.3, 0.25);
  CabinShape shape = box_shape(size, {1, 1, 0, 0, 0, 0});
  Partition plate;
  plate.name = "plate";
  plate.line = {Vector2(1, 0), Vector2(1, 0.25)};
  plate.range = {-0.15, 0.15};
  plate.openings = {{"hatch", Vector3(1, 0, 0.125), 0.12, 0.1, true}};
  shape.partitions = {plate};
  const Cabin cabin = built(std::move(shape));
  const FiniteElementSpace space(mesh_cabin(cabin, options));
  const WaveMatrices matrices(space, cabin);
  WaveMedium medium;
  medium.air = air;
  medium.materials.resize(2);
  medium.materials[1].specific_impedance = 1;
  medium.transfer_impedances = {TransferImpedance{}};
  const Vector3 source(0.3, -0.1, 0.2), ear(1.7, 0.1, 0.05);
  const ModelReducer reducer(matrices, cabin, {space.at(ear)});
  const PointValue place = space.at(source);
  const std::vector<double> frequencies{60, 150, 300};
  const auto fields = reducer.solve_in_full(medium, frequencies);
  double worst = 0;
  for (std::size_t f = 0; f < frequencies.size(); ++f) {
    Complex found = 0;
    for (int i = 0; i < 10; ++i) found += place.weight[i] * fields[f](place.degree_of_freedom[i], 0);
    found *= Complex(0, 2 * pi * frequencies[f] * air.density_kg_m3);
    const double length_m = test::rectangular_opening_length_m({0.3, 0.25, 0.15, 0.125, 0.12, 0.1},
                                                               2 * pi * frequencies[f] / air.sound_speed_m_s);
    test::LayeredDuct exact{size.y(), size.z(), {}, 1, 1};
    exact.layer = {
        test::air_layer(1, air, Complex(0, 2 * pi * frequencies[f] * air.density_kg_m3 * length_m)),
        test::air_layer(1, air)};
    const Complex expected = test::layered_duct_pressure(
        exact, air, frequencies[f], source + Vector3(0, 0.15, 0), ear + Vector3(0, 0.15, 0));
    worst = std::max(worst, std::abs(found / expected - 1.0));
  }
  return worst;
}

TEST(WavePartition, WithAnOpeningTransmitsAccordingToItsMass) {
  MeshOptions fine;
  fine.size_m = 0.08;
  fine.edge_size_m = 0.006;
  EXPECT_LT(error_behind_opening(fine), 0.03);
}

// With the mesh of a prediction up to 400 Hz.
TEST(WavePartition, WithAnOpeningIsAccurateOnTheUsualMesh) {
  MeshOptions usual;
  usual.size_m = 0.1225;
  usual.edge_size_m = 0.8 * usual.size_m;
  EXPECT_LT(error_behind_opening(usual), 0.04);
}

TEST(RigidModes, MatchGetfemOnTheSameMesh) {
  const Cabin cabin = test::car_cabin();
  MeshOptions options;
  options.size_m = 0.2;
  options.edge_size_m = 0.15;
  const Mesh mesh = mesh_cabin(cabin, options);
  const auto path =
      std::filesystem::temp_directory_path() / ("cabinfield_modes_" + std::to_string(getpid()) + ".msh");
  test::write_gmsh_file(mesh, path);
  const std::string command = "/usr/bin/python3 " CABINFIELD_SOURCE_DIR "/tests/reference/getfem_modes.py '" +
                              path.string() + "' --count 8 --sound-speed 343";
  std::FILE* pipe = popen(command.c_str(), "r");
  ASSERT_NE(pipe, nullptr);
  std::string output;
  std::array<char, 4096> part{};
  while (std::size_t count = std::fread(part.data(), 1, part.size(), pipe)) output.append(part.data(), count);
  ASSERT_EQ(pclose(pipe), 0) << output;
  std::filesystem::remove(path);
  const auto theirs = YAML::Load(output)["mode_frequency_hz"].as<std::vector<double>>();
  ASSERT_EQ(theirs.size(), 8U);

  const FiniteElementSpace space(mesh);
  const WaveMatrices matrices(space, cabin);
  const RigidModes ours = rigid_modes(matrices, 9);
  for (std::size_t m = 0; m < theirs.size(); ++m)
    EXPECT_NEAR(ours.wavenumber_per_m[m + 1] * 343 / (2 * pi) / theirs[m], 1, 1e-4) << "mode " << m;
}

}  // namespace
}  // namespace cabinfield
