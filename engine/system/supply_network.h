// The supply as a network of nodes over the car's ground: which currents flow, and at what voltages.
//
// Kirchhoff's current law at every node. Batteries are a voltage behind a resistance (a greater one while
// they are charged: a charged battery takes little), an alternator the same up to its rated current and never
// backwards, a charger draws eta^-1 times the power that it puts out, an amplifier draws constant power, or a
// power that depends on its voltage. Below its least voltage an amplifier is taken for the resistance that it
// was at that voltage: power is then limited, and every network without chargers has a solution.
//
// The excess F(v) of currents that leave each node is off-diagonally antitone: a higher voltage at one node
// never raises the excess of another (W. C. Rheinboldt, J. Math. Anal. Appl. 32 (1970) 274, from memory).
// There are then several solutions (constant power has a high and a low one), and one of them is the
// greatest at every node: the one where voltages come to rest that fall from full voltage, the stable one.
// It is found from above: steps v - A^-1 F(v) with an M-matrix A that no secant of F exceeds never pass it.
// Newton's method ends the search, where the slopes between its point and the bound above show that no
// solution lies between. Chargers fit in for a given output voltage in their power, which is then made to
// agree. Where it does not, the solution is lost on the way down: voltages are then followed in time.
#pragma once

#include <limits>
#include <vector>

#include "system/branch_curve.h"

namespace cabinfield {

struct SupplyNetwork {
  struct Run {
    int from = 0, to = 0;
    double resistance_ohm = 0;  ///< above 0, both ways
  };
  struct Cell {
    int node = 0;
    double emf_v = 0;
    double resistance_ohm = 0;         ///< above 0
    double charge_resistance_ohm = 0;  ///< while current flows in; as resistance_ohm where 0
    double discharge_limit_a = std::numeric_limits<double>::infinity();
  };
  struct Alternator {
    int node = 0;
    double regulated_v = 0;
    double resistance_ohm = 2e-3;  ///< by which its voltage gives way (common practice, no source)
    double greatest_a = 0;
  };
  struct Charger {
    int from = 0, to = 0;
    double regulated_v = 0;
    double resistance_ohm = 5e-3;
    double greatest_a = 0;  ///< put out
    double efficiency = 0.9;
    double least_input_v =
        11;  ///< below which it rests, all of it from 0.5 V more (common practice, no source)
  };
  struct Load {
    int node = 0;
    double power_w = 0;
    double least_v = 10.5;                   ///< above 0
    std::vector<PowerAtVoltage> power_at{};  ///< in place of power_w, as `load_curve` takes it; or empty
  };
  int nodes = 0;
  std::vector<Run> runs;
  std::vector<Cell> cells;
  std::vector<Alternator> alternators;
  std::vector<Charger> chargers;
  std::vector<Load> loads;
};

/// Currents are positive as the words say: from `from` to `to`, out of a source, into a load.
struct SupplyFlow {
  std::vector<double> node_v, run_a, cell_a, alternator_a, charger_in_a, charger_out_a, load_a;
  /// W: what sources give inside (charging counts against it), what loads take, and what is lost on the way
  /// in runs, in the sources' own resistances, and in chargers.
  double given_w = 0, taken_w = 0, lost_w = 0;
  /// Chargers (by index) that their input voltage holds back. A real one switches: it drops out and comes
  /// back over and over, and values are means. Should a network have no rest at all, these are all of its
  /// chargers, and values are those without them.
  std::vector<int> starved{};
};

/// Solves the network whatever limits of cells say. `open` marks cells that are switched off (by index; may
/// be empty). Throws std::invalid_argument where a node does not exist or a resistance is not above 0.
SupplyFlow solve_supply(const SupplyNetwork& network, const std::vector<bool>& open = {});

/// What comes of the protection circuits: the cell furthest over its limit opens, and what is left is solved
/// again, until none is over.
struct ProtectedFlow {
  SupplyFlow before;        ///< as asked for
  SupplyFlow after;         ///< with the opened cells off
  std::vector<int> opened;  ///< in their order
};
ProtectedFlow solve_protected_supply(const SupplyNetwork& network);

}  // namespace cabinfield
