// Supply plans drawn at random within what is plausible in a car, and what holds of any flow in them.
#pragma once

#include <string>
#include <vector>

#include "system/supply_case.h"

namespace cabinfield::test {

struct DrawnSupply {
  SupplyPlan plan;
  std::vector<std::string> amplifiers;
  SupplyCase of_case;
};

/// The same for the same number: one to three batteries, up to six amplifiers of up to 3 kW, cables of 4 to
/// 95 mm2 and 0.2 to 6 m, junctions, an alternator in five of six, chargers between batteries.
DrawnSupply drawn_supply(unsigned number);

/// What a flow breaks of the laws of its network, in words; "" where it keeps all: Kirchhoff's current law at
/// every node, each branch on its characteristic (limits of alternators, chargers and loads as
/// complementarity), no value that is not finite, power given = taken + lost. Written from the definitions,
/// not with the solver's curves.
std::string broken_law(const SupplyNetwork& network, const SupplyFlow& flow);

}  // namespace cabinfield::test
