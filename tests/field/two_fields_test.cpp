// Image method and wave field agree where both are valid, and are joined smoothly.
#include <gtest/gtest.h>

#include <cmath>

#include "base/constants.h"
#include "field/images/image_field.h"
#include "field/joined_field.h"
#include "support/solved_box.h"

namespace cabinfield {
namespace {

const Air air = air_with(343, 1.2);
const Vector3 size(2.0, 1.4, 1.1);

/// Every wall has one real specific impedance.
std::unique_ptr<test::SolvedBox> box(double specific_impedance, const std::vector<Vector3>& ears) {
  WaveMedium medium;
  medium.air = air;
  medium.materials.resize(1);
  medium.materials[0].specific_impedance = specific_impedance;
  std::vector<ShapeProblem> problems;
  return std::make_unique<test::SolvedBox>(Cabin::build(box_shape(size, {0, 0, 0, 0, 0, 0}), problems),
                                           test::BoxMeshOptions{{16, 11, 9}, {}, {}}, medium, ears);
}

/// Third octaves from 250 to 630 Hz, twelve frequencies each (IEC 61260-1, exact mid-bands 1000 10^(n/10)).
std::vector<double> frequencies() {
  std::vector<double> list;
  for (int band = -6; band <= -2; ++band)
    for (int i = 0; i < 12; ++i) list.push_back(1000 * std::pow(10, (band - 0.5 + (i + 0.5) / 12) / 10));
  return list;
}

/// Level of one answer over the other in each third octave, dB.
std::vector<double> band_differences(const Complex* one, const Complex* other) {
  std::vector<double> difference;
  for (int band = 0; band < 5; ++band) {
    double power = 0, reference = 0;
    for (int i = 0; i < 12; ++i) {
      power += std::norm(one[12 * band + i]);
      reference += std::norm(other[12 * band + i]);
    }
    difference.push_back(10 * std::log10(power / reference));
  }
  return difference;
}

FieldQuestion question(const std::vector<Source>& sources, const std::vector<Vector3>& ears) {
  FieldQuestion result;
  result.sources = sources;
  result.ears = ears;
  result.frequency_hz = frequencies();
  return result;
}

Source free_source(const Vector3& position) {
  Source source;
  source.name = "source";
  source.position = position;
  return source;
}

TEST(TwoFields, AgreeInABoxOfHardWalls) {
  // The lattice of images to order 60 is complete to -40 dB at zeta 40 and is exact for hard walls (Allen &
  // Berkley, J. Acoust. Soc. Am. 65 (1979) 943); for impedance walls plane-wave reflection makes the
  // difference.
  const std::vector<Vector3> ears{{1.5, 0.3, 0.9}, {0.7, -0.5, 0.8}, {1.3, -0.2, 0.25}};
  const auto solved = box(40, ears);
  const WaveField waves = solved->field(720);
  const ImageField images(solved->cabin, solved->medium.materials, air, 60);
  const FieldQuestion asked = question({free_source({0.4, -0.4, 0.25})}, ears);
  const auto by_waves = waves.solve(asked).transfer_pa_s_m3, by_images = images.solve(asked).transfer_pa_s_m3;
  double mean = 0;
  for (std::size_t n = 0; n < ears.size(); ++n)
    for (double difference_db : band_differences(by_images.row(0, n), by_waves.row(0, n))) {
      EXPECT_LT(std::abs(difference_db), 1.5) << "ear " << n;
      mean += difference_db / 15;
    }
  EXPECT_LT(std::abs(mean), 0.6);
}

class FlushDriver : public testing::TestWithParam<double> {};

TEST_P(FlushDriver, HasTheSameWallInBothFields) {
  const std::vector<Vector3> ears{{1.5, 0.3, 0.9}, {0.7, -0.5, 0.8}, {1.3, -0.2, 0.45}};
  const auto solved = box(GetParam(), ears);
  const WaveField waves = solved->field(720);
  const ImageField images(solved->cabin, solved->medium.materials, air, 30);
  Source source = free_source({0.55, 0.15, 0});
  const Landing landing = solved->cabin.land(source.position, "floor");
  source.face = landing.face;
  source.axis = Vector3::UnitZ();
  const FieldQuestion asked = question({source}, ears);
  const auto by_waves = waves.solve(asked).transfer_pa_s_m3, by_images = images.solve(asked).transfer_pa_s_m3;
  double mean = 0;
  for (std::size_t n = 0; n < ears.size(); ++n)
    for (double difference_db : band_differences(by_images.row(0, n), by_waves.row(0, n)))
      mean += difference_db / 15;
  EXPECT_LT(std::abs(mean), 1);
}

INSTANTIATE_TEST_SUITE_P(Walls, FlushDriver, testing::Values(10.0, 20.0));

/// A field that is one plane wave, later and louder by set amounts.
class PlaneWave : public Field {
 public:
  PlaneWave(double delay_s, double gain) : delay_s_(delay_s), gain_(gain) {}
  FieldAnswer solve(const FieldQuestion& question, const Progress& = {}) const override {
    FieldAnswer answer;
    answer.transfer_pa_s_m3 = Table<Complex, 3>({1, 1, question.frequency_hz.size()});
    for (std::size_t f = 0; f < question.frequency_hz.size(); ++f)
      answer.transfer_pa_s_m3(0, 0, f) = std::polar(gain_, -2 * pi * question.frequency_hz[f] * delay_s_);
    return answer;
  }

