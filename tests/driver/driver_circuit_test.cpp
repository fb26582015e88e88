#include "driver/driver_circuit.h"

#include <gtest/gtest.h>

#include <cmath>
#include <functional>
#include <stdexcept>

#include "base/constants.h"
#include "driver/back_circuit.h"

namespace cabinfield {
namespace {

const Air air{.conditions = {}, .sound_speed_m_s = 345, .density_kg_m3 = 1.18};
constexpr double lossless = 1e12;

// An invented driver of the total Q wanted, its mechanical losses small as in the alignments of the papers.
ThieleSmall driver_with(double fs_hz, double qts) {
  ThieleSmallGiven given;
  given.Fs_hz = fs_hz;
  given.Qts = qts;
  given.Qms = 8;
  given.Re_ohm = 3.3;
  given.Sd_m2 = 215e-4;
  given.Mms_kg = 26e-3;
  return derive_thiele_small(given, air).set;
}

DriverResponse solve(const ThieleSmall& set, const Loading& loading, std::vector<double> frequency_hz,
                     int sharing = 1) {
  return solve_driver_circuit(set, loading, sharing, air, frequency_hz);
}

// Level re passband: pressure goes as omega times volume velocity, which far above resonance is Bl Sd/(Re
// Mms).
double response_db(const ThieleSmall& set, const Loading& loading, double frequency_hz) {
  const double passband = set.Bl_tm * set.Sd_m2 / (set.Re_ohm * set.Mms_kg);
  const Complex flow = solve(set, loading, {frequency_hz}).volume_velocity_m3_s[0];
  return 20 * std::log10(2 * pi * frequency_hz * std::abs(flow) / passband);
}

double crossing(const std::function<double(double)>& f, double below, double above) {
  for (int i = 0; i < 100; ++i) {
    const double middle = std::sqrt(below * above);
    ((f(middle) < 0) == (f(below) < 0) ? below : above) = middle;
  }
  return below;
}

// Where the impedance is purely resistive (a resonance, Le being 0).
double resonance(const ThieleSmall& set, const Loading& loading, double below, double above) {
  return crossing([&](double f) { return solve(set, loading, {f}).impedance_ohm[0].imag(); }, below, above);
}

TEST(ClosedBox, HasTheAlignmentsOfSmall1972) {
  // Small 1972, second-order high-pass; formula from memory, values computed from it, rounded to the digits
  // shown: f3/fc = sqrt((1/Q^2 - 2 + sqrt((1/Q^2 - 2)^2 + 4))/2), peak 20 lg(Q^2/sqrt(Q^2 - 1/4)).
  struct Row {
    double qtc, f3_over_fc, peak_db;
  };
  for (const Row& row :
       {Row{0.5, 1.5538, 0}, {std::sqrt(0.5), 1.0, 0}, {1.0, 0.7862, 1.25}, {1.2, 0.7358, 2.41}}) {
    const ThieleSmall set = driver_with(48, 0.35);
    const double stiffening = row.qtc / set.Qts;  // fc/fs = Qtc/Qts = sqrt(1 + Vas/Vb)
    const Loading box = SealedBox{.volume_m3 = set.Vas_m3 / (stiffening * stiffening - 1), .qa = lossless};
    const double fc = 48 * stiffening;
    EXPECT_NEAR(resonance(set, box, 0.8 * fc, 1.25 * fc), fc, 1e-6);
    const double f3 =
        crossing([&](double f) { return response_db(set, box, f) - 10 * std::log10(0.5); }, fc / 5, fc * 2);
    EXPECT_NEAR(f3 / fc, row.f3_over_fc, 6e-5) << row.qtc;
    double peak = 0;
    for (double f = fc / 2; f < 10 * fc; f *= 1.002) peak = std::max(peak, response_db(set, box, f));
    EXPECT_NEAR(peak, row.peak_db, 0.006) << row.qtc;
  }
}

TEST(ClosedBox, AbsorptionIsTheBoxQAtResonance) {
  // Small 1972: at fc the box's own loss adds 1/Qa, weighted by its share of the stiffness, to 1/Qtc. Read
  // from the impedance there, Re (1 + Qmc/Qec).
  const ThieleSmall set = driver_with(48, 0.35);
  const double volume = set.Vas_m3 / 2;
  const double stiffening = std::sqrt(3.0);
  const Loading box = SealedBox{.volume_m3 = volume, .qa = 5};
  const double mechanical = 1 / (1 / (set.Qms * stiffening) + 2.0 / 3 / 5);
  const Complex impedance = solve(set, box, {48 * stiffening}).impedance_ohm[0];
  EXPECT_NEAR(std::abs(impedance), set.Re_ohm * (1 + mechanical / (set.Qes * stiffening)), 1e-9);
}

TEST(VentedBox, HasTheAlignmentsOfThiele1961) {
  // Thiele 1961, Table I, lossless; from memory, rows computed again. Three figures: half a digit of QT and
  // fb moves f3 by up to 0.4 percent.
  struct Row {
    const char* name;
    double qt, f3_over_fs, fb_over_fs, cas_over_cab;
  };
  for (const Row& row : {Row{"QB3", 0.303, 1.45, 1.23, 2.95},
                         {"B4", 0.383, 1.0, 1.0, 1.414},
                         {"C4", 0.415, 0.867, 0.927, 1.055}}) {
    const ThieleSmall set = driver_with(40, row.qt);
    const Loading box = VentedBox{
        .volume_m3 = set.Vas_m3 / row.cas_over_cab, .tuning_hz = 40 * row.fb_over_fs, .ql = lossless};
    const double f3 =
        crossing([&](double f) { return response_db(set, box, f) - 10 * std::log10(0.5); }, 15, 120);
    EXPECT_NEAR(f3 / 40, row.f3_over_fs, 0.005 * row.f3_over_fs) << row.name;
  }
}

TEST(VentedBox, ButterworthAlignmentIsAFourthOrderButterworth) {
  // Exact B4 (Small 1973): QT = (4 + 2 sqrt 2)^{-1/2}, fb = fs, alpha = sqrt 2; |H|^2 = 1/(1 + (fs/f)^8).
  const ThieleSmall set = driver_with(40, 1 / std::sqrt(4 + 2 * std::sqrt(2.0)));
  const Loading box = VentedBox{.volume_m3 = set.Vas_m3 / std::sqrt(2.0), .tuning_hz = 40, .ql = lossless};
  for (double ratio : {0.2, 0.5, 0.9, 1.0, 1.3, 2.0, 5.0})
    EXPECT_NEAR(response_db(set, box, 40 * ratio), -10 * std::log10(1 + std::pow(ratio, -8)), 1e-8) << ratio;
}

TEST(VentedBox, ImpedanceHasTwoHumps) {
  // Small 1973: the outer resonances obey fL fH = fs fb and fL^2 + fH^2 = fb^2 + (1 + alpha) fs^2; between
  // them, at fb, the cone stands still but for losses: impedance Re.
  const ThieleSmall set = driver_with(40, 0.4);
  const double alpha = 1.5, fb = 36;
  const Loading box = VentedBox{.volume_m3 = set.Vas_m3 / alpha, .tuning_hz = fb, .ql = lossless};
  const double low = resonance(set, box, 10, 30), high = resonance(set, box, 45, 120);
  EXPECT_NEAR(low * high, 40 * fb, 1e-3);
  EXPECT_NEAR(low * low + high * high, fb * fb + (1 + alpha) * 40 * 40, 1e-2);
  const DriverResponse response = solve(set, box, {low, fb, high});
  for (int hump : {0, 2}) EXPECT_GT(std::abs(response.impedance_ohm[hump]), 5 * set.Re_ohm);
  EXPECT_NEAR(std::abs(response.impedance_ohm[1]), set.Re_ohm, 1e-6);
  EXPECT_LT(std::abs(response.excursion_m[1]), 1e-6 * std::abs(response.excursion_m[0]));
}

TEST(VentedBox, LeakageDampsTheHumpsAndTheOutput) {
  const ThieleSmall set = driver_with(40, 1 / std::sqrt(4 + 2 * std::sqrt(2.0)));
  VentedBox box{.volume_m3 = set.Vas_m3 / std::sqrt(2.0), .tuning_hz = 40, .ql = 7};
  // At fs = fb port and compliance cancel and leave the leak QL/(omega Cab) alone, alpha QL on the scale
  // where the driver's own damping is 1/QT; the net flow into the compliance is QL times the cone's. Lossless
  // that is 1/alpha, -3.01 dB.
  EXPECT_NEAR(response_db(set, box, 40), 20 * std::log10(7 / (1 / set.Qts + 7 * std::sqrt(2.0))), 1e-8);
  EXPECT_LT(response_db(set, box, 40), -4);
}

TEST(VentedBox, PortVelocityCarriesTheBoxPressure) {
  // Momentum of the air in the port, independent of the circuit's bookkeeping: pressure in the box from the
  // net flow into its compliance, force on the plug of mass rho L A.
  const ThieleSmall set = driver_with(40, 0.4);
  VentedBox box{.volume_m3 = 0.04, .port_length_m = 0.2, .port_diameter_m = 0.08, .ports = 2};
  const double plug_length = 0.2 + (0.85 + 0.613) * 0.04;
  const DriverResponse response = solve(set, box, {25, 40, 80});
  ASSERT_EQ(response.port_velocity_m_s.size(), 3u);
  for (int i = 0; i < 3; ++i) {
    const double omega = 2 * pi * std::vector{25.0, 40.0, 80.0}[i];
    const double pressure =
        std::sqrt(2.0) * std::abs(response.volume_velocity_m3_s[i]) * 1.18 * 345 * 345 / (omega * 0.04);
    EXPECT_NEAR(response.port_velocity_m_s[i] / (pressure / (omega * 1.18 * plug_length)), 1, 1e-12);
  }
  box.tuning_hz = tuning_hz(box, 345);
  box.port_diameter_m = 0;
  EXPECT_TRUE(solve(set, box, {25}).port_velocity_m_s.empty());
}

TEST(InfiniteBaffle, PassbandLevelIsThatOfTheReferenceEfficiency) {
  // Half space, 1 W, 1 m: 112.1 dB + 10 lg eta0 (Small 1972; c 345 m/s, rho 1.18 kg/m3; constant computed,
  // rounded to 0.05).
  for (double qts : {0.3, 0.6}) {
    const ThieleSmall set = driver_with(30, qts);
    const double frequency = 30 * 100;
    const double flow = std::abs(solve(set, InfiniteBaffle{}, {frequency}).volume_velocity_m3_s[0]);
    const double pressure = 1.18 * frequency * flow * std::sqrt(set.Re_ohm);  // rho omega Q/(2 pi r)
    const double level = 20 * std::log10(pressure / reference_pressure_pa);
    EXPECT_NEAR(level, 112.1 + 10 * std::log10(reference_efficiency(set, air)), 0.05);
  }
}

TEST(InfiniteBaffle, ImpedanceAtResonanceAndBelow) {
  ThieleSmall set = driver_with(48, 0.5);
  const DriverResponse response = solve(set, InfiniteBaffle{}, {48, 0.001});
  EXPECT_NEAR(std::abs(response.impedance_ohm[0] - set.Re_ohm * (1 + set.Qms / set.Qes)), 0, 1e-10);
  EXPECT_NEAR(std::abs(response.impedance_ohm[1]), set.Re_ohm, 1e-3);
  // A battery of 1 V moves the cone out by Bl Cms/Re; peak of a slow sine of 1 V RMS is sqrt 2 of it.
  EXPECT_NEAR(response.excursion_m[1].real() / (std::sqrt(2.0) * set.Bl_tm * set.Cms_m_n / set.Re_ohm), 1,
              1e-4);
  set.Le_h = 1e-3;
  EXPECT_NEAR(solve(set, InfiniteBaffle{}, {5000}).impedance_ohm[0].imag(), 2 * pi * 5000 * 1e-3, 0.1);
}

TEST(InfiniteBaffle, BuiltInIsEqualAndAHugeBoxNearlySo) {
  const ThieleSmall set = driver_with(48, 0.5);
  const std::vector<double> frequency{20, 48, 300};
  const DriverResponse open = solve(set, InfiniteBaffle{}, frequency);
  EXPECT_EQ(open.volume_velocity_m3_s, solve(set, BuiltIn{}, frequency).volume_velocity_m3_s);
  const DriverResponse huge = solve(set, SealedBox{.volume_m3 = 1e6}, frequency);
  for (int i = 0; i < 3; ++i) EXPECT_NEAR(std::abs(huge.impedance_ohm[i] / open.impedance_ohm[i]), 1, 1e-6);
}

TEST(DoorCavity, LeakSubtractsAtLowFrequency) {
  const ThieleSmall set = driver_with(62, 0.5);
  const std::vector<double> frequency{5, 10, 20, 2000};
  const DriverResponse tight = solve(set, SealedBox{.volume_m3 = 0.03, .qa = 7}, frequency);
  const DriverResponse closed = solve(set, DoorCavity{.volume_m3 = 0.03, .leak_area_m2 = 0}, frequency);
  const DriverResponse leaky = solve(set, DoorCavity{.volume_m3 = 0.03, .leak_area_m2 = 20e-4}, frequency);
  EXPECT_EQ(tight.volume_velocity_m3_s, closed.volume_velocity_m3_s);
  EXPECT_EQ(tight.impedance_ohm, closed.impedance_ohm);
  // Second order more of roll-off per octave, 12 dB, than the tight box.
  auto loss_db = [&](int i) {
    return 20 * std::log10(std::abs(leaky.volume_velocity_m3_s[i] / tight.volume_velocity_m3_s[i]));
  };
  EXPECT_LT(loss_db(0), -40);
  EXPECT_NEAR(loss_db(1) - loss_db(0), 12, 0.6);
  EXPECT_NEAR(loss_db(3), 0, 0.02);
  // Less trapped air means more excursion.
  EXPECT_GT(std::abs(leaky.excursion_m[2]), std::abs(tight.excursion_m[2]));
  EXPECT_TRUE(leaky.port_velocity_m_s.empty());
}

TEST(DoorCavity, HolesAndCavityFormAHelmholtzResonator) {
  // Four holes of 25 mm in a sheet of 1 mm, flanged on both sides: f = c/(2 pi) sqrt(S/(V (t + 1.7 a))), a
  // textbook formula. There the cone meets the greatest impedance and moves least, as with a port.
  // The losses of the holes, a Q of some 20, move the peak by about 1/Q^2.
  const double area = 4 * pi * 0.0125 * 0.0125;
  const double tuned = 345 / (2 * pi) * std::sqrt(area / (0.03 * (0.001 + 1.7 * 0.0125)));
  const BackCircuit back = back_circuit(DoorCavity{.volume_m3 = 0.03, .leak_area_m2 = area, .qa = lossless},
                                        driver_with(62, 0.5), 1, air);
  double greatest = 0, at = 0;
  for (double frequency = tuned / 2; frequency < 2 * tuned; frequency *= 1.0002) {
    const double impedance = std::abs(back.at(2 * pi * frequency).impedance_pa_s_m3);
    if (impedance > greatest) greatest = impedance, at = frequency;
  }
  EXPECT_NEAR(at / tuned, 1, 0.0025);
  // Q of the resonance: reactance of the cavity over the resistance of the holes, both by hand at 94.17 Hz,
  // rho 1.18: viscous 1.18 sqrt(2 * 591.71 * 1.51e-5) (0.001/0.0125 + 2)/S = 167.1, radiation 1.18 *
  // 591.71^2/(2 pi 345) = 190.6, mass 591.71 * 1.18 * 0.02225/S = 7912 Pa s/m3.
  EXPECT_NEAR(greatest * 591.71 * 0.03 / (1.18 * 345 * 345), 7912.1 / (167.1 + 190.6), 0.2);
}

TEST(AnyLoading, FlowsAddUpAndAllArePassive) {
  // In a box all volume flow of the cone enters the cavity's air or leaves through an opening; net power only
  // flows in.
  const ThieleSmall set = driver_with(50, 0.5);
  for (const Loading& loading :
       {Loading{InfiniteBaffle{}}, Loading{SealedBox{.volume_m3 = 0.02, .qa = 3}},
        Loading{VentedBox{.volume_m3 = 0.04, .tuning_hz = 35, .port_diameter_m = 0.08}},
        Loading{DoorCavity{.volume_m3 = 0.03, .leak_area_m2 = 3e-4}},
        Loading{DoorCavity{.volume_m3 = 0.03, .leak_area_m2 = 60e-4}}}) {
    const BackCircuit back = back_circuit(loading, set, 1, air);
    for (double frequency = 2; frequency < 2000; frequency *= 1.07) {
      const BackCircuit::Flow flow = back.at(2 * pi * frequency);
      EXPECT_GE(flow.impedance_pa_s_m3.real(), 0);
      // Cone plus vent plus leak; box pressure is minus impedance for a unit of the cone's flow.
      EXPECT_LT(std::abs(1.0 + flow.vent - flow.impedance_pa_s_m3 * back.leak_m3_pa_s - flow.net),
                1e-9 * (1 + std::abs(flow.net)));
      EXPECT_GE(solve(set, loading, {frequency}).impedance_ohm[0].real(), set.Re_ohm * (1 - 1e-12));
    }
  }
}

TEST(AnyLoading, SharingABoxIsTheSameAsDividingIt) {
  const ThieleSmall set = driver_with(40, 0.4);
  const std::vector<double> frequency{20, 33, 50, 200};
  const std::vector<std::pair<Loading, Loading>> whole_and_half{
      {SealedBox{.volume_m3 = 0.06}, SealedBox{.volume_m3 = 0.03}},
      {VentedBox{.volume_m3 = 0.08, .tuning_hz = 33, .port_diameter_m = 0.08, .ports = 2},
       VentedBox{.volume_m3 = 0.04, .tuning_hz = 33, .port_diameter_m = 0.08}},
      {VentedBox{.volume_m3 = 0.08, .port_length_m = 0.2, .port_diameter_m = 0.08, .ports = 2},
       VentedBox{.volume_m3 = 0.04, .port_length_m = 0.2, .port_diameter_m = 0.08}}};
  for (const auto& [whole, half] : whole_and_half) {
    const DriverResponse two = solve(set, whole, frequency, 2), one = solve(set, half, frequency);
    for (std::size_t i = 0; i < frequency.size(); ++i) {
      EXPECT_NEAR(std::abs(two.volume_velocity_m3_s[i] / one.volume_velocity_m3_s[i] - 1.0), 0, 1e-12);
      EXPECT_NEAR(std::abs(two.impedance_ohm[i] / one.impedance_ohm[i] - 1.0), 0, 1e-12);
      if (!one.port_velocity_m_s.empty()) {
        EXPECT_NEAR(two.port_velocity_m_s[i] / one.port_velocity_m_s[i], 1, 1e-12);
      }
    }
  }
  // Of the door the volume and the leak are halved, the sizes of its holes are not: exact if all holes are
  // equal.
  const DriverResponse two = solve(set, DoorCavity{.volume_m3 = 0.06, .leak_area_m2 = 40e-4}, {15}, 2);
  const DriverResponse one = solve(set, DoorCavity{.volume_m3 = 0.03, .leak_area_m2 = 20e-4}, {15});
  EXPECT_NEAR(std::abs(two.excursion_m[0] / one.excursion_m[0] - 1.0), 0, 1e-3);
}

TEST(Coils, TwoOfThreeOhmMakeSixOrOneAndAHalf) {
  // Common practice, no source.
  ThieleSmall set = driver_with(30, 0.45);
  set.Re_ohm = 6;
  set.Le_h = 2e-3;
  set.Qes = 2 * pi * 30 * set.Mms_kg * 6 / (set.Bl_tm * set.Bl_tm);
  const ThieleSmall parallel = reconnect_coils(set, 2, CoilConnection::series, CoilConnection::parallel);
  EXPECT_DOUBLE_EQ(parallel.Re_ohm, 1.5);
  EXPECT_DOUBLE_EQ(parallel.Le_h, 0.5e-3);
  EXPECT_DOUBLE_EQ(parallel.Bl_tm, set.Bl_tm / 2);
  EXPECT_NEAR(parallel.Qes, set.Qes, 1e-12);  // the motor is the same either way
  const ThieleSmall single = reconnect_coils(parallel, 2, CoilConnection::parallel, CoilConnection::single);
  EXPECT_DOUBLE_EQ(single.Re_ohm, 3);
  EXPECT_DOUBLE_EQ(single.Le_h, 0.5e-3);
  EXPECT_NEAR(single.Qes, 2 * set.Qes, 1e-12);  // half the copper
  EXPECT_NEAR(single.Qts, single.Qes * single.Qms / (single.Qes + single.Qms), 1e-12);
  const ThieleSmall back = reconnect_coils(single, 2, CoilConnection::single, CoilConnection::series);
  EXPECT_DOUBLE_EQ(back.Re_ohm, 6);
  EXPECT_DOUBLE_EQ(back.Bl_tm, set.Bl_tm);
  EXPECT_THROW(reconnect_coils(set, 0, CoilConnection::series, CoilConnection::parallel),
               std::invalid_argument);
}

TEST(Coils, AnyConnectionGivesTheSameSoundFromTheSamePower) {
  ThieleSmall series = driver_with(30, 0.45);
  series.Le_h = 2e-3;
  const ThieleSmall parallel = reconnect_coils(series, 2, CoilConnection::series, CoilConnection::parallel);
  const std::vector<double> frequency{15, 30, 90, 400};
  const DriverResponse high = solve(series, SealedBox{.volume_m3 = 0.03}, frequency);
  const DriverResponse low = solve(parallel, SealedBox{.volume_m3 = 0.03}, frequency);
  for (std::size_t i = 0; i < frequency.size(); ++i) {
    EXPECT_NEAR(std::abs(high.impedance_ohm[i] / low.impedance_ohm[i] - 4.0), 0, 1e-12);
    EXPECT_NEAR(std::abs(low.volume_velocity_m3_s[i] / high.volume_velocity_m3_s[i] - 2.0), 0, 1e-12);
  }
}

TEST(DriverCircuit, RefusesInvalidCircuits) {
  const ThieleSmall set = driver_with(30, 0.45);
  EXPECT_THROW(solve(set, InfiniteBaffle{}, {0}), std::invalid_argument);
  EXPECT_THROW(solve(set, SealedBox{.volume_m3 = 0}, {30}), std::invalid_argument);
  EXPECT_THROW(solve(set, SealedBox{.volume_m3 = 0.03, .qa = 0}, {30}), std::invalid_argument);
  EXPECT_THROW(solve(set, VentedBox{.volume_m3 = 0.03}, {30}), std::invalid_argument);
  EXPECT_THROW(solve(set, DoorCavity{.volume_m3 = 0.03, .leak_area_m2 = -1}, {30}), std::invalid_argument);
  EXPECT_THROW(solve(set, SealedBox{.volume_m3 = 0.03}, {30}, 0), std::invalid_argument);
}

}  // namespace
}  // namespace cabinfield
