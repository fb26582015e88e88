// Cautions: where work on this plan can hurt someone. Each once, naming what it concerns; none is a
// violation. None replaces the car maker's instructions, local codes or a licensed professional.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <map>

#include "base/constants.h"
#include "plan/judge_system.h"
#include "system/joined_nodes.h"
#include "system/load_space.h"

namespace cabinfield {
namespace {

struct Cautions {
  const Scene& scene;
  std::vector<Check>& checks;

  void add(Rule rule, const std::string& subject, std::string words) const {
    checks.push_back({rule, subject, Outcome::caution, {}, std::move(words)});
  }

  /// One caution for all drivers that it concerns.
  void of_drivers(Rule rule, const std::function<bool(const MountedDriver&)>& concerns,
                  const char* words) const {
    std::vector<std::string> names;
    for (const MountedDriver& driver : scene.drivers)
      if (concerns(driver)) names.push_back(driver.name);
    if (!names.empty()) add(rule, names.front(), fmt::format("{}: {}", fmt::join(names, ", "), words));
  }

  /// The surface on which a driver stands, by its name in the cabin or, without one, by what the driver is
  /// called.
  std::string place_of(const MountedDriver& driver) const {
    if (driver.source.face >= 0 && scene.cabin)
      return scene.cabin->surfaces()[scene.cabin->faces()[driver.source.face].surface];
    return driver.surface;
  }
  static bool names_any(const std::string& location, std::initializer_list<const char*> words) {
    return std::any_of(words.begin(), words.end(),
                       [&](const char* word) { return location.find(word) != std::string::npos; });
  }

  void trim() const {
    of_drivers(
        Rule::curtain_airbag,
        [&](const MountedDriver& driver) {
          return names_any(place_of(driver), {"pillar", "sail", "roof", "rail", "headliner"});
        },
        "curtain airbags and belt pretensioners lie behind such trim: find out what is there and keep its "
        "way clear");
    of_drivers(
        Rule::knee_airbag,
        [&](const MountedDriver& driver) {
          return names_any(place_of(driver), {"kick", "footwell", "toe_board", "underside", "knee"});
        },
        "knee airbags and belt pretensioners lie near: keep their way clear");
    of_drivers(
        Rule::door_airbag,
        [&](const MountedDriver& driver) {
          return std::holds_alternative<DoorCavity>(driver.loading) || names_any(place_of(driver), {"door"});
        },
        "doors hold side airbags and pressure sensors, and a moisture barrier that must be whole again: an "
        "open or damped "
        "hole can keep the sensor from seeing a crash");
    if (!scene.system.vehicle || scene.system.vehicle->drilling)
      of_drivers(
          Rule::drilling, [](const MountedDriver& driver) { return driver.opening_cutout_m.has_value(); },
          "before drilling or cutting look behind: fuel and brake lines, looms, traction cables, "
          "child-seat anchors, "
          "seat-back latches");
  }

  void pods() const {
    constexpr double head_strike_m = 0.80;  // the reach of a head about its rest (common practice, no source)
    of_drivers(
        Rule::head_strike,
        [&](const MountedDriver& driver) {
          if (driver.source.face >= 0 || !driver.surface.empty()) return false;
          return std::any_of(scene.seats.begin(), scene.seats.end(), [&](const Seat& seat) {
            const Vector3 way = driver.source.position - seat.head;
            return way.norm() < head_strike_m && way.x() < 0.1;
          });
        },
        "the pod is within reach of a head in a crash: pad it, or place it elsewhere");
    if (scene.wheel_side.empty() || scene.seats.empty()) return;
    const auto eyes = std::find_if(scene.seats.begin(), scene.seats.end(), [&](const Seat& seat) {
      const bool front = std::none_of(scene.seats.begin(), scene.seats.end(), [&](const Seat& other) {
        return other.head.x() < seat.head.x() - 0.3;
      });
      return front && (scene.wheel_side == "left") == (seat.head.y() < 0);
    });
    if (eyes == scene.seats.end()) return;
    of_drivers(
        Rule::field_of_view,
        [&](const MountedDriver& driver) {
          if (driver.source.face >= 0 || !driver.surface.empty()) return false;
          const Vector3 way = driver.source.position - eyes->head;
          const double flat = std::hypot(way.x(), way.y());
          const double up_deg = std::atan2(way.z(), flat) * 180 / pi,
                       side_deg = std::atan2(way.y(), -way.x()) * 180 / pi;
          return way.x() < 0 && std::abs(side_deg) < 60 && up_deg > -12 && up_deg < 25;
        },
        "the pod stands in the field of view of who drives: check that it hides neither road nor mirrors");
  }

