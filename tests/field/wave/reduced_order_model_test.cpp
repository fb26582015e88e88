// The wave field on a regular mesh, against closed-form solutions.
#include "field/wave/reduced_order_model.h"

#include <gtest/gtest.h>

#include <cmath>
#include <set>
#include <string>

#include "base/constants.h"
#include "field/wave/rigid_modes.h"
#include "field/wave/wave_field.h"
#include "support/cabins.h"
#include "support/impedance_box.h"
#include "support/solved_box.h"
#include "support/wave_oracles.h"

namespace cabinfield {
namespace {

using test::SolvedBox;

const Vector3 box_size(2.0, 1.4, 1.1);
/// From a corner as origin to the middle of the front lower edge.
Vector3 located(const Vector3& point) { return point - Vector3(0, 0.7, 0); }

Material of_admittance(Complex beta) {
  Material material;
  if (beta != Complex(0)) material.specific_impedance = 1.0 / beta;
  return material;
}

SolvedBox impedance_box(Complex beta, std::array<int, 3> cells) {
  WaveMedium medium;
  medium.air = air_with(343, 1.2);
  medium.materials = {of_admittance(beta)};
  return {test::box_cabin(box_size),
          {cells, {}, {}},
          medium,
          {located({1.5, 1.0, 0.9}), located({1.1, 0.4, 0.9})}};
}

TEST(RigidModes, OfABoxMatchTheClosedForm) {
  // Morse & Ingard, Theoretical Acoustics, section 9.5. Cells of 100 mm.
  const SolvedBox box = impedance_box(0, {20, 14, 11});
  const RigidModes modes = rigid_modes(box.matrices, 22);
  const std::vector<double> exact = test::rigid_box_modes(box_size, box.medium.air, 20);
  EXPECT_NEAR(modes.wavenumber_per_m[0], 0, 1e-4);
  for (std::size_t m = 0; m < 20; ++m) {
    const double frequency_hz = modes.wavenumber_per_m[m + 1] * 343 / (2 * pi);
    EXPECT_NEAR(frequency_hz / exact[m], 1, 2e-4) << "mode " << m;
  }
}

TEST(RigidModes, ConvergeWithTheFourthPowerOfTheMeshSize) {
  // Second-order elements: the eigenvalue's error goes with h^4 (Strang & Fix, An Analysis of the Finite
  // Element Method, chapter 6).
  std::vector<double> error;
  const double exact = std::pow(pi / 2.0, 2) + std::pow(pi / 1.4, 2) + std::pow(pi / 1.1, 2);
  for (int n : {1, 2, 4}) {
    const SolvedBox box = impedance_box(0, {5 * n, 4 * n, 3 * n});
    const RigidModes modes = rigid_modes(box.matrices, 12);
    double nearest = 1e9;
    for (double k : modes.wavenumber_per_m)
      if (std::abs(k * k - exact) < std::abs(nearest)) nearest = k * k - exact;
    error.push_back(nearest);
  }
  for (int i : {0, 1}) {
    const double order = std::log2(error[i] / error[i + 1]);
    EXPECT_GT(order, 3.5);
    EXPECT_LT(order, 4.5);
  }
}

class ImpedanceBox : public testing::TestWithParam<Complex> {};

TEST_P(ImpedanceBox, MatchesTheClosedForm) {
  const SolvedBox box = impedance_box(GetParam(), {20, 14, 11});  // cells of 100 mm
  ReductionOptions options;
  options.tolerance = 0.0005;
  options.moments = 6;
  const ReducedOrderModel basis_vectors = box.reducer.reduce(box.medium, options);
  for (double frequency_hz : {60.0, 120.0, 240.0}) {
    const Vector3 source(0.4, 0.3, 0.25);
    const Complex exact = test::impedance_box_pressure(box_size, GetParam(), box.medium.air, frequency_hz,
                                                       source, {1.5, 1.0, 0.9});
    const Complex full = box.in_full(located(source), frequency_hz),
                  reduced = box.reduced(basis_vectors, located(source), frequency_hz);
    EXPECT_LT(std::abs(full - exact), 0.005 * std::abs(exact)) << frequency_hz << " Hz";
    EXPECT_LT(std::abs(reduced - full), 0.001 * std::abs(full)) << frequency_hz << " Hz";
  }
}

INSTANTIATE_TEST_SUITE_P(Walls, ImpedanceBox,
                         testing::Values(Complex(0.05), Complex(0.05, 0.03), Complex(0.3, 0.5)));

// With the field and its first m - 1 derivatives at one frequency in the basis, the error nearby goes with
// the m-th power of the distance from it, the next term of the Taylor series (Grimme, Krylov projection
// methods for model reduction, 1997).
TEST(ReducedOrderModel, ErrorFollowsThePowerOfTheDistanceGivenByItsMoments) {
  const SolvedBox box = impedance_box({0.3, 0.2}, {10, 7, 6});
  const Vector3 source = located({0.4, 0.3, 0.25});
  for (int moments : {1, 2, 3}) {
    ReductionOptions options;
    options.shift_shares = {0.5};  // 200 Hz
    options.modes = 1;
    options.moments = moments;
    options.max_extra_shifts = 0;
    const ReducedOrderModel basis_vectors = box.reducer.reduce(box.medium, options);
    ASSERT_EQ(basis_vectors.shift_hz, std::vector<double>{200});
    std::vector<double> miss;
    for (double away_hz : {4.0, 8.0}) {
      double worst = 0;
      for (double f : {200 - away_hz, 200 + away_hz})
        for (Eigen::Index ear : {0, 1})
          worst = std::max(
              worst,
              std::abs(box.reduced(basis_vectors, source, f, ear) / box.in_full(source, f, ear) - 1.0));
      miss.push_back(worst);
    }
    EXPECT_NEAR(std::log2(miss[1] / miss[0]), moments, 0.3) << miss[0] << " and " << miss[1];
  }
}

TEST(ReducedOrderModel, UsesNoMoreShiftsThanAllowedAndNoneTwice) {
  const SolvedBox box = impedance_box(0.3, {6, 4, 4});
  for (int extra : {0, 1, 2, 3}) {
    ReductionOptions options;
    options.shift_shares = {0.3};
    options.moments = 1;
    options.tolerance = 1e-6;  // out of reach
    options.max_extra_shifts = extra;
    const ReducedOrderModel basis_vectors = box.reducer.reduce(box.medium, options);
    EXPECT_EQ(basis_vectors.shift_hz.size(), static_cast<std::size_t>(1 + extra));
    EXPECT_EQ(std::set<double>(basis_vectors.shift_hz.begin(), basis_vectors.shift_hz.end()).size(),
              basis_vectors.shift_hz.size());
    EXPECT_EQ(basis_vectors.mode.rows(), basis_vectors.basis.cols());
    // The lowest mode is the constant pressure, whatever was added to the basis later.
    const Eigen::VectorXd even = basis_vectors.basis * basis_vectors.mode.col(0);
    EXPECT_LT((even.array() / even.mean() - 1).abs().maxCoeff(), 1e-4);
  }
}

TEST(WaveField, OfAClosedRigidCabinIsThatOfAPressureVessel) {
  const SolvedBox box = impedance_box(0, {14, 10, 8});
  std::vector<double> deviation;
  for (double frequency_hz : {1.0, 2.0, 4.0}) {
    const Complex vessel = test::vessel_pressure(box_size.prod(), box.medium.air, frequency_hz);
    deviation.push_back(std::abs(box.in_full(located({0.4, 0.3, 0.25}), frequency_hz) / vessel - 1.0));
  }
  EXPECT_LT(deviation[0], 0.001);
  EXPECT_LT(deviation[1], 0.005);
  EXPECT_NEAR(deviation[1] / deviation[0], 4, 0.1);
  EXPECT_NEAR(deviation[2] / deviation[1], 4, 0.1);
}

TEST(WaveField, IsReciprocalAndPassive) {
  const SolvedBox box = impedance_box({0.3, 0.5}, {10, 7, 6});
  const Vector3 a = located({1.5, 1.0, 0.9}), b = located({0.4, 0.3, 0.25});
  const SolvedBox turned(test::box_cabin(box_size), {{10, 7, 6}, {}, {}}, box.medium, {b});
  const ReducedOrderModel basis_vectors = box.reducer.reduce(box.medium, {}),
                          back = turned.reducer.reduce(box.medium, {});
  for (double frequency_hz : {20.0, 90.0, 170.0, 333.0}) {
    const Complex there = box.in_full(b, frequency_hz), again = turned.in_full(a, frequency_hz);
    EXPECT_LT(std::abs(there - again), 1e-6 * std::abs(there));
    // A source delivers power to passive walls: Re p at the source is not negative.
    EXPECT_GE(box.reduced(basis_vectors, a, frequency_hz).real(), 0);
    EXPECT_GE(turned.reduced(back, b, frequency_hz).real(), 0);
  }
}

TEST(WaveField, ThatNeedsTooMuchMemoryNamesTheFrequencyThatFits) {
  const Cabin cabin = test::box_cabin({1.2, 0.8, 0.7});
  WaveMedium medium;
  medium.air = air_with(343, 1.2);
  medium.materials.resize(1);
  WaveOptions options;
  options.top_hz = 430;
  options.memory_gb = 0.13;
  std::string words;
  try {
    const WaveField field(cabin, medium, {{0.9, 0.2, 0.5}}, options);
    ADD_FAILURE() << "took more than it may";
  } catch (const TooLarge& refusal) {
    words = refusal.what();
  }
  const std::size_t at = words.find("lower it to ", words.find("allowed"));
  ASSERT_NE(at, std::string::npos) << words;
  options.top_hz = std::stod(words.substr(at + 12));
  EXPECT_LT(options.top_hz, 430) << words;
  EXPECT_GT(options.top_hz, 100) << words;
  EXPECT_NO_THROW(WaveField(cabin, medium, {{0.9, 0.2, 0.5}}, options)) << words;
}

}  // namespace
}  // namespace cabinfield
