// Cautions: work on this plan that can hurt someone. Each appears once and names what it concerns; none is a
// violation. None replaces the car maker's instructions, local regulations or a licensed professional.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <functional>

#include "base/constants.h"
#include "plan/judge_system.h"
#include "system/load_space.h"

namespace cabinfield {
namespace {

struct Cautions {
  const Scene& scene;
  std::vector<Check>& checks;

  void add(Rule rule, const std::string& subject, std::string words) const {
    checks.push_back({rule, subject, Outcome::caution, {}, std::move(words)});
  }

  /// One caution for all drivers concerned.
  void of_drivers(Rule rule, const std::function<bool(const MountedDriver&)>& concerns,
                  const char* words) const {
    std::vector<std::string> names;
    for (const MountedDriver& driver : scene.drivers)
      if (concerns(driver)) names.push_back(driver.name);
    if (!names.empty()) add(rule, names.front(), fmt::format("{}: {}", fmt::join(names, ", "), words));
  }

  /// On a face of the box that it plays into, not on trim of the car.
  static bool on_its_own_box(const MountedDriver& driver) {
    return !driver.box.empty() && driver.surface.starts_with(driver.box + ".");
  }

  /// Airbags, belt pretensioners and crash sensors are behind or beside any trim, and no drawing shows them:
  /// of every driver on a surface, and of every pod in a cabin, until the scene states that it was looked up.
  void trim() const {
    of_drivers(
        Rule::airbag,
        [&](const MountedDriver& driver) {
          const bool in_the_car = scene.cabin != nullptr || !driver.surface.empty();
          return in_the_car && !on_its_own_box(driver) && !driver.opening.airbag_checked;
        },
        "airbags (curtain, side, knee, seat), belt pretensioners and crash sensors may lie behind or beside "
        "the "
        "trim there: look them up in the car maker's repair instructions, keep their way clear, then state "
        "opening: {airbag_checked: yes}");
    of_drivers(
        Rule::door_sensor,
        [](const MountedDriver& driver) { return std::holds_alternative<DoorCavity>(driver.loading); },
        "doors hold pressure sensors of side airbags: an open or damped hole can stop the sensor detecting a "
        "crash; close the moisture barrier again");
    if (!scene.system.vehicle || scene.system.vehicle->drilling)
      of_drivers(
          Rule::drilling, [](const MountedDriver& driver) { return driver.opening_cutout_m.has_value(); },
          "before drilling or cutting, look behind: fuel and brake lines, wiring looms, traction cables, "
          "child-seat anchors, seat-back latches");
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
        "the pod is within reach of a head in a crash: pad it, or move it");
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
        "the pod is in the driver's field of view: check that it hides neither road nor mirrors");
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
        fmt::format("{}: must hold in a crash of 20 g: bolt to the body with plates, not to trim{}",
                    fmt::join(loose, ", "), unfixed.empty() ? "" : "; no mounting is given for " + unfixed));
  }

  void supply() const {
    if (!scene.system.supply) return;
    const SupplyPlan& plan = *scene.system.supply;
    for (const PlannedBattery& battery : plan.batteries) {
      if (battery.chemistry == Chemistry::lifepo4 && battery.charges_when_cold != std::optional(true))
        add(Rule::cold_charging, battery.name,
            fmt::format(
                "{}: lithium cells must not be charged below 0 °C: heat it, or switch the charger off",
                battery.name));
    }
  }

  void vehicle() const {
    const auto& vehicle = scene.system.vehicle;
    if (vehicle && vehicle->high_voltage)
      add(Rule::high_voltage, "vehicle",
          "high-voltage vehicle: orange cables and the traction battery can kill; have a person trained and "
          "licensed for them make the car safe before work");
    if (vehicle && vehicle->seats_touched)
      add(Rule::seat_airbag, "vehicle",
          "seats hold airbags, pretensioners and occupancy sensors: disconnect the battery and wait before "
          "you "
          "unplug anything, and have the sensors checked afterwards");
    if (!scene.drivers.empty() || scene.system.supply)
      add(Rule::local_regulations, "vehicle",
          "follow local regulations; use a licensed professional where required");
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
