// Fit beyond hole and depth: flange, magnet, grille, the inside of boxes and their ports.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/constants.h"
#include "plan/judge_system.h"

namespace cabinfield {
namespace {

/// Clear of lowered glass, and behind a hole in the magnet; a grille stands off by the peak excursion and as
/// much as the glass (common practice, no source).
constexpr double glass_clear_m = 0.005, pole_clear_m = 0.010, grille_clear_m = 0.005;
/// Rings of board under a driver (common practice, no source).
constexpr double usual_spacer_m[] = {0.012, 0.019};
/// Under this much volume a box is worth a second look (common practice, no source).
constexpr double tight_m3 = 0.0005;
/// Wall of a port's tube (common practice, no source).
constexpr double port_wall_m = 0.003;

std::string room_words(const std::string& subject, const char* what, double margin_m,
                       const std::string& detail) {
  return margin_m < 0
             ? fmt::format("{}: {} is {:.0f} mm short ({})", subject, what, -margin_m * 1000, detail)
             : fmt::format("{}: {} has {:.0f} mm to spare ({})", subject, what, margin_m * 1000, detail);
}

void judge_driver(const MountedDriver& driver, std::vector<Check>& checks) {
  const OpeningSpec& opening = driver.opening;
  const MountingSpec& mounting = driver.mounting;
  auto add = [&](Rule rule, double margin_m, double tight, const std::string& detail) {
    checks.push_back(length_check(rule, driver.name, margin_m, tight,
                                  room_words(driver.name, name_of(rule), margin_m, detail)));
  };
  if (opening.flange_m && mounting.flange_m)
    add(Rule::flange, *opening.flange_m - *mounting.flange_m, 0,
        fmt::format("{:.0f} mm across, {:.0f} mm have room", *mounting.flange_m * 1000,
                    *opening.flange_m * 1000));
  if (mounting.magnet_diameter_m && (opening.magnet_m || opening.cutout_m)) {
    const double room_m = std::min(opening.magnet_m.value_or(1), opening.cutout_m.value_or(1));
    add(Rule::magnet, room_m - *mounting.magnet_diameter_m, 0,
        fmt::format("{:.0f} mm across, {:.0f} mm go through the hole and behind it",
                    *mounting.magnet_diameter_m * 1000, room_m * 1000));
  }
  if (opening.depth_m && mounting.depth_m && (opening.behind || mounting.pole_vent)) {
    const bool glass = opening.behind == Behind::glass;
    const double clear_m = std::max(mounting.pole_vent ? pole_clear_m : 0, glass ? glass_clear_m : 0);
    const double left_m =
        *opening.depth_m - driver.source.setback_m + opening.spacer_m.value_or(0) - *mounting.depth_m;
    const double margin_m = left_m - clear_m;
    // One that is too deep as it is has been told.
    if (clear_m > 0 && left_m > -1e-9)
      add(Rule::magnet_clearance, margin_m, 0,
          fmt::format("{:.0f} mm are to stay free behind it{}", clear_m * 1000,
                      mounting.pole_vent ? ", its pole is vented" : ", the glass comes down there"));
  }
  if (opening.spacer_m && (*opening.spacer_m < usual_spacer_m[0] || *opening.spacer_m > usual_spacer_m[1])) {
    Check check = value_check(Rule::spacer, driver.name, true, {},
                              fmt::format("{}: a spacer of {:.0f} mm, usual are 12 to 19 mm", driver.name,
                                          *opening.spacer_m * 1000));
    check.outcome = Outcome::caution;
    checks.push_back(std::move(check));
  }
  if (driver.grille_gap_m && driver.thiele_small.Xmax_m) {
    const double needed_m = *driver.thiele_small.Xmax_m + grille_clear_m;
    add(Rule::grille, *driver.grille_gap_m - needed_m, 0,
        fmt::format("{:.0f} mm before the cone, {:.1f} mm are needed: peak excursion and 5 mm",
                    *driver.grille_gap_m * 1000, needed_m * 1000));
  }
}

void judge_box(const BoxPlan& box, std::vector<Check>& checks) {
  if (box.outside_m.isZero() || box.board_m <= 0) return;
  const Vector3 inside = box.outside_m.array() - 2 * box.board_m;
  if (inside.minCoeff() <= 0) return;
  const double tube_m = box.port_diameter_m > 0 ? box.port_diameter_m + 2 * port_wall_m : 0;
  const double port_m3 =
      box.ports * pi / 4 * tube_m * tube_m * std::max(0.0, box.port_length_m - box.board_m);
  const double left_m3 = inside.prod() - box.drivers_m3 - port_m3 - box.bracing_m3 - box.net_m3;
  Check check = value_check(
      Rule::box_volume, box.name, left_m3 >= -1e-9, Margin{left_m3 * 1000, MarginUnit::litre},
      fmt::format("{}: {:.1f} L inside less {:.1f} L of drivers, {:.1f} L of port and {:.1f} L of braces "
                  "leave {:.1f} L "
                  "for {:.1f} L net: {:+.1f} L",
                  box.name, inside.prod() * 1000, box.drivers_m3 * 1000, port_m3 * 1000,
                  box.bracing_m3 * 1000, (left_m3 + box.net_m3) * 1000, box.net_m3 * 1000, left_m3 * 1000));
  if (left_m3 >= -1e-9 && left_m3 < tight_m3) check.outcome = Outcome::caution;
  checks.push_back(std::move(check));
  if (box.port_diameter_m <= 0) return;
  // The inner end needs its own diameter of air before it (common practice, no source).
  const double room_m = inside.maxCoeff() + box.board_m - box.port_diameter_m;
  const double margin_m = room_m - box.port_length_m;
  checks.push_back(length_check(
      Rule::port, box.name, margin_m, tight_m,
      room_words(
          box.name, "port", margin_m,
          fmt::format("{:.0f} mm long, {:.0f} mm find room straight, its diameter free before the inner end",
                      box.port_length_m * 1000, room_m * 1000))));
}

}  // namespace

void judge_fit(const Scene& scene, std::vector<Check>& checks) {
  for (const MountedDriver& driver : scene.drivers) judge_driver(driver, checks);
  for (const BoxPlan& box : scene.system.boxes) judge_box(box, checks);
}

}  // namespace cabinfield
