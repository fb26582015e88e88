#include "driver/thiele_small.h"

#include <gtest/gtest.h>

#include <Eigen/QR>
#include <array>
#include <bit>
#include <cmath>
#include <functional>

#include "base/constants.h"

namespace cabinfield {
namespace {

// c 345 m/s and rho 1.18 kg/m3: the air of Small's papers, on which the constant 112.1 dB below is based.
const Air air{.conditions = {}, .sound_speed_m_s = 345, .density_kg_m3 = 1.18};

using Field = std::optional<double> ThieleSmallGiven::*;
const std::array<Field, 11> fields{
    &ThieleSmallGiven::Fs_hz,    &ThieleSmallGiven::Qes,    &ThieleSmallGiven::Qms,
    &ThieleSmallGiven::Qts,      &ThieleSmallGiven::Vas_m3, &ThieleSmallGiven::Re_ohm,
    &ThieleSmallGiven::Sd_m2,    &ThieleSmallGiven::Mms_kg, &ThieleSmallGiven::Cms_m_n,
    &ThieleSmallGiven::Rms_kg_s, &ThieleSmallGiven::Bl_tm};

// An invented midbass, all eleven worked out here from Fs, Qes, Qms, Re, Sd and Mms by the formulas of Small
// (1972).
ThieleSmallGiven full_set() {
  ThieleSmallGiven set;
  set.Fs_hz = 62;
  set.Qes = 0.55;
  set.Qms = 4.5;
  set.Re_ohm = 3.3;
  set.Sd_m2 = 137e-4;
  set.Mms_kg = 14.2e-3;
  const double omega = 2 * pi * 62;
  set.Cms_m_n = 1 / (omega * omega * 14.2e-3);
  set.Vas_m3 = 1.18 * 345 * 345 * 137e-4 * 137e-4 * *set.Cms_m_n;
  set.Rms_kg_s = omega * 14.2e-3 / 4.5;
  set.Bl_tm = std::sqrt(omega * 14.2e-3 * 3.3 / 0.55);
  set.Qts = 0.55 * 4.5 / (0.55 + 4.5);
  return set;
}

ThieleSmallGiven only(const ThieleSmallGiven& whole, unsigned chosen) {
  ThieleSmallGiven part;
  for (std::size_t i = 0; i < fields.size(); ++i)
    if (chosen >> i & 1) part.*fields[i] = whole.*fields[i];
  return part;
}

std::array<double, 11> values(const ThieleSmall& set) {
  return {set.Fs_hz, set.Qes,    set.Qms,     set.Qts,      set.Vas_m3, set.Re_ohm,
          set.Sd_m2, set.Mms_kg, set.Cms_m_n, set.Rms_kg_s, set.Bl_tm};
}

void expect_whole(const ThieleSmallResult& result, double tolerance, unsigned chosen) {
  ASSERT_TRUE(result.errors.empty()) << chosen << ": " << result.errors.front();
  const ThieleSmallGiven whole = full_set();
  for (std::size_t i = 0; i < fields.size(); ++i)
    EXPECT_NEAR(values(result.set)[i] / *(whole.*fields[i]), 1, tolerance)
        << "parameter " << i << " of " << chosen;
}

// Whether a choice of parameters determines the rest: the five relations, linearised in logarithms, have full
// rank in those not chosen. A check by linear algebra, independent of the derivation.
bool determines_the_rest(unsigned chosen) {
  const double electrical_share = 4.5 / (0.55 + 4.5);  // d ln Qts / d ln Qes
  Eigen::MatrixXd relation = Eigen::MatrixXd::Zero(5, 11);
  //              Fs Qes Qms Qts Vas Re Sd Mms Cms Rms Bl
  relation.row(0) << 2, 0, 0, 0, 0, 0, 0, 1, 1, 0, 0;
  relation.row(1) << 0, 0, 0, 0, 1, 0, -2, 0, -1, 0, 0;
  relation.row(2) << 1, -1, 0, 0, 0, 1, 0, 1, 0, 0, -2;
  relation.row(3) << 1, 0, -1, 0, 0, 0, 0, 1, 0, -1, 0;
  relation.row(4) << 0, electrical_share, 1 - electrical_share, -1, 0, 0, 0, 0, 0, 0, 0;
  if (std::popcount(chosen) == 11) return true;
  Eigen::MatrixXd rest(5, 11 - std::popcount(chosen));
  for (int i = 0, column = 0; i < 11; ++i)
    if (!(chosen >> i & 1)) rest.col(column++) = relation.col(i);
  Eigen::ColPivHouseholderQR<Eigen::MatrixXd> decomposition(rest);
  decomposition.setThreshold(1e-9);
  return decomposition.rank() == rest.cols();
}

TEST(ThieleSmall, EverySubsetIsCompletedExactlyWhenItDeterminesTheRest) {
  const ThieleSmallGiven whole = full_set();
  int complete = 0;
  for (unsigned chosen = 0; chosen < 1u << 11; ++chosen) {
    const ThieleSmallResult result = derive_thiele_small(only(whole, chosen), air);
    if (determines_the_rest(chosen)) {
      ++complete;
      // Rounding grows some twenty times where Qms is the difference of 1/Qts and 1/Qes.
      expect_whole(result, 1e-12, chosen);
    } else {
      ASSERT_EQ(result.errors.size(), 1u) << chosen;
      EXPECT_NE(result.errors[0].find("cannot be derived: add "), std::string::npos) << result.errors[0];
    }
  }
  EXPECT_GT(complete, 400);  // so the loop has covered both kinds
  EXPECT_LT(complete, 1600);
}

TEST(ThieleSmall, InductanceAndExcursionMayBeAbsent) {
  ThieleSmallGiven given = full_set();
  EXPECT_EQ(derive_thiele_small(given, air).set.Le_h, 0);
  EXPECT_FALSE(derive_thiele_small(given, air).set.Xmax_m.has_value());
  given.Le_h = 0.25e-3;
  given.Xmax_m = 5.5e-3;
  EXPECT_EQ(derive_thiele_small(given, air).set.Le_h, 0.25e-3);
  EXPECT_EQ(derive_thiele_small(given, air).set.Xmax_m, 5.5e-3);
}

TEST(ThieleSmall, NamesTheParametersThatWouldCompleteASet) {
  ThieleSmallGiven given;
  given.Fs_hz = 62;
  given.Qes = 0.55;
  given.Re_ohm = 3.3;
  given.Sd_m2 = 137e-4;
  given.Mms_kg = 14.2e-3;
  EXPECT_EQ(derive_thiele_small(given, air).errors,
            std::vector<std::string>{"Qms, Qts and Rms cannot be derived: add one of Qms, Qts or Rms"});
  given.Mms_kg.reset();
  given.Qms = 4.5;
  EXPECT_EQ(derive_thiele_small(given, air).errors,
            std::vector<std::string>{
                "Vas, Mms, Cms, Rms and Bl cannot be derived: add one of Vas, Mms, Cms, Rms or Bl"});
  const std::string nothing = derive_thiele_small({}, air).errors.at(0);
  EXPECT_TRUE(nothing.ends_with("add Re, Fs, Qes, Qms, Sd and one of Vas, Mms, Cms, Rms or Bl")) << nothing;
}

TEST(ThieleSmall, ContradictionsQuoteTheNumbersAsADataSheetPrintsThem) {
  ThieleSmallGiven given = full_set();
  given.Cms_m_n = 0.9e-3;
  given.Vas_m3.reset();
  EXPECT_EQ(derive_thiele_small(given, air).errors,
            std::vector<std::string>{
                "Fs 62 Hz, Mms 14.2 g and Cms 0.9 mm/N disagree: Fs and Mms give Cms 0.464 mm/N"});

  given = full_set();
  given.Bl_tm = 9.5;
  EXPECT_EQ(derive_thiele_small(given, air).errors,
            std::vector<std::string>{"Fs 62 Hz, Qes 0.55, Re 3.3 ohm, Mms 14.2 g and Bl 9.5 Tm disagree: Fs, "
                                     "Qes, Re and Mms give Bl 5.76 Tm"});

  given = full_set();
  given.Qts = 0.6;
  EXPECT_EQ(derive_thiele_small(given, air).errors,
            std::vector<std::string>{"Qes 0.55, Qms 4.5 and Qts 0.6 disagree: Qes and Qms give Qts 0.49"});
}

TEST(ThieleSmall, TotalQAboveElectricalQLeavesNoMechanicalQ) {
  ThieleSmallGiven given = full_set();
  given.Qms.reset();
  given.Rms_kg_s.reset();
  given.Qts = 0.6;
  EXPECT_EQ(derive_thiele_small(given, air).errors,
            std::vector<std::string>{"Qes 0.55 and Qts 0.6 disagree: no Qms above 0 fits them"});
}

TEST(ThieleSmall, RedundantValuesMustAgreeWithinTheTolerance) {
  for (std::size_t i : {3u, 4u, 8u, 9u, 10u}) {  // Qts, Vas, Cms, Rms, Bl: recomputed from the six that win
    ThieleSmallGiven given = full_set();
    given.*fields[i] = *(given.*fields[i]) / (1 + 0.95 * thiele_small_tolerance);
    expect_whole(derive_thiele_small(given, air), 1e-12, 0);
    given = full_set();
    given.*fields[i] = *(given.*fields[i]) / (1 + 1.05 * thiele_small_tolerance);
    EXPECT_EQ(derive_thiele_small(given, air).errors.size(), 1u) << i;
  }
}

TEST(ThieleSmall, EveryValueOutOfRangeIsNamed) {
  ThieleSmallGiven given = full_set();
  given.Qes = 0;
  given.Mms_kg = -14.2e-3;
  given.Le_h = -1e-3;
  given.Xmax_m = 0;
  given.Sd_m2 = std::nan("");
  const std::vector<std::string> errors = derive_thiele_small(given, air).errors;
  EXPECT_EQ(errors, (std::vector<std::string>{"Qes 0 is out of range: it must be above 0",
                                              "Sd nan cm2 is out of range: it must be above 0",
                                              "Mms -14.2 g is out of range: it must be above 0",
                                              "Le -1 mH is out of range: it must be 0 or above",
                                              "Xmax 0 mm is out of range: it must be above 0"}));
}

TEST(ThieleSmall, ReferenceEfficiencyMatchesTheMotor) {
  // Beranek & Mellow, Acoustics, ch. 6 (from memory): eta0 = rho Bl^2 Sd^2 / (2 pi c Re Mms^2), the same by
  // another road.
  const ThieleSmall set = derive_thiele_small(full_set(), air).set;
  const double motor = 1.18 * std::pow(set.Bl_tm * set.Sd_m2 / set.Mms_kg, 2) / (2 * pi * 345 * set.Re_ohm);
  EXPECT_NEAR(reference_efficiency(set, air) / motor, 1, 1e-12);
}

TEST(ThieleSmall, OtherAirChangesTheAirLoadAndVasAlone) {
  // By hand, from rho 1.18 to 0.90 kg/m3 and c 345 to 341 m/s: the air that moves with a cone of 66.037 mm in
  // a wall is 16/3 rho a^3 (Rayleigh; Beranek & Mellow, ch. 13, from memory), 1.81237 g before and 1.38232 g
  // after, so 14.2 g become 13.76995 g; Fs and both Q go as the root of the mass; Vas as rho c^2.
  const Air thin{.conditions = {}, .sound_speed_m_s = 341, .density_kg_m3 = 0.90};
  const ThieleSmall before = derive_thiele_small(full_set(), air).set;
  const ThieleSmall after = in_air(before, air, thin);
  EXPECT_NEAR(after.Mms_kg, 13.76995e-3, 2e-8);
  EXPECT_NEAR(after.Fs_hz, 62.9608, 1e-3);
  EXPECT_NEAR(after.Qms, 4.43133, 1e-4);
  EXPECT_NEAR(after.Qes, 0.541607, 1e-5);
  EXPECT_NEAR(after.Qts, 0.482622, 1e-5);
  EXPECT_NEAR(after.Vas_m3 / before.Vas_m3, 0.745128, 1e-5);
  for (auto same : {&ThieleSmall::Cms_m_n, &ThieleSmall::Rms_kg_s, &ThieleSmall::Bl_tm, &ThieleSmall::Re_ohm,
                    &ThieleSmall::Sd_m2})
    EXPECT_EQ(after.*same, before.*same);
  // And back; what belongs together stays together.
  EXPECT_NEAR(in_air(after, thin, air).Fs_hz, 62, 1e-12);
  EXPECT_NEAR(reference_efficiency(after, thin) /
                  (0.90 * std::pow(after.Bl_tm * after.Sd_m2 / after.Mms_kg, 2) / (2 * pi * 341 * 3.3)),
              1, 1e-12);
  // A set given with less mass than such air weighs stays one.
  ThieleSmall membrane = before;
  membrane.Mms_kg = 1e-3;
  EXPECT_NEAR(in_air(membrane, air, thin).Mms_kg, 0.90 / 1.18 * 1e-3, 1e-12);
}

TEST(ThieleSmall, PistonRadius) {
  EXPECT_NEAR(derive_thiele_small(full_set(), air).set.radius_m(), 0.066037, 1e-6);
}

}  // namespace
}  // namespace cabinfield
