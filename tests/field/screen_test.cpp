#include "field/images/screen.h"

#include <gtest/gtest.h>

#include <cmath>
#include <vector>

#include "base/constants.h"

namespace cabinfield {
namespace {

TEST(Screen, FollowsMaekawasChart) {
  // Maekawa 1968, read off the chart for a point source behind a thin screen, from memory, to its reading
  // accuracy of about 1 dB: N = 0: 5, 0.1: 8 (7 to 8), 1: 13, 10: 23.
  EXPECT_NEAR(screen_loss_db(0), 5, 1e-9);
  EXPECT_NEAR(screen_loss_db(0.1), 7.5, 1.0);
  EXPECT_NEAR(screen_loss_db(1), 13, 1.0);
  EXPECT_NEAR(screen_loss_db(10), 23, 1.0);
  EXPECT_EQ(screen_loss_db(1000), 24);
  // Kurze & Anderson's formula evaluated by hand at N = 1: sqrt(2 pi) = 2.5066, tanh 0.98679, 20 lg 2.5402
  // = 8.097.
  EXPECT_NEAR(screen_loss_db(1), 13.097, 1e-3);
}

TEST(Screen, FactorUsesTheFresnelNumberOfTheDetour) {
  // A detour of 0.1 m at a wavelength of 0.2 m: N = 1.
  std::vector<double> factor(1);
  const std::vector<double> wavenumber{2 * pi / 0.2};
  screen_factor(0.1, wavenumber, factor);
  EXPECT_NEAR(-20 * std::log10(factor[0]), screen_loss_db(1), 1e-9);
}

}  // namespace
}  // namespace cabinfield
