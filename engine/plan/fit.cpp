// Fit beyond hole and depth: flange, magnet, grille, the inside of boxes and their ports.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "base/constants.h"
#include "plan/judge_system.h"

namespace cabinfield {
namespace {

/// Clearance to lowered glass and behind a vented pole; a grille needs the peak excursion and as much as the
/// glass (common practice, no source).
constexpr double glass_clear_m = 0.005, pole_clear_m = 0.010, grille_clear_m = 0.005;
/// Spacer rings under a driver (common practice, no source).
constexpr double usual_spacer_m[] = {0.012, 0.019};
/// Below this margin of volume a box is worth a second look (common practice, no source).
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
        fmt::format("{:.0f} mm across, room for {:.0f} mm", *mounting.flange_m * 1000,
                    *opening.flange_m * 1000));
  if (mounting.magnet_diameter_m && (opening.magnet_m || opening.cutout_m)) {
    const double room_m = std::min(opening.magnet_m.value_or(1), opening.cutout_m.value_or(1));
    add(Rule::magnet, room_m - *mounting.magnet_diameter_m, 0,
        fmt::format("{:.0f} mm across, {:.0f} mm fit through the hole and behind it",
                    *mounting.magnet_diameter_m * 1000, room_m * 1000));
  }
  if (opening.depth_m && mounting.depth_m && (opening.behind || mounting.pole_vent)) {
    const bool glass = opening.behind == Behind::glass;
    const double clear_m = std::max(mounting.pole_vent ? pole_clear_m : 0, glass ? glass_clear_m : 0);
    const double left_m =
        *opening.depth_m - driver.source.setback_m + opening.spacer_m.value_or(0) - *mounting.depth_m;
    const double margin_m = left_m - clear_m;
    // One that is too deep already violates the mounting depth.
    if (clear_m > 0 && left_m > -1e-9)
      add(Rule::magnet_clearance, margin_m, 0,
          fmt::format("{:.0f} mm must stay free behind it{}", clear_m * 1000,
                      mounting.pole_vent ? ", its pole is vented" : ", for the lowered glass"));
  }
  if (opening.spacer_m && (*opening.spacer_m < usual_spacer_m[0] || *opening.spacer_m > usual_spacer_m[1])) {
    Check check = value_check(Rule::spacer, driver.name, true, {},
                              fmt::format("{}: the spacer of {:.0f} mm is unusual; 12 to 19 mm are common",
                                          driver.name, *opening.spacer_m * 1000));
    check.outcome = Outcome::caution;
    checks.push_back(std::move(check));
  }
  if (driver.grille_gap_m && driver.thiele_small.Xmax_m) {
    const double needed_m = *driver.thiele_small.Xmax_m + grille_clear_m;
    add(Rule::grille, *driver.grille_gap_m - needed_m, 0,
        fmt::format("{:.0f} mm before the cone, {:.1f} mm needed: peak excursion and 5 mm",
                    *driver.grille_gap_m * 1000, needed_m * 1000));
  }
}

Vector3 inside_of(const BoxPlan& box) { return box.outside_m.array() - 2 * box.board_m; }

std::string board_words(const BoxPlan& box) {
  return box.board_assumed ? fmt::format(" (board taken as {:.0f} mm: give board)", box.board_m * 1000) : "";
}

void judge_volume(const BoxPlan& box, std::vector<Check>& checks) {
  const Vector3 inside = inside_of(box);
  const double tube_m = box.port_diameter_m > 0 ? box.port_diameter_m + 2 * port_wall_m : 0;
  const double port_m3 =
      box.ports * pi / 4 * tube_m * tube_m * std::max(0.0, box.port_length_m - box.board_m);
  const double left_m3 = inside.prod() - box.drivers_m3 - port_m3 - box.bracing_m3 - box.net_m3;
  Check check = value_check(
      Rule::box_volume, box.name, left_m3 >= -1e-9, Margin{left_m3 * 1000, MarginUnit::litre},
      fmt::format(
          "{}: {:.1f} L inside less {:.1f} L of drivers, {:.1f} L of ports and {:.1f} L of braces leave "
          "{:.1f} L for {:.1f} L net: {:+.1f} L{}",
          box.name, inside.prod() * 1000, box.drivers_m3 * 1000, port_m3 * 1000, box.bracing_m3 * 1000,
          (left_m3 + box.net_m3) * 1000, box.net_m3 * 1000, left_m3 * 1000, board_words(box)));
  if (left_m3 >= -1e-9 && left_m3 < tight_m3) check.outcome = Outcome::caution;
  checks.push_back(std::move(check));
}

