#include "listening/sphere_head.h"

#include <gtest/gtest.h>

#include <cmath>
#include <complex>
#include <stdexcept>

#include "driver/directivity.h"
#include "listening/arrival.h"

namespace cabinfield {
namespace {

constexpr double far = SphereHead::far_away_m;
constexpr double degree = pi / 180;

// On a sphere of radius 1 m: wavenumbers are k a, distances r/a.
Complex pressure(double wavenumber_radius, double angle_rad, double distance_radii = far) {
  Complex value;
  SphereHead({wavenumber_radius}, 1, distance_radii).evaluate(angle_rad, {&value, 1});
  return value;
}

TEST(SphereHead, MatchesTheSeriesAtHighPrecision) {
  // The series of Duda & Martens (1998), conjugated for e^{+j omega t}, computed with mpmath to 40 digits
  // from Bessel functions of half-integer order, no recurrence; the far source by their limit.
  struct Row {
    double distance_radii, wavenumber_radius, angle;
    Complex pressure;
  };
  const std::vector<Row> rows{
      {far, 1e-4, 0, {0.999999989444, 0.000150000000217}},
      {far, 1e-4, 1.0, {0.999999995345, 8.10453462621e-5}},
      {far, 1e-4, 2.2, {0.999999994892, -8.82751672985e-5}},
      {far, 1e-4, 3.0, {0.99999998961, -0.000148498874047}},
      {far, 0.5, 0, {0.772052073909, 0.762296367855}},
      {far, 0.5, 1.0, {0.909680558791, 0.440520906106}},
      {far, 0.5, 2.2, {0.8823546139, -0.410746605702}},
      {far, 0.5, 3.0, {0.747691110847, -0.690561591066}},
      {far, 3, 0, {-1.76675688862, -0.164024830876}},
      {far, 3, 1.0, {-0.428279534669, 1.50019299774}},
      {far, 3, 2.2, {-0.344088005131, -0.767372859539}},
      {far, 3, 3.0, {0.0596308518721, 1.08910590673}},
      {far, 10, 0, {-1.54003816021, -1.20761870922}},
      {far, 10, 1.0, {1.32761811682, -1.20040961985}},
      {far, 10, 2.2, {0.641842024266, -0.293854155147}},
      {far, 10, 3.0, {-0.527513280641, 0.12552988505}},
      {far, 32, 0, {1.62928031158, 1.15128240301}},
      {far, 32, 1.0, {0.17294561938, -1.91355688691}},
      {far, 32, 2.2, {-0.195876172556, -0.417885724137}},
      {far, 32, 3.0, {-0.132431740887, 0.142692207931}},
      {10, 3, 0, {-1.96238365324, -0.159796669173}},
      {10, 3, 1.0, {-0.246102951333, 1.58346530762}},
      {10, 3, 2.2, {-0.433547173195, -0.601344062235}},
      {10, 3, 3.0, {0.218829947555, 0.913100298818}},
      {10, 10, 0, {-1.70780429571, -1.33994884793}},
      {10, 10, 1.0, {0.818789273105, -1.64244623439}},
      {10, 10, 2.2, {0.31518952557, -0.505123969672}},
      {10, 10, 3.0, {-0.314683702523, 0.325273341415}},
      {10, 32, 0, {1.810596061, 1.27902245669}},
      {10, 32, 1.0, {-1.76420714507, -0.90719599933}},
      {10, 32, 2.2, {-0.300688156842, 0.202972293065}},
      {10, 32, 3.0, {0.126029284028, 0.0865782274395}},
      {2, 3, 0, {-3.52640043071, -0.0754147756533}},
      {2, 3, 1.0, {0.750963812657, 1.37626165417}},
      {2, 3, 2.2, {-0.437979272913, -0.0584105819154}},
      {2, 3, 3.0, {0.453143691245, 0.291784911479}},
      {2, 10, 0, {-3.07402884724, -2.37624379784}},
      {2, 10, 1.0, {-1.68196887197, -0.147347451353}},
      {2, 10, 2.2, {-0.288692605565, 0.0749211169661}},
      {2, 10, 3.0, {0.22484782026, -0.00324892022485}},
      {2, 32, 0, {3.25542514761, 2.29644718668}},
      {2, 32, 1.0, {-1.32574864834, -1.14247085817}},
      {2, 32, 2.2, {-0.0241951482589, 0.136001745764}},
      {2, 32, 3.0, {0.0574332098911, -0.0109798392949}},
      {1.25, 0.5, 0, {6.89249401554, 4.20918545839}},
      {1.25, 0.5, 1.0, {1.1151650905, 0.112475638618}},
      {1.25, 0.5, 2.2, {0.318408831526, -0.295665335015}},
      {1.25, 0.5, 3.0, {0.196795184133, -0.327097818546}},
      {1.25, 3, 0, {-9.0072540184, 0.502678537077}},
      {1.25, 3, 1.0, {1.16967024642, 0.497364589799}},
      {1.25, 3, 2.2, {-0.25565177684, 0.156542276015}},
      {1.25, 3, 3.0, {0.362260193744, -0.035618275225}},
      {1.25, 10, 0, {-7.76483045602, -5.71283527466}},
      {1.25, 10, 1.0, {0.377085899192, 1.12902656802}},
      {1.25, 10, 2.2, {0.111539300714, 0.131708474191}},
      {1.25, 10, 3.0, {-0.0577302256356, -0.116833308434}},
      {1.25, 32, 0, {8.12460736662, 5.69764155561}},
      {1.25, 32, 1.0, {-0.462954685078, -0.875670734757}},
      {1.25, 32, 2.2, {-0.0288647979456, 0.0545369264048}},
      {1.25, 32, 3.0, {0.0259505570781, 0.00318072325301}},
  };
  for (const Row& row : rows) {
    const Complex computed = pressure(row.wavenumber_radius, row.angle, row.distance_radii);
    const double peak = std::abs(pressure(row.wavenumber_radius, 0, row.distance_radii));
    // As promised: 1e-3 of the peak, which is on axis.
    EXPECT_LT(std::abs(computed - row.pressure), 1e-3 * peak)
        << row.distance_radii << " " << row.wavenumber_radius;
    // The axis is an angle of the table: no interpolation, only the 12 digits typed in.
    if (row.angle == 0) {
      EXPECT_LT(std::abs(computed - row.pressure), 1e-11)
          << row.distance_radii << " " << row.wavenumber_radius;
    }
  }
}

TEST(SphereHead, MatchesRayleighsTable) {
  // Rayleigh, Theory of Sound II, sec. 328, table of F^2 + G^2 for a source on a sphere and a far listener,
  // or the reverse, from memory (and met by the series to their last digits but one). His unit is half ours.
  struct Row {
    double wavenumber_radius, angle, quarter_square;
  };
  for (const Row& row : {Row{0.5, 0, .294291}, Row{0.5, pi, .259729}, Row{0.5, pi / 2, .231999},
                         Row{1.0, 0, .502961}, Row{1.0, pi, .285220}, Row{1.0, pi / 2, .236828}})
    EXPECT_NEAR(std::norm(pressure(row.wavenumber_radius, row.angle)) / 4, row.quarter_square, 3e-6)
        << row.wavenumber_radius << " " << row.angle;
}

TEST(SphereHead, InterpolatesInAngleToAThousandthOfThePeak) {
  // Two tables that share no angle but the poles, one five times as fine thanks to a second, higher
  // wavenumber.
  for (double distance : {far, 10.0, 1.25, 1.05})
    for (double x : {3.0, 32.0, 40.0}) {
      const SphereHead coarse({x}, 1, distance), fine({x, 5.03 * std::max(x, 40.0)}, 1, distance);
      double peak = 0, worst = 0;
      for (int i = 0; i <= 2000; ++i) {
        Complex from_coarse;
        std::vector<Complex> from_fine(2);
        coarse.evaluate(pi * i / 2000, {&from_coarse, 1});
        fine.evaluate(pi * i / 2000, from_fine);
        peak = std::max(peak, std::abs(from_fine[0]));
        worst = std::max(worst, std::abs(from_coarse - from_fine[0]));
      }
      EXPECT_LT(worst, 1e-3 * peak) << distance << " " << x;
      EXPECT_GT(worst, 0) << "the two tables are one";
    }
}

TEST(SphereHead, LowFrequencyIsTheFreeFieldAndOneAndAHalfTimesItsSlope) {
  // To first order H = 1 + (3/2) j x cos theta (Kuhn 1977; Rayleigh's dipole). The rest is of second order.
  for (double angle : {0.0, 0.7, pi / 2, 2.5, pi}) {
    EXPECT_LT(std::abs(pressure(0, angle) - 1.0), 1e-8);
    EXPECT_LT(std::abs(pressure(1e-4, angle) - Complex(1, 1.5e-4 * std::cos(angle))), 3e-8);
  }
}

TEST(SphereHead, NearSourceIsShadowedAtZeroFrequency) {
  // sum (2n + 1)/(n + 1) t^n P_n(mu), t = a/r, by the generating function of the Legendre polynomials and its
  // integral: a static potential about a sphere that lets no flow through.
  for (double distance : {1.25, 2.0, 10.0})
    for (double angle : {0.3, 1.0, 2.0, 3.1}) {
      const double t = 1 / distance, mu = std::cos(angle), way = std::sqrt(1 - 2 * t * mu + t * t);
      const double closed = 2 / way - std::log((t - mu + way) / (1 - mu)) / t;
      EXPECT_NEAR(std::abs(pressure(0, angle, distance)), closed, 1e-3 * (2 / (1 - t)))
          << distance << " " << angle;
      // On axis no interpolation: k a = 1e-9 stands for 0.
      EXPECT_NEAR(std::abs(pressure(0, 0, distance)), 2 / (1 - t) + std::log(1 - t) / t, 1e-8);
    }
}

TEST(SphereHead, DistantSourceIsAFarSource) {
  // Over the sphere the wave front bows by at most x/(2 rho) radians, the level by 1/rho.
  for (double x : {1e-4, 1.0, 10.0, 40.0})
    for (double angle : {0.0, 1.0, pi})
      EXPECT_LT(std::abs(pressure(x, angle, 1e5) - pressure(x, angle)), 4e-5 + 2e-5 * x) << x << " " << angle;
}

TEST(SphereHead, HighFrequencyDoublesOnAxis) {
  // A wall; what the sphere's curvature leaves out falls as 1/x^2 (times 4.5 to 5.2, measured; the wave round
  // the back ripples it).
  for (double x : {20.0, 32.0, 40.0, 100.0}) {
    EXPECT_NEAR(std::abs(pressure(x, 0)), 2, 6 / (x * x)) << x;
    EXPECT_NEAR(std::remainder(std::arg(pressure(x, 0)) - x, 2 * pi), 0, 1 / x) << x;
  }
}

TEST(SphereHead, HasABrightSpotDirectlyBehind) {
  for (double x : {5.0, 10.0, 20.0, 32.0}) {
    const double behind = std::abs(pressure(x, pi));
    for (double away : {20.0, 30.0, 45.0}) {
      // Creeping waves of all sides add up behind; off it, those of one side are alone.
      EXPECT_GT(behind, 1.15 * std::abs(pressure(x, pi - away * degree))) << x << " " << away;
    }
  }
}

TEST(SphereHead, LowFrequencyTimeDifferenceIsKuhns) {
  // Kuhn, J. Acoust. Soc. Am. 62 (1977) 157: 3 a sin(theta)/c from phase; differs by x^2.
  const double c = 343, f = 10;
  for (double side_deg : {10.0, 30.0, 60.0, 90.0}) {
    const SphereHead head({2 * pi * f / c});
    Complex left, right;
    head.evaluate((90 + side_deg) * degree, {&left, 1});
    head.evaluate((90 - side_deg) * degree, {&right, 1});
    const double time_s = std::arg(right / left) / (2 * pi * f);
    EXPECT_NEAR(time_s, 3 * head_radius_m * std::sin(side_deg * degree) / c, 1e-6) << side_deg;
  }
}

TEST(SphereHead, HighFrequencyTimeDifferenceIsWoodworths) {
  // Woodworth's a (theta + sin theta)/c is the way of a wave front: straight to the near ear, along the
  // surface to the far one. The group delay, meant from k a = 100 to 200, nears it: the creeping wave's phase
  // is x alpha (1 + 0.404 x^{-2/3}) over an arc alpha (Keller's theory of diffraction, from memory), so its
  // group delay is longer by 0.5 % of alpha there; the wave round the other side, at 60 degrees 1.5 % as
  // strong, adds a ripple. Together within 1.5 %.
  std::vector<double> wavenumber;
  for (int i = 0; i <= 200; ++i) wavenumber.push_back(100 + 0.5 * i);
  const SphereHead head(wavenumber, 1);
  std::vector<Complex> left(wavenumber.size()), right(wavenumber.size());
  for (double side_deg : {20.0, 30.0, 45.0, 60.0}) {
    head.evaluate((90 + side_deg) * degree, left);
    head.evaluate((90 - side_deg) * degree, right);
    double phase = 0;
    for (std::size_t i = 1; i < wavenumber.size(); ++i)
      phase += std::arg(right[i] / right[i - 1] * std::conj(left[i] / left[i - 1]));
    const double woodworth = woodworth_itd_s(side_deg * degree, 1, 1);
    EXPECT_NEAR(phase / 100 / woodworth, 1, 0.015) << side_deg;
  }
}

TEST(SphereHead, IsReciprocalToASourceOnASphere) {
  // Reciprocity: a small piston in a sphere is heard far off as a far source is at its place; the piston's
  // phase is counted from its own centre. A piston of 0.01 a differs by (0.01 x)^2/8, two tables by 1e-3
  // each.
  const double mouth = std::sqrt(1 - 0.01 * 0.01);
  for (double x : {0.3, 2.0, 8.0, 16.0}) {
    const SpherePistonDirectivity piston(0.01, 1, {x});
    for (double angle : {0.0, 0.5, 1.2, 2.0, 2.8, pi}) {
      Complex radiated;
      piston.evaluate(angle, {&radiated, 1});
      radiated *= std::polar(1.0, x * mouth * std::cos(angle));
      EXPECT_LT(std::abs(radiated - pressure(x, angle)), 2e-3 * 2 + 0.004) << x << " " << angle;
    }
  }
}

TEST(SphereHead, MeanOverAllDirectionsIsTheRadiatedPowerOfASourceThere) {
  // sum (2n + 1)/(x^4 |h_n'(x)|^2), by the orthogonality of P_n, with Bessel functions of the standard
  // library; by reciprocity the power of a source on the sphere over that of a free one.
  for (double x : {0.5, 4.0, 15.0}) {
    double power = 0;
    for (unsigned n = 0; n < static_cast<unsigned>(x + 15); ++n) {
      auto hankel = [&](unsigned order) {
        return Complex(std::sph_bessel(order, x), -std::sph_neumann(order, x));
      };
      power += (2 * n + 1) / (std::pow(x, 4) * std::norm(n / x * hankel(n) - hankel(n + 1)));
    }
    const SphereHead head({x}, 1);
    const int steps = 2000;
    double mean = 0;
    for (int i = 0; i < steps; ++i) {
      const double angle = pi * (i + 0.5) / steps;
      Complex value;
      head.evaluate(angle, {&value, 1});
      mean += std::norm(value) * std::sin(angle) / 2 * pi / steps;
    }
    // Twice the error of interpolation, and midpoint sums of 1e-6.
    EXPECT_NEAR(mean / power, 1, 2e-3) << x;
  }
}

TEST(SphereHead, IsEvenAboutBothPoles) {
  for (double angle : {0.4, 1.9, 3.0}) {
    EXPECT_LT(std::abs(pressure(7, -angle) - pressure(7, angle)), 1e-12);
    EXPECT_LT(std::abs(pressure(7, 2 * pi - angle) - pressure(7, angle)), 1e-12);
  }
}

TEST(SphereHead, ListOfWavenumbersEqualsEachAlone) {
  const std::vector<double> wavenumber{300, 0, 20, 450};
  const SphereHead together(wavenumber);
  std::vector<Complex> value(4);
  together.evaluate(0.8, value);
  for (std::size_t i = 0; i < 4; ++i)
    EXPECT_LT(std::abs(value[i] - pressure(wavenumber[i] * head_radius_m, 0.8)), 4e-3) << wavenumber[i];
}

TEST(SphereHead, StaysFiniteFarOutsideTheRange) {
  for (double x : {0.0, 1e-300, 1e-12, 1e-4, 1.0, 40.0, 400.0})
    for (double distance : {1.05, 1.25, 3.0, 1e6, far})
      for (double angle : {-0.1, 0.0, 3.0, pi, 4.0}) {
        // Never above twice the pressure of the source at its nearest.
        const double bound = 2.01 * (std::isinf(distance) ? 1 : distance / (distance - 1));
        EXPECT_TRUE(std::abs(pressure(x, angle, distance)) <= bound) << x << " " << distance << " " << angle;
      }
  std::vector<Complex> none;
  SphereHead(std::vector<double>{}).evaluate(1, none);
}

TEST(SphereHead, RejectsInvalidHeads) {
  EXPECT_THROW(SphereHead({1}, 0), std::invalid_argument);
  EXPECT_THROW(SphereHead({1}, std::nan("")), std::invalid_argument);
  EXPECT_THROW(SphereHead({1}, far), std::invalid_argument);
  EXPECT_THROW(SphereHead({-1}), std::invalid_argument);
  EXPECT_THROW(SphereHead({std::nan("")}), std::invalid_argument);
  EXPECT_THROW(SphereHead({1}, 0.1, 0.104), std::invalid_argument);
  EXPECT_THROW(SphereHead({1}, 0.1, std::nan("")), std::invalid_argument);
}

}  // namespace
}  // namespace cabinfield
