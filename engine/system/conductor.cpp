#include "system/conductor.h"

#include <fmt/format.h>

#include <array>
#include <cmath>
#include <limits>
#include <stdexcept>
#include <utility>

#include "base/constants.h"

namespace cabinfield {
namespace {

constexpr double copper_ohm_m = 0.017241e-6;
constexpr double copper_rise_per_k = 3.93e-3;
/// Of the space in a stranded conductor that is copper; wall of its insulation (common practice, no source).
constexpr double strand_fill = 0.75, insulation_wall_m = 0.001;
/// Convection and radiation of a thin cable in still air together, W/(m2 K) (common practice, no source).
constexpr double film_w_m2_k = 15;

/// IEC 60228 class 5, plain copper: mm2, ohm/km at 20 degC (10 to 50 mm2 read in a transcription, the rest
/// from memory).
constexpr std::array<std::pair<double, double>, 18> class_5{{{0.5, 39.0},
                                                             {0.75, 26.0},
                                                             {1, 19.5},
                                                             {1.5, 13.3},
                                                             {2.5, 7.98},
                                                             {4, 4.95},
                                                             {6, 3.30},
                                                             {10, 1.91},
                                                             {16, 1.21},
                                                             {25, 0.780},
                                                             {35, 0.554},
                                                             {50, 0.386},
                                                             {70, 0.272},
                                                             {95, 0.206},
                                                             {120, 0.161},
                                                             {150, 0.129},
                                                             {185, 0.106},
                                                             {240, 0.0801}}};

double outer_diameter_m(const Conductor& conductor) {
  return std::sqrt(4 * conductor.area_m2 / (pi * strand_fill)) + 2 * insulation_wall_m;
}

/// Heat given off a metre and kelvin.
double release_w_m_k(const Conductor& conductor) { return film_w_m2_k * pi * outer_diameter_m(conductor); }

}  // namespace

Conductor metric_conductor(double area_m2) {
  const double area_mm2 = area_m2 * 1e6;
  // Areas as typed are not exact in binary.
  const double slack = 1e-9 * area_mm2;
  if (!(area_mm2 >= class_5.front().first - slack && area_mm2 <= class_5.back().first + slack))
    throw std::invalid_argument("a conductor has 0.5 to 240 mm2");
  std::size_t above = 1;
  while (above + 1 < class_5.size() && class_5[above].first < area_mm2) ++above;
  const auto& [low, low_ohm_km] = class_5[above - 1];
  const auto& [high, high_ohm_km] = class_5[above];
  const double part = (std::log(area_mm2) - std::log(low)) / (std::log(high) - std::log(low));
  const double product = low * low_ohm_km + part * (high * high_ohm_km - low * low_ohm_km);
  return {fmt::format("{:g} mm2", area_mm2), area_m2, product / area_mm2 * 1e-3};
}

Conductor gauge_conductor(int gauge) {
  if (gauge < -3 || gauge > 20) throw std::invalid_argument("a gauge is 20 to 0 AWG, or 2/0 to 4/0");
  const double diameter_m = 0.127e-3 * std::pow(92.0, (36 - gauge) / 39.0);
  const double area_m2 = pi / 4 * diameter_m * diameter_m;
  return {gauge > 0 ? fmt::format("{} AWG", gauge) : fmt::format("{}/0 AWG", 1 - gauge), area_m2,
          copper_ohm_m / area_m2};
}

const std::vector<Conductor>& metric_conductors() {
  static const std::vector<Conductor> list = [] {
    std::vector<Conductor> all;
    for (const auto& [area_mm2, ohm_km] : class_5) all.push_back(metric_conductor(area_mm2 * 1e-6));
    return all;
  }();
  return list;
}

const std::vector<Conductor>& gauge_conductors() {
  static const std::vector<Conductor> list = [] {
    std::vector<Conductor> all;
    for (int gauge : {20, 18, 16, 14, 12, 10, 8, 6, 4, 2, 1, 0, -1, -2, -3})
      all.push_back(gauge_conductor(gauge));
    return all;
  }();
  return list;
}

double copper_ratio(double temperature_c) { return 1 + copper_rise_per_k * (temperature_c - 20); }

double conductor_temperature_c(const Conductor& conductor, double current_a, double ambient_c) {
  // release (T - T0) = I^2 r (1 + a (T - 20)) is linear in T.
  const double release = release_w_m_k(conductor),
               heat_20 = current_a * current_a * conductor.resistance_ohm_m;
  const double slope = release - heat_20 * copper_rise_per_k;
  if (!(slope > 0)) return std::numeric_limits<double>::infinity();
  return (release * ambient_c + heat_20 * (1 - 20 * copper_rise_per_k)) / slope;
}

double conductor_current_limit_a(const Conductor& conductor, double ambient_c, double limit_c) {
  if (!(limit_c > ambient_c)) return 0;
  return std::sqrt(release_w_m_k(conductor) * (limit_c - ambient_c) /
                   (conductor.resistance_ohm_m * copper_ratio(limit_c)));
}

double run_resistance_ohm(const CableRun& run, double copper_c) {
  const double one_way = run.conductor.resistance_ohm_m * run.length_m * copper_ratio(copper_c);
  return (run.returns_in_cable ? 2 * one_way : one_way + run.body_resistance_ohm) +
         run.connections * connection_resistance_ohm;
}

const Conductor* least_conductor(const std::vector<Conductor>& list, CableRun run, double current_a,
                                 double drop_v, double ambient_c) {
  for (const Conductor& conductor : list) {
    run.conductor = conductor;
    const double copper_c = conductor_temperature_c(conductor, current_a, ambient_c);
    if (copper_c > insulation_limit_c) continue;
    if (run_resistance_ohm(run, copper_c) * current_a <= drop_v) return &conductor;
  }
  return nullptr;
}

}  // namespace cabinfield