 private:
  double delay_s_, gain_;
};

FieldAnswer joined(const Field& lower, const Field& upper) {
  FieldQuestion asked;
  asked.sources.resize(1);
  asked.ears.resize(1);
  for (double f = 50; f < 900; f *= 1.02) asked.frequency_hz.push_back(f);
  return JoinedField(lower, upper, 400).solve(asked);
}

TEST(JoinedField, EqualsTheLowerFieldBelowAndTheUpperAbove) {
  const PlaneWave lower(0.004, 1), upper(0.004, 2);
  const FieldAnswer answer = joined(lower, upper);
  EXPECT_NEAR(std::abs(answer.transfer_pa_s_m3(0, 0, 0)), 1, 1e-12);
  EXPECT_NEAR(std::abs(answer.transfer_pa_s_m3.values().back()), 2, 1e-12);
  EXPECT_NEAR(answer.join_coherence(0, 0), 1, 1e-9);
  EXPECT_NEAR(answer.join_mismatch_db(0, 0), 20 * std::log10(2), 1e-9);
}

TEST(JoinedField, AddsNoDipThatNeitherFieldHas) {
  // Up to opposite phases: a weighted sum would vanish in the middle.
  for (double later_s : {0.0, 0.0003, 0.0008, 0.0017}) {
    const PlaneWave lower(0.004, 1), upper(0.004 + later_s, 1);
    const FieldAnswer answer = joined(lower, upper);
    for (const Complex& pressure : answer.transfer_pa_s_m3.values())
      EXPECT_GT(20 * std::log10(std::abs(pressure)), -1) << later_s << " s";
  }
}

TEST(JoinedField, WeightsBySineSquareOverTheOctave) {
  // Squares of the sines of 0, 30, 45, 60 and 90 degrees.
  for (const auto& [octaves, weight] :
       {std::pair(0.0, 0.0), {1.0 / 3, 0.25}, {0.5, 0.5}, {2.0 / 3, 0.75}, {1.0, 1.0}})
    EXPECT_NEAR(upper_weight(200 * std::pow(2, octaves), 400), weight, 1e-12) << octaves << " octaves";
  EXPECT_EQ(upper_weight(100, 400), 0);
  EXPECT_EQ(upper_weight(900, 400), 1);
}

TEST(JoinedField, InterpolatesPhasesAlongTheShorterArc) {
  // From 150 to 210 degrees over 180, while the magnitude goes from 1 to 16 in equal ratios.
  const double degree = pi / 180;
  const Complex lower = std::polar(1.0, 150 * degree), upper = std::polar(16.0, -150 * degree);
  for (int quarters : {0, 1, 2, 3, 4})
    EXPECT_LT(std::abs(blended(lower, upper, quarters / 4.0) -
                       std::polar(std::pow(2.0, quarters), (150 + 15 * quarters) * degree)),
              1e-12 * std::pow(2.0, quarters))
        << quarters;
}

TEST(JoinedField, UsesTheFieldThatIsNotSilent) {
  const PlaneWave lower(0.004, 1), silent(0, 0);
  const FieldAnswer answer = joined(lower, silent);
  EXPECT_EQ(answer.join_coherence(0, 0), 0);
  for (const Complex& pressure : answer.transfer_pa_s_m3.values())
    EXPECT_TRUE(std::isfinite(std::abs(pressure)));
}

}  // namespace
}  // namespace cabinfield
