// Passive walls, fillings and partitions deliver no power at any frequency: neither their properties nor a
// cabin made of them, with the full or the reduced-order model.
//
// e^{+j omega t}: a wall absorbs 1/2 Re(beta) |p|^2/(rho c), a sheet the same of its pressure jump. In a
// fluid Im(rho)
// <= 0 <= Im(K) (Allard & Atalla, Propagation of Sound in Porous Media, 2nd ed., chapter 5; filling.h): of
// the weights, Im(rho/rho_r) >= 0 of a stiffness and Im(K/K_r) <= 0 of a mass, so that every term's weight
// has an imaginary part of 0 or more. With all matrices at least semidefinite, Im(u* A u) >= 0 for every
// field u.
#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "base/constants.h"
#include "support/solved_box.h"

namespace cabinfield {
namespace {

using test::SolvedBox;

constexpr double wave_top_hz = 2000;  // highest value that a scene may have

/// 60 an octave, from 5 Hz.
std::vector<double> dense() {
  std::vector<double> list;
  for (double f = 5; f < wave_top_hz; f *= std::pow(2, 1 / 60.0)) list.push_back(f);
  list.push_back(wave_top_hz);
  return list;
}

/// Valid materials of every kind, over and beyond the ranges of usual scenes.
class RandomStuff {
 public:
  explicit RandomStuff(unsigned seed) : random_(seed) {}

  double between(double low, double high) {
    return std::uniform_real_distribution<double>(low, high)(random_);
  }
  double decades(double low, double high) { return low * std::pow(high / low, between(0, 1)); }
  bool maybe() { return between(0, 1) < 0.5; }

  Air air() {
    AirConditions conditions;
    conditions.temperature_k = between(253, 323);
    conditions.humidity = between(0, 1);
    return air_at(conditions);
  }
  Panel panel() { return {decades(0.1, 100), decades(5, 3000), decades(1e-4, 10)}; }
  Filling filling() {
    Filling result;
    result.flow_resistivity_pa_s_m2 = decades(100, 1e6);
    result.porosity = between(0.05, 1);
    result.tortuosity = 1 + decades(1e-3, 9);
    if (maybe()) result.viscous_length_m = decades(1e-6, 1e-2);
    if (maybe()) result.thermal_length_m = result.viscous_length_m.value_or(1e-6) * decades(1, 100);
    return result;
  }
  TransferImpedance transfer_impedance() {
    TransferImpedance result;
    if (maybe()) result.panel = panel();
    if (!result.panel || maybe()) result.porous = PorousSheet{filling(), decades(1e-4, 0.3)};
    return result;
  }
  Material material() {
    Material result;
    if (maybe())
      result.specific_impedance = Complex(maybe() ? decades(1e-3, 1e4) : 0, between(-30, 30) + 0.01);
    if (maybe())
      for (double band_hz = 63; band_hz < 9000; band_hz *= 2)
        if (maybe()) result.absorption[band_hz] = maybe() ? between(0, 1) : 0;
    if (maybe()) result.panel = panel();
    if (maybe()) result.layer = PorousLayer{filling(), decades(1e-3, 0.5)};
    if (maybe()) result.sheet = transfer_impedance();
    return result;
  }
  Leak leak() { return {decades(1e-6, 0.5), maybe() ? 0 : decades(1e-4, 1)}; }

 private:
  std::mt19937 random_;
};

/// A box with a filled block in the rear, a partition in front of it, and four materials, all random.
struct RandomBox {
  WaveMedium medium;
  std::unique_ptr<SolvedBox> box;

