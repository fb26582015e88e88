#include "system/supply_network.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <fstream>
#include <sstream>
#include <stdexcept>
#include <string>

#include "system/battery.h"

namespace cabinfield {
namespace {

void expect_balance(const SupplyFlow& flow) {
  EXPECT_NEAR(flow.given_w, flow.taken_w + flow.lost_w, 1e-9 * std::abs(flow.given_w));
}

// The network of tests/reference/supply_nodes.py.
SupplyNetwork reference_network() {
  SupplyNetwork network;
  network.nodes = 4;
  network.runs = {{0, 1, 4.1e-3}, {1, 2, 3.3e-3}, {1, 3, 1.7e-3}, {0, 2, 9.0e-3}};
  network.cells = {{.node = 0, .emf_v = 12.6, .resistance_ohm = 5e-3},
                   {.node = 1, .emf_v = 13.2, .resistance_ohm = 7e-3}};
  network.loads = {{.node = 2, .power_w = 380}, {.node = 3, .power_w = 1450}};
  return network;
}

TEST(SupplyNetwork, TwoBatteriesInParallelAsSolvedByHand) {
  // (E1 - V)/r1 + (E2 - V)/r2 = P/V with 12.6 V, 5 mohm; 13.2 V, 8 mohm; 1200 W:
  // 325 V2 - 4170 V + 1200 = 0.
  SupplyNetwork network;
  network.nodes = 1;
  network.cells = {{.node = 0, .emf_v = 12.6, .resistance_ohm = 5e-3},
                   {.node = 0, .emf_v = 13.2, .resistance_ohm = 8e-3}};
  network.loads = {{.node = 0, .power_w = 1200}};
  const double voltage = (4170 + std::sqrt(4170.0 * 4170 - 4 * 325.0 * 1200)) / 650;
  const SupplyFlow flow = solve_supply(network);
  EXPECT_NEAR(flow.node_v[0], voltage, 1e-10);
  EXPECT_NEAR(flow.cell_a[0], (12.6 - voltage) / 5e-3, 1e-7);
  EXPECT_NEAR(flow.cell_a[1], (13.2 - voltage) / 8e-3, 1e-7);
  EXPECT_NEAR(flow.load_a[0], 1200 / voltage, 1e-8);
  expect_balance(flow);
}

TEST(SupplyNetwork, AgreesWithNodalEquationsSolvedByScipy) {
  std::ifstream table(std::string(CABINFIELD_SOURCE_DIR) + "/tests/reference/supply_nodes.txt");
  std::string line;
  int lines = 0;
  for (; std::getline(table, line); ++lines) {
    std::istringstream words(line);
    double alternator_a = 0;
    words >> alternator_a;
    SupplyNetwork network = reference_network();
    if (alternator_a > 0)  // at its rated current: its voltage is out of reach
      network.alternators = {{.node = 0, .regulated_v = 14.4, .greatest_a = alternator_a}};
    const SupplyFlow flow = solve_supply(network);
    for (double node_v : flow.node_v) {
      double expected = 0;
      words >> expected;
      EXPECT_NEAR(node_v, expected, 2e-8) << line;
    }
    expect_balance(flow);
  }
  EXPECT_EQ(lines, 2);
}

TEST(SupplyNetwork, RestsWhereVoltagesInTimeStop) {
  std::ifstream table(std::string(CABINFIELD_SOURCE_DIR) + "/tests/reference/supply_rest.txt");
  std::string line;
  int lines = 0;
  for (; std::getline(table, line); ++lines) {
    std::istringstream words(line);
    SupplyNetwork network;
    words >> network.nodes;
    auto each = [&words](auto read) {
      int count = 0;
      for (words >> count; count > 0; --count) read();
    };
    each([&] {
      auto& run = network.runs.emplace_back();
      words >> run.from >> run.to >> run.resistance_ohm;
    });
    each([&] {
      auto& cell = network.cells.emplace_back();
      words >> cell.node >> cell.emf_v >> cell.resistance_ohm >> cell.charge_resistance_ohm;
    });
    each([&] {
      auto& source = network.alternators.emplace_back();
      words >> source.node >> source.regulated_v >> source.resistance_ohm >> source.greatest_a;
    });
    each([&] {
      auto& charger = network.chargers.emplace_back();
      words >> charger.from >> charger.to >> charger.regulated_v >> charger.resistance_ohm >>
          charger.greatest_a >> charger.efficiency;
    });
    each([&] {
      auto& load = network.loads.emplace_back();
      words >> load.node >> load.power_w;
    });
    const SupplyFlow flow = solve_supply(network);
    for (double node_v : flow.node_v) {
      double expected = 0;
      ASSERT_TRUE(words >> expected) << line;
      EXPECT_NEAR(node_v, expected, 2e-7) << line;
    }
    EXPECT_TRUE(flow.starved.empty()) << line;
  }
  EXPECT_EQ(lines, 40);
}

// 1265 W beside a battery and an alternator of 100 A: they rest with the battery discharged over 5 mohm, and
// with the alternator at its 14.2 V behind 2 mohm, which charges it over 150 mohm.
TEST(SupplyNetwork, OfSeveralRestsItIsTheOneBelowFullVoltage) {
  SupplyNetwork network;
  network.nodes = 1;
  network.cells = {{.node = 0, .emf_v = 12.6, .resistance_ohm = 5e-3, .charge_resistance_ohm = 0.15}};
  network.alternators = {{.node = 0, .regulated_v = 14.2, .greatest_a = 100}};
  network.loads = {{.node = 0, .power_w = 1265}};
  auto left_a = [](double node_v, double cell_ohm, double alternator_a) {
    return alternator_a - 1265 / node_v - (node_v - 12.6) / cell_ohm;
  };
  const double high_v = solve_supply(network).node_v[0];
  EXPECT_GT(high_v, 14.0);
  EXPECT_NEAR(left_a(high_v, 0.15, (14.2 - high_v) / 2e-3), 0, 1e-9);
  EXPECT_LT(left_a(12.6, 0.15, 100), 0) << "below it a second rest";
  EXPECT_GT(left_a(12.55, 5e-3, 100), 0);
  network.loads[0].power_w = 1290;  // the high one is gone: 100 A reach nowhere above 12.6 V
  const double low_v = solve_supply(network).node_v[0];
  EXPECT_LT(low_v, 12.6);
  EXPECT_NEAR(100 - 1290 / low_v + (12.6 - low_v) / 5e-3, 0, 1e-9);
}

// The load of the charger's bus needs 20 A at 14.3 V; over a weak input the charger cannot give that, its bus
// falls below what the load needs, and it gives what its input lets it between 11 V and 11.5 V.
TEST(SupplyNetwork, AChargerWithTooLittleBeforeItIsNamed) {
  SupplyNetwork network;
  network.nodes = 2;
  network.cells = {{.node = 0, .emf_v = 11.9, .resistance_ohm = 25e-3}};
  network.chargers = {{.from = 0, .to = 1, .regulated_v = 14.4, .greatest_a = 30, .efficiency = 0.9}};
  network.loads = {{.node = 1, .power_w = 290}};
  const SupplyFlow flow = solve_supply(network);
  ASSERT_EQ(flow.starved, std::vector<int>{0});
  EXPECT_GT(flow.node_v[0], 11);
  EXPECT_LT(flow.node_v[0], 11.5);
  EXPECT_NEAR(flow.charger_out_a[0], 30 * (flow.node_v[0] - 11) / 0.5, 1e-8);
  EXPECT_NEAR(flow.node_v[1], flow.charger_out_a[0] * 10.5 * 10.5 / 290, 1e-8);
  EXPECT_NEAR(flow.charger_in_a[0] * 25e-3, 11.9 - flow.node_v[0], 1e-9);
  expect_balance(flow);
  network.cells[0].resistance_ohm = 5e-3;
  EXPECT_TRUE(solve_supply(network).starved.empty());
}

TEST(SupplyNetwork, AnAlternatorChargesWhatIsLowerAndTakesNothingBack) {
  SupplyNetwork network;
  network.nodes = 1;
  network.cells = {{.node = 0, .emf_v = 12.6, .resistance_ohm = 20e-3}};
  network.alternators = {{.node = 0, .regulated_v = 14.4, .greatest_a = 150}};
  const SupplyFlow charging = solve_supply(network);
  // 1.8 V over 22 mohm.
  EXPECT_NEAR(charging.alternator_a[0], 1.8 / 22e-3, 1e-6);
  EXPECT_NEAR(charging.cell_a[0], -1.8 / 22e-3, 1e-6);
  expect_balance(charging);
  // A battery that takes less than it gives: 100 mohm while it is charged.
  network.cells[0].charge_resistance_ohm = 0.1;
  EXPECT_NEAR(solve_supply(network).cell_a[0], -1.8 / 102e-3, 1e-6);
  expect_balance(solve_supply(network));
  network.cells[0].emf_v = 15;
  const SupplyFlow resting = solve_supply(network);
  EXPECT_EQ(resting.alternator_a[0], 0);
  EXPECT_NEAR(resting.node_v[0], 15, 1e-9);
}

TEST(SupplyNetwork, AChargerHoldsItsCurrentAndLosesItsShare) {
  SupplyNetwork network;
  network.nodes = 2;
  network.cells = {{.node = 0, .emf_v = 12.6, .resistance_ohm = 5e-3},
                   {.node = 1, .emf_v = 13.2, .resistance_ohm = 10e-3}};
  network.chargers = {{.from = 0, .to = 1, .regulated_v = 14.4, .greatest_a = 40, .efficiency = 0.9}};
  const SupplyFlow flow = solve_supply(network);
  EXPECT_NEAR(flow.charger_out_a[0], 40, 1e-9);
  EXPECT_NEAR(flow.node_v[1], 13.6, 1e-9);
  EXPECT_NEAR(flow.charger_in_a[0] * flow.node_v[0] * 0.9, 40 * 13.6, 1e-6);
  expect_balance(flow);
  network.cells[0].emf_v = 10.9;  // too low to draw from
  EXPECT_EQ(solve_supply(network).charger_out_a[0], 0);
}

TEST(SupplyNetwork, AChargerAloneFeedsALoadUpToItsCurrent) {
  SupplyNetwork network;
  network.nodes = 2;
  network.cells = {{.node = 0, .emf_v = 12.6, .resistance_ohm = 5e-3}};
  network.chargers = {{.from = 0, .to = 1, .regulated_v = 14.4, .greatest_a = 30, .efficiency = 0.9}};
  for (double power_w : {1.0, 144.0, 290.0, 425.0}) {  // 30 A at 14.25 V are 427.5 W
    network.loads = {{.node = 1, .power_w = power_w}};
    const SupplyFlow flow = solve_supply(network);
    // (14.4 - V)/5 mohm = P/V.
    const double voltage = (14.4 + std::sqrt(14.4 * 14.4 - 4 * power_w * 5e-3)) / 2;
    EXPECT_NEAR(flow.node_v[1], voltage, 1e-9) << power_w;
    EXPECT_NEAR(flow.charger_out_a[0], power_w / voltage, 1e-7) << power_w;
    EXPECT_NEAR(flow.charger_in_a[0] * flow.node_v[0] * 0.9, power_w, 1e-6) << power_w;
    EXPECT_NEAR(flow.cell_a[0], flow.charger_in_a[0], 1e-7) << power_w;
    expect_balance(flow);
  }
  network.loads = {{.node = 1, .power_w = 500}};  // more than it has: 30 A into 10.5^2/500 = 220.5 mohm
  EXPECT_NEAR(solve_supply(network).node_v[1], 30 * 0.2205, 1e-8);
  expect_balance(solve_supply(network));
}

TEST(SupplyNetwork, MorePowerThanThereIsSettlesBelowTheLeastVoltage) {
  SupplyNetwork network;
  network.nodes = 2;
  network.runs = {{0, 1, 10e-3}};
  network.cells = {{.node = 0, .emf_v = 12.6, .resistance_ohm = 10e-3}};
  network.loads = {{.node = 1, .power_w = 3000}};  // 12.6^2 / (4 x 20 mohm) = 1985 W is the most
  const SupplyFlow flow = solve_supply(network);
  // The load as the resistance 10.5^2/3000 = 36.75 mohm.
  EXPECT_NEAR(flow.node_v[1], 12.6 * 36.75 / 56.75, 1e-8);
  expect_balance(flow);
}

TEST(SupplyNetwork, BalancesWhateverTheLoad) {
  for (int step = 0; step <= 60; ++step) {
    SupplyNetwork network = reference_network();
    network.alternators = {{.node = 0, .regulated_v = 14.2, .greatest_a = 5.0 * step}};
    network.loads[1].power_w = 60.0 * step;
    network.chargers = {{.from = 0, .to = 3, .regulated_v = 14.0, .greatest_a = 20}};
    expect_balance(solve_supply(network));
  }
}

TEST(SupplyNetwork, TheOneFurthestOverItsLimitOpensFirstAndTheRestTakeItsShare) {
  SupplyNetwork network;
  network.nodes = 1;
  network.cells = {{.node = 0, .emf_v = 12.6, .resistance_ohm = 5e-3, .discharge_limit_a = 400},
                   {.node = 0, .emf_v = 13.2, .resistance_ohm = 5e-3, .discharge_limit_a = 100}};
  network.loads = {{.node = 0, .power_w = 2000}};
  const ProtectedFlow flow = solve_protected_supply(network);
  EXPECT_GT(flow.before.cell_a[1], 100);
  ASSERT_EQ(flow.opened, std::vector<int>{1});
  EXPECT_EQ(flow.after.cell_a[1], 0);
  EXPECT_NEAR(flow.after.cell_a[0], flow.after.load_a[0], 1e-9);
  EXPECT_LT(flow.after.node_v[0], flow.before.node_v[0]);
  network.cells[0].discharge_limit_a = 10;  // both are over: the one that is further goes first
  EXPECT_EQ(solve_protected_supply(network).opened.front(), 0);
  network.cells[0].discharge_limit_a = 15;  // 20 A and 140 A are asked for
  EXPECT_EQ(solve_protected_supply(network).opened.front(), 1);
  network.cells[0].discharge_limit_a = 150;  // then the other one follows, and all is dark
  const ProtectedFlow dark = solve_protected_supply(network);
  EXPECT_EQ(dark.opened, (std::vector<int>{1, 0}));
  EXPECT_NEAR(dark.after.node_v[0], 0, 1e-12);
}

TEST(SupplyNetwork, SettlesWhateverIsJoined) {
  unsigned state = 7;
  auto thrown = [&state](double low, double high) {
    state = state * 1664525U + 1013904223U;
    return low + (high - low) * (state >> 8U) / static_cast<double>(1U << 24U);
  };
  auto node = [&](int nodes) { return std::min(nodes - 1, static_cast<int>(thrown(0, nodes))); };
  for (int round = 0; round < 2000; ++round) {
    SupplyNetwork network;
    network.nodes = 2 + node(5);
    for (int n = 1; n < network.nodes; ++n) network.runs.push_back({node(n), n, thrown(2e-4, 0.05)});
    for (int b = 0; b <= node(3); ++b)
      network.cells.push_back({.node = node(network.nodes),
                               .emf_v = thrown(11.5, 13.4),
                               .resistance_ohm = thrown(1e-3, 0.03),
                               .charge_resistance_ohm = thrown(0.03, 0.3),
                               .discharge_limit_a = thrown(20, 300)});
    if (round % 2 == 0)
      network.alternators.push_back(
          {.node = node(network.nodes), .regulated_v = thrown(12.3, 15), .greatest_a = thrown(10, 250)});
    if (round % 3 == 0)
      network.chargers.push_back({.from = node(network.nodes),
                                  .to = node(network.nodes),
                                  .regulated_v = thrown(13, 14.6),
                                  .greatest_a = thrown(5, 80)});
    for (int a = 0; a <= node(4); ++a)
      network.loads.push_back({.node = node(network.nodes), .power_w = thrown(0, 4000)});
    const ProtectedFlow flow = solve_protected_supply(network);
    expect_balance(flow.before);
    for (std::size_t c = 0; c < network.cells.size(); ++c)
      EXPECT_LE(flow.after.cell_a[c], network.cells[c].discharge_limit_a * (1 + 1e-8));
  }
}

TEST(SupplyNetwork, RefusesWhatIsNoNetwork) {
  SupplyNetwork network = reference_network();
  network.runs[0].resistance_ohm = 0;
  EXPECT_THROW(solve_supply(network), std::invalid_argument);
  network = reference_network();
  network.cells[0].resistance_ohm = -1e-3;
  EXPECT_THROW(solve_supply(network), std::invalid_argument);
  network = reference_network();
  network.loads[0].node = 4;
  EXPECT_THROW(solve_supply(network), std::invalid_argument);
}

TEST(Battery, LastsByPeukertInRatedHours) {
  // 100 Ah (20 h), k 1.2: 10 A 8.706 h, 20 A 3.789 h, computed from the formula; at the rated current the
  // rated hours.
  EXPECT_NEAR(peukert_hours(100, 20, 1.2, 10), 8.706, 0.0005);
  EXPECT_NEAR(peukert_hours(100, 20, 1.2, 20), 3.789, 0.0005);
  EXPECT_NEAR(peukert_hours(100, 20, 1.2, 5), 20, 1e-12);
}

TEST(Battery, TakesTheHabitsOfItsChemistry) {
  // Lead at rest 12.6 V, lithium-iron 13.2 V (common practice, no source).
  EXPECT_EQ(battery_of(Chemistry::agm, 70).rest_v, 12.6);
  EXPECT_EQ(battery_of(Chemistry::lifepo4, 50).rest_v, 13.2);
  EXPECT_NEAR(playing_hours(battery_of(Chemistry::agm, 100), 5), 10,
              1e-9);  // half of 20 h at the rated current
}

}  // namespace
}  // namespace cabinfield
