// Modes with materials: each must solve the system with the materials at the mode's own frequency, the
// definition of a mode.
#include "field/wave/cabin_modes.h"

#include <gtest/gtest.h>

#include <Eigen/SVD>
#include <cmath>

#include "base/constants.h"
#include "field/wave/wave_field.h"
#include "support/box_mesh.h"
#include "support/cabins.h"

namespace cabinfield {
namespace {

/// Smallest singular value of the reduced system at a complex wavenumber.
double smallest_singular(const WaveField& field, const Cabin& cabin, Complex k) {
  const WaveCabin& solved = field.solved();
  const double frequency_hz = k.real() * field.medium().air.sound_speed_m_s / (2 * pi);
  const Table<Complex, 2> property = field.medium().properties(*solved.matrices, cabin, {frequency_hz});
  const ReducedOperator system(solved.matrices->terms(), solved.reduced.projected, property);
  Eigen::MatrixXcd weight(system.groups().size(), 1);
  for (std::size_t g = 0; g < system.groups().size(); ++g)
    weight(static_cast<Eigen::Index>(g), 0) =
        term_weight(system.groups()[g].kind, property(system.groups()[g].term, 0), k);
  return Eigen::JacobiSVD<Eigen::MatrixXcd>(system.weighed(weight).front()).singularValues().tail(1)[0];
}

TEST(CabinModes, SolveTheSystemWithTheMaterialsAtTheirFrequency) {
  CabinShape shape = test::box_shape_of({1.8, 1.2, 1.0}, 1);
  std::vector<ShapeProblem> problems;
  const Cabin cabin = Cabin::build(std::move(shape), problems);
  WaveMedium medium;
  medium.air = air_with(343, 1.2);
  medium.materials.resize(2);
  // A panel whose resonance lies at the first mode: its admittance turns over within a few hertz.
  medium.materials[1].panel = Panel{10, 97, 0.15};
  medium.materials[1].specific_impedance = 30;
  const WaveField field(cabin, medium, {{0.5, -0.3, 0.7}, {0.5, -0.1, 0.7}}, {.top_hz = 250});
  const std::vector<CabinMode> modes = field.modes(200);
  ASSERT_GE(modes.size(), 3U);
  for (const CabinMode& mode : modes) {
    const double real = 2 * pi * mode.damped_hz / 343;
    const Complex k(real, real / std::sqrt(4 * mode.q * mode.q - 1));
    // A hundredth away it is far from singular.
    EXPECT_LT(smallest_singular(field, cabin, k), 0.05 * smallest_singular(field, cabin, 1.01 * k))
        << mode.rigid_hz << " Hz with rigid walls, " << mode.damped_hz << " Hz, Q " << mode.q;
  }
  for (std::size_t i = 0; i < modes.size(); ++i)
    for (std::size_t j = 0; j < i; ++j)
      EXPECT_FALSE(std::abs(modes[i].damped_hz / modes[j].damped_hz - 1) < 1e-4 &&
                   std::abs(modes[i].q / modes[j].q - 1) < 1e-3)
          << "two modes came out as one: " << modes[i].damped_hz << " Hz";
}

/// The modes of a box on a regular mesh whose inner nodes are moved, so that its elements differ in size.
std::vector<CabinMode> modes_of(const Cabin& cabin, const WaveMedium& medium, const std::array<int, 3>& cells,
                                const std::vector<Vector3>& ears, double top_hz) {
  Mesh mesh = test::box_mesh(cabin, {cells, {}, {}});
  const double length_m = cabin.shape().box->x();
  for (Vector3& node : mesh.node) node.x() *= std::pow(node.x() / length_m, 0.5);
  const FiniteElementSpace space(std::move(mesh));
  const WaveMatrices matrices(space, cabin);
  std::vector<PointValue> values;
  for (const Vector3& ear : ears) values.push_back(space.at(ear));
  const ModelReducer reducer(matrices, cabin, values);
  return cabin_modes(reducer.reduce(medium, {}), space, matrices, cabin, medium, top_hz);
}

// p = cos(l pi x/Lx) cos(m pi y/Ly) (Morse & Ingard, Theoretical Acoustics, section 9.5): |p| is 1 in the
// corners; of |grad p|^2, averaged over the box, (l/Lx)^2 is along x and (m/Ly)^2 along y.
TEST(CabinModes, OfARigidBoxMatchFrequencyAndDirectionOfTheClosedForm) {
  const Vector3 size(2.1, 1.3, 0.9);
  WaveMedium medium;
  medium.air = air_with(343, 1.2);
  medium.materials.resize(1);
  const std::vector<Vector3> ears{{0.4, -0.3, 0.7}, {1.3, 0.15, 0.5}};
  const std::vector<CabinMode> modes = modes_of(test::box_cabin(size), medium, {14, 8, 6}, ears, 160);
  const std::vector<std::array<int, 2>> order{{1, 0}, {0, 1}, {1, 1}};
  ASSERT_EQ(modes.size(), order.size());
  for (std::size_t m = 0; m < order.size(); ++m) {
    const double along_x = order[m][0] / size.x(), along_y = order[m][1] / size.y(),
                 square = along_x * along_x + along_y * along_y;
    EXPECT_NEAR(modes[m].rigid_hz / (0.5 * 343 * std::sqrt(square)), 1, 1e-3) << m;
    // Rigid walls damp nothing and move nothing.
    EXPECT_NEAR(modes[m].damped_hz / modes[m].rigid_hz, 1, 1e-4) << m;
    EXPECT_GT(modes[m].q, 1e4) << m;
    // 0.01: the slope is taken at the middle of each element alone.
    EXPECT_NEAR(modes[m].along[0], along_x * along_x / square, 0.01) << m;
    EXPECT_NEAR(modes[m].along[1], along_y * along_y / square, 0.01) << m;
    EXPECT_NEAR(modes[m].along[2], 0, 0.01) << m;
    ASSERT_EQ(modes[m].ear_level.size(), ears.size());
    for (std::size_t e = 0; e < ears.size(); ++e)
      EXPECT_NEAR(modes[m].ear_level[e],
                  std::abs(std::cos(pi * along_x * ears[e].x()) *
                           std::cos(pi * along_y * (ears[e].y() + 0.5 * size.y()))),
                  0.005)
          << "mode " << m << ", ear " << e;
  }
}

// A duct, rigid at one end, with a specific admittance beta at the other. By hand: p = cos(k x) and p' = -j k
// beta p at the end give tan(k L) = j beta, which is k L = n pi + j artanh(beta) for a real beta. With omega
// = c k, Q = |k|/(2 Im k).
TEST(CabinModes, OfADuctWithASoftEndMatchTheDampingOfTheClosedForm) {
  const double length_m = 1.5;
  std::vector<ShapeProblem> problems;
  const Cabin cabin = Cabin::build(box_shape({length_m, 0.4, 0.3}, {0, 1, 0, 0, 0, 0}), problems);
  WaveMedium medium;
  medium.air = air_with(343, 1.2);
  medium.materials.resize(2);
  for (double beta : {0.1, 0.4}) {
    medium.materials[1].specific_impedance = 1 / beta;
    const std::vector<CabinMode> modes = modes_of(cabin, medium, {16, 3, 3}, {{0.4, 0.1, 0.2}}, 360);
    ASSERT_EQ(modes.size(), 3U);
    for (std::size_t n = 0; n < 3; ++n) {
      const Complex k = Complex(static_cast<double>(n + 1) * pi, std::atanh(beta)) / length_m;
      // Of the first, Q 3.74 at the softer end, |k| is 0.9 % more than its real part: 0.3 % tells them apart.
      EXPECT_NEAR(modes[n].damped_hz / (343 * k.real() / (2 * pi)), 1, 0.003) << beta << ", mode " << n;
      EXPECT_NEAR(modes[n].q / (std::abs(k) / (2 * k.imag())), 1, 0.003) << beta << ", mode " << n;
    }
  }
}

}  // namespace
}  // namespace cabinfield
