// Viscosity, heat conduction and Prandtl number of air.
#include <gtest/gtest.h>

#include <stdexcept>

#include "base/air.h"

namespace cabinfield {
namespace {

AirConditions dry(double celsius) { return {celsius + 273.15, 0.0, 101325.0}; }

// U.S. Standard Atmosphere, 1976, at sea level, 15 degC (from memory): 1.7894e-5 Pa s, 2.5326e-2 W/(m K).
// Tolerances: the last printed digit.
TEST(AirTransport, MatchesTheStandardAtmosphere) {
  EXPECT_NEAR(viscosity_pa_s(dry(15)), 1.7894e-5, 1e-9);
  EXPECT_NEAR(thermal_conductivity_w_m_k(dry(15)), 2.5326e-2, 1e-6);
}

// Incropera & DeWitt, Fundamentals of Heat and Mass Transfer, Table A.4, air at 300 K and 1 atm (from
// memory): 184.6e-7 Pa s, 26.3e-3 W/(m K), Pr 0.707. 0.5 % and 1 %: two fits to measurements of that scatter.
TEST(AirTransport, MatchesAHandbookTable) {
  EXPECT_NEAR(viscosity_pa_s(dry(26.85)), 184.6e-7, 0.005 * 184.6e-7);
  EXPECT_NEAR(thermal_conductivity_w_m_k(dry(26.85)), 26.3e-3, 0.01 * 26.3e-3);
  EXPECT_NEAR(prandtl_number(dry(26.85)), 0.707, 0.01 * 0.707);
}

// The same table: Pr 0.720 at 250 K, 0.707 at 300 K, 0.700 at 350 K, between them by straight lines; 1 % as
// above. Moist air has a higher heat capacity, some 1 % at 20 degC and 50 %; pressure cancels.
TEST(AirTransport, PrandtlNumberHardlyChanges) {
  EXPECT_NEAR(prandtl_number(dry(-20)), 0.7192, 0.01 * 0.7192);
  EXPECT_NEAR(prandtl_number(dry(0)), 0.7140, 0.01 * 0.7140);
  EXPECT_NEAR(prandtl_number(dry(50)), 0.7038, 0.01 * 0.7038);
  EXPECT_NEAR(prandtl_number({293.15, 0.5, 101325.0}) / prandtl_number(dry(20)), 1.01, 0.01);
  EXPECT_NEAR(prandtl_number({293.15, 0.5, 70e3}), prandtl_number({293.15, 0.5, 101325.0}), 0.005);
}

TEST(AirTransport, RefusesAirOutOfRange) {
  EXPECT_THROW(viscosity_pa_s(dry(60)), std::invalid_argument);
  EXPECT_THROW(thermal_conductivity_w_m_k(dry(-30)), std::invalid_argument);
  EXPECT_THROW(prandtl_number({293.15, 1.5, 101325.0}), std::invalid_argument);
}

}  // namespace
}  // namespace cabinfield