void judge_port(const BoxPlan& box, std::vector<Check>& checks) {
  if (box.port_diameter_m <= 0) return;
  // The inner end needs its own diameter of air before it (common practice, no source).
  const double room_m = inside_of(box).maxCoeff() + box.board_m - box.port_diameter_m;
  const double margin_m = room_m - box.port_length_m;
  checks.push_back(length_check(
      Rule::port, box.name, margin_m, tight_m,
      room_words(
          box.name, "port", margin_m,
          fmt::format("{:.0f} mm long; {:.0f} mm fit straight, with its diameter free before the inner "
                      "end{}",
                      box.port_length_m * 1000, room_m * 1000, board_words(box)))));
}

/// From the outside of the board that carries it to the inside of the opposite one.
void judge_depth_in_box(const MountedDriver& driver, const BoxPlan& box, std::vector<Check>& checks) {
  if (!driver.mounting.depth_m) return;
  Eigen::Index along = 0;
  driver.source.axis.cwiseAbs().maxCoeff(&along);
  const double room_m =
      box.outside_m[along] - box.board_m - driver.source.setback_m + driver.opening.spacer_m.value_or(0);
  const double needed_m = *driver.mounting.depth_m + (driver.mounting.pole_vent ? pole_clear_m : 0);
  checks.push_back(
      length_check(Rule::box_depth, driver.name, room_m - needed_m, tight_m,
                   room_words(driver.name, "depth in its box", room_m - needed_m,
                              fmt::format("needs {:.0f} mm, {} has {:.0f} mm behind its face{}",
                                          needed_m * 1000, box.name, room_m * 1000, board_words(box)))));
}

void judge_box(const Scene& scene, const BoxPlan& box, std::vector<Check>& checks) {
  if (box.outside_m.isZero() || box.board_m <= 0 || inside_of(box).minCoeff() <= 0) return;
  judge_volume(box, checks);
  judge_port(box, checks);
  for (const MountedDriver& driver : scene.drivers)
    if (driver.box == box.name) judge_depth_in_box(driver, box, checks);
}

/// A driver that no channel feeds moves with the pressure of the others in its box, as a passive radiator or
/// a braked one; the prediction takes it for a wall.
void judge_unfed(const Scene& scene, std::vector<Check>& checks) {
  std::set<int> fed;
  for (const Channel& channel : scene.channels) fed.insert(channel.drivers.begin(), channel.drivers.end());
  for (std::size_t d = 0; d < scene.drivers.size(); ++d) {
    const MountedDriver& driver = scene.drivers[d];
    const bool beside_fed = std::any_of(fed.begin(), fed.end(), [&](int other) {
      return scene.drivers[static_cast<std::size_t>(other)].box == driver.box;
    });
    if (driver.box.empty() || fed.contains(static_cast<int>(d)) || !beside_fed) continue;
    checks.push_back(value_check(
        Rule::unfed_driver, driver.name, false, {},
        fmt::format(
            "{}: shares box {} with driven ones and no channel feeds it: its cone moves with their "
            "pressure, which the prediction does not contain; feed it, or close its opening and leave it "
            "out",
            driver.name, driver.box)));
  }
}

}  // namespace

void judge_fit(const Scene& scene, std::vector<Check>& checks) {
  for (const MountedDriver& driver : scene.drivers) judge_driver(driver, checks);
  for (const BoxPlan& box : scene.system.boxes) judge_box(scene, box, checks);
  judge_unfed(scene, checks);
}

}  // namespace cabinfield
