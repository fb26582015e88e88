#include "system/coil_wiring.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <set>
#include <stdexcept>

namespace cabinfield {
namespace {

/// A net of resistors in series and parallel: its resistance over that of one coil, and whether every coil
/// takes the same share of the current and voltage.
struct Net {
  double resistance = 1;
  double coil_power =
      1;  ///< of each coil, over that of the whole, times the number of coils: 1 where all are alike
  bool alike = true;
  int coils = 1;
};

/// Every net of that many coils, of series and parallel joints of two smaller nets: by brute force.
std::vector<Net> all_nets(int coils) {
  if (coils == 1) return {Net{}};
  std::vector<Net> nets;
  for (int left = 1; left < coils; ++left)
    for (const Net& a : all_nets(left))
      for (const Net& b : all_nets(coils - left))
        for (bool series : {true, false}) {
          Net net;
          net.coils = coils;
          net.resistance = series ? a.resistance + b.resistance
                                  : a.resistance * b.resistance / (a.resistance + b.resistance);
          // Power of a over b: R in series, 1/R in parallel; a coil's share is its part's over its number of
          // coils.
          const double ratio = series ? a.resistance / b.resistance : b.resistance / a.resistance;
          net.alike = a.alike && b.alike && std::abs(ratio - static_cast<double>(a.coils) / b.coils) < 1e-9;
          nets.push_back(net);
        }
  return nets;
}

std::set<long> loads_by_brute_force(int coils) {
  std::set<long> loads;
  for (const Net& net : all_nets(coils))
    if (net.alike) loads.insert(std::lround(net.resistance * 1e6));
  return loads;
}

TEST(CoilWiring, HoldsEveryLoadThatBruteForceFinds) {
  for (int drivers = 1; drivers <= 4; ++drivers)
    for (int coils = 1; coils * drivers <= 8 && coils <= 4; ++coils) {
      std::set<long> loads;
      for (const CoilWay& way : coil_ways(drivers, coils)) {
        if (coils > 1 && way.coils == CoilConnection::single) continue;  // leaves coils open
        loads.insert(std::lround(nominal_load_ohm(way, coils, 1.0 / coils, CoilConnection::parallel) * 1e6));
      }
      // Every way found is one that brute force finds; what that finds besides needs coils of one driver
      // apart.
      const auto all = loads_by_brute_force(drivers * coils);
      for (long load : loads) EXPECT_TRUE(all.contains(load)) << drivers << " x " << coils << ": " << load;
      if (drivers == 1 ? coils <= 3 : (coils == 1 || drivers * coils == 4)) {
        EXPECT_EQ(loads, all) << drivers << " drivers of " << coils << " coils";
      }
    }
}

TEST(CoilWiring, TwoCoilsOfThreeOhm) {
  // 1.5 ohm in parallel, 6 ohm in series (common practice, no source).
  const auto ways = coil_ways(1, 2);
  ASSERT_EQ(ways.size(), 3U);
  EXPECT_EQ(ways[0].words(), "coils in series");
  EXPECT_DOUBLE_EQ(nominal_load_ohm(ways[0], 2, 6, CoilConnection::series), 6);
  EXPECT_DOUBLE_EQ(nominal_load_ohm(ways[1], 2, 6, CoilConnection::series), 1.5);
  EXPECT_DOUBLE_EQ(nominal_load_ohm(ways[2], 2, 6, CoilConnection::series), 3);
}

TEST(CoilWiring, FourDriversStandInRowsToo) {
  std::set<std::string> words;
  for (const CoilWay& way : coil_ways(4, 1)) words.insert(way.words());
  EXPECT_TRUE(words.contains("one coil, 2 rows in parallel of 2 drivers in series"));
  EXPECT_EQ(words.size(), 3U);
  EXPECT_THROW(coil_ways(0, 1), std::invalid_argument);
}

TEST(CoilWiring, TheLeastModulusIsFoundWhereItIs) {
  const LeastLoad least = least_load({{4, 3}, {2, -1}, {0, 6}}, {20, 50, 100});
  EXPECT_DOUBLE_EQ(least.modulus_ohm, std::sqrt(5.0));
  EXPECT_EQ(least.frequency_hz, 50);
}

}  // namespace
}  // namespace cabinfield