  explicit RandomBox(unsigned seed) {
    RandomStuff stuff(seed);
    medium.air = stuff.air();
    for (int m = 0; m < 4; ++m) medium.materials.push_back(stuff.material());
    medium.fillings = {stuff.filling()};
    medium.transfer_impedances = {stuff.transfer_impedance()};
    std::vector<ShapeProblem> problems;
    CabinShape shape = box_shape({1.6, 0.8, 0.6}, {0, 1, 2, 3, 0, 1});
    Block block;
    block.name = "foam";
    block.corner = {{{1.2, 0}, ""}, {{1.6, 0}, ""}, {{1.6, 0.6}, ""}, {{1.2, 0.6}, ""}};
    block.range = {-0.4, 0.4};
    block.filling = 0;
    shape.blocks = {block};
    Cabin cabin = Cabin::build(shape, problems);
    medium.leaks = {{stuff.leak(), cabin.surface_index("floor")},
                    {stuff.leak(), cabin.surface_index("left")}};
    const test::BoxMeshOptions options{{8, 4, 3},
                                       [](const Vector3& centre) { return centre.x() > 1.2 ? 0 : Mesh::air; },
                                       [](const Vector3& centre, const Vector3& normal) {
                                         return std::abs(centre.x() - 0.8) < 1e-9 && normal.x() > 0.99 ? 0
                                                                                                       : -1;
                                       }};
    box =
        std::make_unique<SolvedBox>(std::move(cabin), options, medium,
                                    std::vector<Vector3>{{0.3, 0.1, 0.2}, {1.0, -0.2, 0.4}, {1.4, 0.2, 0.3}});
  }
};

TEST(Passivity, HoldsForEveryPropertyOfTheMedium) {
  const std::vector<double> frequencies = dense();
  for (unsigned seed = 0; seed < 60; ++seed) {
    const RandomBox random(seed);
    const WaveMatrices& matrices = random.box->matrices;
    const Table<Complex, 2> properties = random.medium.properties(matrices, random.box->cabin, frequencies);
    int kinds[4] = {};
    for (std::size_t t = 0; t < matrices.terms().size(); ++t) {
      const OperatorTerm& term = matrices.terms()[t];
      ++kinds[static_cast<int>(term.kind)];
      for (std::size_t f = 0; f < frequencies.size(); ++f) {
        const Complex property = properties(t, f);
        ASSERT_TRUE(std::isfinite(std::abs(property)));
        switch (term.kind) {
          case OperatorTerm::Kind::stiffness:
            ASSERT_GE(property.imag(), 0) << "seed " << seed << ", " << frequencies[f] << " Hz";
            ASSERT_GT(property.real(), 0);
            break;
          case OperatorTerm::Kind::mass:
            ASSERT_LE(property.imag(), 0) << "seed " << seed << ", " << frequencies[f] << " Hz";
            ASSERT_GT(property.real(), 0);
            break;
          case OperatorTerm::Kind::wall:
          case OperatorTerm::Kind::sheet:
            ASSERT_GE(property.real(), 0) << "seed " << seed << ", " << frequencies[f] << " Hz";
            break;
        }
        const double k = 2 * pi * frequencies[f] / random.medium.air.sound_speed_m_s;
        ASSERT_GE(term_weight(term.kind, property, k).imag(), 0) << "seed " << seed;
      }
    }
    for (int count : kinds) EXPECT_GT(count, 0) << "a kind of term that was not looked at";
  }
}

/// Smallest power of a point source of 1 m3/s over the frequencies, Re(p conj(Q)), relative to the same
/// pressure in phase.
template <typename Pressure>
double least_power(const std::vector<double>& frequencies, const Pressure& pressure) {
  double least = 1;
  for (double f : frequencies) {
    const Complex p = pressure(f);
    least = std::min(least, p.real() / std::abs(p));
  }
  return least;
}

TEST(Passivity, HoldsForASourceAtAnyPositionInACabin) {
  // Rounding: 1e-13 of the reactance with the full model; with the reduced-order model measured under 1e-12.
  std::vector<double> frequencies;
  for (double f = 5; f <= 400; f *= std::pow(2, 1 / 12.0)) frequencies.push_back(f);
  for (unsigned seed = 0; seed < 6; ++seed) {
    const RandomBox random(seed);
    const SolvedBox& box = *random.box;
    const ReducedOrderModel basis_vectors = box.reducer.reduce(box.medium, {});
    const Table<Complex, 2> properties = box.medium.properties(box.matrices, box.cabin, frequencies);
    std::vector<double> wavenumbers;
    for (double f : frequencies) wavenumbers.push_back(2 * pi * f / box.medium.air.sound_speed_m_s);
    // Two ears, and three points that the basis was not made for: in air, behind the sheet, in the filling.
    const std::vector<Vector3> places{
        {0.3, 0.1, 0.2}, {1.0, -0.2, 0.4}, {0.1, -0.3, 0.5}, {0.9, 0.3, 0.1}, {1.5, 0, 0.05}};
    Eigen::MatrixXd right(basis_vectors.basis.cols(), static_cast<Eigen::Index>(places.size()));
    for (std::size_t i = 0; i < places.size(); ++i)
      right.col(static_cast<Eigen::Index>(i)) = basis_vectors.coordinates(box.space.at(places[i]));
    const auto fields = basis_vectors.solve(box.matrices.terms(), properties, wavenumbers, right);
    for (std::size_t f = 0; f < frequencies.size(); ++f)
      for (Eigen::Index i = 0; i < right.cols(); ++i) {
        const Complex pressure =
            Complex(0, 1) * right.col(i).cast<Complex>().cwiseProduct(fields[f].col(i)).sum();
        EXPECT_GE(pressure.real(), -1e-12 * std::abs(pressure))
            << "seed " << seed << ", place " << i << ", " << frequencies[f] << " Hz";
      }
    EXPECT_GE(least_power({5, 20, 63, 180, 400},
                          [&](double f) {
                            return box.in_full({0.3, 0.1, 0.2}, f);
                          }),
              -1e-12)
        << "seed " << seed;
  }
}

}  // namespace
}  // namespace cabinfield
