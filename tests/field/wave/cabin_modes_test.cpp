// Modes with the materials as they are: each must be one of the system with its materials taken at the mode's
// own frequency, which is what makes it a mode at all.
#include "field/wave/cabin_modes.h"

#include <gtest/gtest.h>

#include <Eigen/SVD>
#include <cmath>

#include "base/constants.h"
#include "field/wave/wave_field.h"
#include "support/cabins.h"

namespace cabinfield {
namespace {

/// How nearly singular the reduced system is at a complex wavenumber: its smallest singular value.
double smallest_singular(const WaveField& field, const Cabin& cabin, Complex k) {
  const WaveCabin& solved = field.solved();
  const double frequency_hz = k.real() * field.medium().air.sound_speed_m_s / (2 * pi);
  const Table<Complex, 2> property = field.medium().properties(*solved.matrices, cabin, {frequency_hz});
  const ReducedSystem system(solved.matrices->terms(), solved.reduced.projected, property);
  Eigen::MatrixXcd weight(system.groups().size(), 1);
  for (std::size_t g = 0; g < system.groups().size(); ++g)
    weight(static_cast<Eigen::Index>(g), 0) =
        term_weight(system.groups()[g].kind, property(system.groups()[g].term, 0), k);
  return Eigen::JacobiSVD<Eigen::MatrixXcd>(system.weighed(weight).front()).singularValues().tail(1)[0];
}

TEST(CabinModes, SolveTheSystemWithTheMaterialsOfTheirOwnFrequency) {
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

}  // namespace
}  // namespace cabinfield
