// The supply as a network of nodes over the car's ground: what flows where, and at what voltage.
//
// Kirchhoff's current law at every node. Batteries are a voltage behind a resistance (a greater one while
// they are charged: a charged battery takes little), an alternator the same up to its rated current and never
// backwards, a charger draws eta^-1 times the power that it puts out, an amplifier draws constant power.
// Below its least voltage an amplifier is taken for the resistance that it was at that voltage: power can
// then not be had for ever, and every network has a solution. Without chargers the currents are the slopes of
// a potential over the node voltages (the co-content of W. Millar, Phil. Mag. 42 (1951) 1150, from memory);
// the solution taken is the least of it that lies downhill from full voltage, which is the stable one.
// Chargers are joined to it step by step.
#pragma once

#include <limits>
#include <vector>

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
    double least_v = 10.5;  ///< above 0
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
};

/// Solves the network as it stands, whatever limits of cells say. `open` names cells that are switched off
/// (by index; may be empty). Throws std::invalid_argument where a node is not there or a resistance is not
/// above 0.
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
