// Transfer functions as products with reciprocal solutions, against solutions of the full system.
#include "field/wave/reciprocal_solutions.h"

#include <gtest/gtest.h>
#include <omp.h>

#include "base/constants.h"
#include "field/wave/reciprocal_wave_field.h"
#include "support/cabins.h"

namespace cabinfield {
namespace {

/// A small saloon: a closed sheet of 8 kg/m2 from wall to wall, and a source on either side.
struct ShutCar {
  Cabin cabin = [] {
    CabinShape shape = test::box_shape_of({2.2, 1.3, 1.0}, 1);
    Partition plate;
    plate.name = "plate";
    plate.line = {Vector2(1.5, 0), Vector2(1.5, 1.0)};
    plate.range = {-0.65, 0.65};
    shape.partitions = {plate};
    std::vector<ShapeProblem> problems;
    return Cabin::build(std::move(shape), problems);
  }();
  std::vector<Vector3> ears{{0.8, -0.4, 0.8}, {0.8, -0.2, 0.8}, {1.0, 0.3, 0.7}};
  std::vector<double> frequencies{15, 40, 70, 101, 122, 160, 213, 260, 309, 371, 395};
  WaveMedium medium;
  std::vector<Source> sources;

  ShutCar() {
    medium.air = air_with(343, 1.2);
    medium.materials.resize(2);
    medium.materials[1].specific_impedance = 25;
    TransferImpedance panel;
    panel.panel = Panel{8, 45, 0.2};
    medium.transfer_impedances = {panel};
    for (const Vector3& place : {Vector3(0.2, 0.5, 0.2), Vector3(2.0, 0.1, 0.3), Vector3(1.7, -0.5, 0.8)}) {
      Source source;
      source.name = "source";
      source.position = place;
      sources.push_back(source);
    }
    sources[2].setback_m = 0.02;
  }
};

// 2.5 % of the larger of the pressure and its mean over the frequencies: the largest allowed error.
TEST(ReciprocalSolutions, IncludeASourceBehindAClosedPartition) {
  const ShutCar car;
  const WaveField field(car.cabin, car.medium, car.ears, {});
  const Table<Complex, 3> found = ReciprocalSolutions(field, car.ears, car.frequencies).transfer(car.sources);
  const FiniteElementSpace& space = *field.solved().space;
  std::vector<PointValue> ears;
  for (const Vector3& ear : car.ears) ears.push_back(space.at(ear));
  const ModelReducer direct(*field.solved().matrices, car.cabin, ears);
  const auto fields = direct.solve_in_full(car.medium, car.frequencies);
  for (std::size_t d = 0; d < car.sources.size(); ++d) {
    const PointValue place = space.at(car.sources[d].position);
    for (std::size_t n = 0; n < ears.size(); ++n) {
      std::vector<Complex> exact(car.frequencies.size());
      double squares = 0;
      for (std::size_t f = 0; f < exact.size(); ++f) {
        for (int i = 0; i < 10; ++i)
          exact[f] += place.weight[i] * fields[f](place.degree_of_freedom[i], static_cast<Eigen::Index>(n));
        const double omega = 2 * pi * car.frequencies[f];
        exact[f] *= Complex(0, omega * car.medium.air.density_kg_m3) *
                    std::polar(1.0, -omega * car.sources[d].setback_m / car.medium.air.sound_speed_m_s);
        squares += std::norm(exact[f]) / static_cast<double>(exact.size());
      }
      for (std::size_t f = 0; f < exact.size(); ++f)
        EXPECT_LT(std::abs(found(d, n, f) - exact[f]),
                  0.025 * std::max(std::abs(exact[f]), std::sqrt(squares)))
            << "source " << d << ", ear " << n << ", " << car.frequencies[f] << " Hz";
    }
  }
}

/// Largest difference of two orders of summation of a few hundred products: some 300 times 1.1e-16 of the sum
/// of magnitudes, and the rounding of the factors.
constexpr double rounding = 1e-12;

TEST(ReciprocalSolutions, EqualDotProductsAndTheField) {
  const ShutCar car;
  const WaveField field(car.cabin, car.medium, car.ears, {});
  FieldQuestion question;
  question.sources = car.sources;
  question.ears = car.ears;
  for (double hz = 10; hz <= 400; hz += 2) question.frequency_hz.push_back(hz);
  const std::vector<double>& frequencies = question.frequency_hz;  // more numbers than one product makes
  const ReciprocalSolutions fields(field, car.ears, frequencies);
  const Table<Complex, 3> found = fields.transfer(car.sources);
  EXPECT_EQ(field.solve(question).transfer_pa_s_m3, found);
  const std::vector<Eigen::MatrixXcd> of_ears = field.reciprocal_coordinates(car.ears, frequencies);
  for (std::size_t d = 0; d < car.sources.size(); ++d) {
    const Eigen::VectorXd place = field.basis_at(car.sources[d]);
    for (std::size_t n = 0; n < car.ears.size(); ++n)
      for (std::size_t f = 0; f < frequencies.size(); ++f) {
        Complex sum = 0;
        double magnitudes = 0;
        for (Eigen::Index c = 0; c < place.size(); ++c) {
          const Complex product = place[c] * of_ears[f](c, static_cast<Eigen::Index>(n));
          sum += product;
          magnitudes += std::abs(product);
        }
        const double omega = 2 * pi * frequencies[f], scale = omega * car.medium.air.density_kg_m3;
        const Complex exact =
            Complex(0, scale) * sum *
            std::polar(1.0, -omega * car.sources[d].setback_m / car.medium.air.sound_speed_m_s);
        EXPECT_LT(std::abs(found(d, n, f) - exact), rounding * scale * magnitudes)
            << "source " << d << ", ear " << n << ", " << frequencies[f] << " Hz";
      }
  }
}

TEST(ReciprocalSolutions, OfManySourcesEqualThoseOfEachAlone) {
  const ShutCar car;
  const WaveField field(car.cabin, car.medium, car.ears, {});
  const ReciprocalSolutions fields(field, car.ears, car.frequencies);
  std::vector<Source> many;
  for (int i = 0; i < 150; ++i) {
    many.push_back(car.sources[i % 3]);
    many.back().position.y() -= 0.001 * i;
  }
  const int before = omp_get_max_threads();
  omp_set_num_threads(1);
  const Table<Complex, 3> one_thread = fields.transfer(many);
  omp_set_num_threads(2);
  const Table<Complex, 3> two_threads = fields.transfer(many);
  omp_set_num_threads(before);
  EXPECT_EQ(one_thread.values(), two_threads.values());
  // A few sources use another algorithm than many.
  omp_set_num_threads(1);
  const Table<Complex, 3> few_one_thread = fields.transfer(car.sources);
  omp_set_num_threads(2);
  EXPECT_EQ(few_one_thread.values(), fields.transfer(car.sources).values());
  omp_set_num_threads(before);
  for (std::size_t d : {0, 1, 2, 63, 64, 149}) {
    const Table<Complex, 3> alone = fields.transfer({many[d]});
    for (std::size_t n = 0; n < 3; ++n)
      for (std::size_t f = 0; f < car.frequencies.size(); ++f)
        EXPECT_LT(std::abs(alone(0, n, f) - one_thread(d, n, f)), 1e-10 * std::abs(alone(0, n, f)));
  }
  EXPECT_TRUE(fields.transfer({}).empty());
  many[0].position = {5, 0, 0};
  EXPECT_THROW(fields.transfer({many[0]}), std::invalid_argument);
}

TEST(ReciprocalSolutions, AreOnTheSideThatADriverOnASheetFaces) {
  ShutCar car;
  car.medium.transfer_impedances = {TransferImpedance{}};  // rigid: transmits nothing
  const WaveField field(car.cabin, car.medium, car.ears, {.top_hz = 120});
  std::vector<Source> both(2, car.sources[0]);
  for (int side : {0, 1}) {
    both[side].position = {1.5, 0.1, 0.3};
    both[side].face = 0;
    both[side].axis = Vector3(side == 0 ? -1 : 1, 0, 0);
  }
  EXPECT_TRUE(field.reaches(both[0], car.ears[0]));
  EXPECT_FALSE(field.reaches(both[1], car.ears[0]));
  const Table<Complex, 3> found = ReciprocalSolutions(field, car.ears, {15, 101}).transfer(both);
  for (std::size_t n = 0; n < car.ears.size(); ++n)
    for (std::size_t f : {0, 1}) EXPECT_LT(std::abs(found(1, n, f)), 1e-6 * std::abs(found(0, n, f)));
}

TEST(ReciprocalSolutions, AcceptEarsUpToTheDocumentedDistance) {
  const ShutCar car;
  const WaveField field(car.cabin, car.medium, car.ears, {.top_hz = 120});
  for (const auto& [distance_m, reached] :
       {std::pair(0.99 * ears_reach_m, true), {1.01 * ears_reach_m, false}}) {
    const Vector3 beside = car.ears[0] - Vector3(distance_m, 0, 0);
    if (reached)
      EXPECT_NO_THROW(field.reciprocal_coordinates({beside}, {100}));
    else
      EXPECT_THROW(field.reciprocal_coordinates({beside}, {100}), std::invalid_argument);
  }
  Source outside = car.sources[0];
  // The distance outside is that of the nearest point of a tetrahedron, within some per cent.
  outside.position.x() = -0.045;
  EXPECT_NO_THROW(field.basis_at(outside));
  outside.position.x() = -0.051;
  EXPECT_THROW(field.basis_at(outside), std::invalid_argument);
}

// Second-order functions reproduce the coordinates: outside the air a value is that of a point of the mesh at
// the given distance.
TEST(FiniteElementSpace, EvaluatesAPointOutsideTheAirAtTheNearestPointAndGivesTheDistance) {
  const Cabin cabin = test::car_cabin();
  MeshOptions options;
  options.size_m = options.edge_size_m = 0.2;
  const FiniteElementSpace space(mesh_cabin(cabin, options));
  int outside = 0;
  for (double x = -0.05; x < 2.5; x += 0.07)
    for (double y = -0.75; y < 0.76; y += 0.075)
      for (double z = -0.05; z < 1.2; z += 0.06) {
        const Vector3 place(x, y, z);
        const PointValue value = space.at(place);
        Vector3 found = Vector3::Zero();
        double sum = 0;
        for (int i = 0; i < 10; ++i) {
          found += value.weight[i] * space.position()[value.degree_of_freedom[i]];
          sum += value.weight[i];
        }
        ASSERT_NEAR(sum, 1, 1e-12);
        ASSERT_NEAR((found - place).norm(), value.outside_m, 1e-9) << place.transpose();
        // No node is nearer than the nearest point, which has no free line through the air from outside.
        double nearest_node = 1e9;
        for (const Vector3& node : space.mesh().node)
          nearest_node = std::min(nearest_node, (node - place).norm());
        ASSERT_LE(value.outside_m, nearest_node + 1e-9) << place.transpose();
        if (value.outside_m > 1e-6) {
          ASSERT_GT(space.at(0.5 * (place + found)).outside_m, 1e-7);
        }
        outside += value.outside_m > 1e-6;
      }
  EXPECT_GT(outside, 1000);
}

TEST(ReciprocalWaveField, EqualsTheFieldAndRejectsOtherEarsAndFrequencies) {
  const ShutCar car;
  const auto field =
      std::make_shared<const WaveField>(car.cabin, car.medium, car.ears, WaveOptions{.top_hz = 120});
  FieldQuestion question;
  question.sources = car.sources;
  question.ears = car.ears;
  question.frequency_hz = {15, 40, 70, 101};
  const ReciprocalWaveField prepared(field, question);
  const auto plain = field->solve(question).transfer_pa_s_m3,
             found = prepared.solve(question).transfer_pa_s_m3;
  ASSERT_EQ(plain.shape(), found.shape());
  for (std::size_t i = 0; i < plain.values().size(); ++i)
    EXPECT_LT(std::abs(found.values()[i] - plain.values()[i]), 1e-10 * std::abs(plain.values()[i]));
  FieldQuestion other = question;
  other.frequency_hz[3] = 102;
  EXPECT_THROW(prepared.solve(other), std::invalid_argument);
  other = question;
  other.ears[2].x() += 0.01;
  EXPECT_THROW(prepared.solve(other), std::invalid_argument);
}

}  // namespace
}  // namespace cabinfield