  void heavy() const {
    constexpr double heavy_kg = 5;
    std::vector<std::string> loose;
    for (const BoxPlan& box : scene.system.boxes)
      if (box.mass_kg >= heavy_kg)
        loose.push_back(fmt::format("{} ({:.0f} kg: {:.0f} kN)", box.name, box.mass_kg,
                                    crash_force_n(box.mass_kg) / 1000));
    for (const Body& body : scene.system.space.bodies)
      if (body.kind != "box" && body.mass_kg >= heavy_kg)
        loose.push_back(fmt::format("{} ({:.0f} kg: {:.0f} kN)", body.name, body.mass_kg,
                                    crash_force_n(body.mass_kg) / 1000));
    if (loose.empty()) return;
    std::string unfixed;
    for (const BoxPlan& box : scene.system.boxes)
      if (box.mass_kg >= heavy_kg && box.fixed != std::optional(true))
        unfixed += (unfixed.empty() ? "" : ", ") + box.name;
    add(Rule::crash_load, loose.front().substr(0, loose.front().find(' ')),
        fmt::format("{}: must hold in a crash of 20 g; bolt to the body with plates, not to trim{}",
                    fmt::join(loose, ", "), unfixed.empty() ? "" : "; no fixing is told for " + unfixed));
  }

  void supply() const {
    if (!scene.system.supply) return;
    const SupplyPlan& plan = *scene.system.supply;
    const std::vector<CableReach> reach = fuse_reach(plan);
    std::vector<std::string> bare;
    for (std::size_t c = 0; c < plan.cables.size(); ++c) {
      const PlannedCable& cable = plan.cables[c];
      auto look = [&](const std::string& node, double reach_a, const std::optional<double>& fuse_a) {
        if (std::isinf(passes_fuse_a(reach_a, fuse_a)))
          bare.push_back(fmt::format("{} to {} at {}", cable.from, cable.to, node));
      };
      look(cable.from, reach[c].start_a, cable.fuse_start_a);
      look(cable.to, reach[c].end_a, cable.fuse_end_a);
    }
    if (!bare.empty())
      add(Rule::missing_fuse, "supply",
          fmt::format("cable {}: no fuse limits what a short draws there: a fuse within 450 mm of "
                      "each battery, and at both ends between batteries",
                      fmt::join(bare, "; ")));
    unlike_batteries(plan);
    for (const PlannedBattery& battery : plan.batteries) {
      if (battery.chemistry == Chemistry::lifepo4 && battery.charges_when_cold != std::optional(true))
        add(Rule::cold_charging, battery.name,
            fmt::format("{}: lithium cells must not be charged below 0 °C: heat it, or keep the charger off",
                        battery.name));
      const bool first = &battery == &plan.batteries.front();
      if (battery.chemistry != Chemistry::lifepo4 && !first && battery.vented != std::optional(true))
        add(Rule::battery_gas, battery.name,
            fmt::format("{}: lead batteries give off gas: lead it outside by a vent", battery.name));
      if (!first && battery.fixed != std::optional(true))
        add(Rule::loose_battery, battery.name,
            fmt::format("{}: no fixing is told: a loose battery is a missile and a short circuit",
                        battery.name));
    }
  }
  /// Batteries that cables join, over whatever node: in parallel. A charger between them is no join.
  void unlike_batteries(const SupplyPlan& plan) const {
    JoinedNodes joined;
    for (const PlannedCable& cable : plan.cables) joined.join(cable.from, cable.to);
    std::map<std::string, std::vector<const PlannedBattery*>> groups;
    for (const PlannedBattery& battery : plan.batteries)
      groups[joined.group(battery.name)].push_back(&battery);
    for (const auto& [group, members] : groups) {
      std::vector<std::string> names;
      bool lead = false, lithium = false;
      for (const PlannedBattery* battery : members) {
        names.push_back(battery->name);
        (habits_of(battery->chemistry).lead ? lead : lithium) = true;
      }
      if (lead && lithium)
        add(Rule::unlike_batteries, names.back(),
            fmt::format("{}: unlike chemistries that cables join in parallel charge and empty each other "
                        "wrongly: put a charger between them",
                        fmt::join(names, " and ")));
    }
  }

  void vehicle() const {
    const auto& vehicle = scene.system.vehicle;
    if (vehicle && vehicle->high_voltage)
      add(Rule::high_voltage, "vehicle",
          "high-voltage vehicle: orange cables and the traction battery kill; only who is trained and "
          "licensed for "
          "them makes the car safe before work");
    if (vehicle && vehicle->seats_touched)
      add(Rule::seat_airbag, "vehicle",
          "seats: they hold airbags, pretensioners and sensors of who sits there; battery off and wait "
          "before any "
          "plug is drawn, and have the sensor checked after");
    if (!scene.drivers.empty() || scene.system.supply)
      add(Rule::local_regulations, "vehicle",
          "local codes and, where they ask for one, a licensed professional decide");
  }
};

}  // namespace

void add_cautions(const Scene& scene, std::vector<Check>& checks) {
  const Cautions cautions{scene, checks};
  cautions.trim();
  cautions.pods();
  cautions.heavy();
  cautions.supply();
  cautions.vehicle();
}

}  // namespace cabinfield
