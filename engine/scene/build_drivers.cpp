#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/constants.h"
#include "base/quoted.h"
#include "scene/build_steps.h"

namespace cabinfield::build {
namespace {

/// Default housing radius of a free-standing driver over the cone's radius (common practice, no source).
constexpr double pod_over_cone = 1.17;
/// Least distance of a driver from an ear, m: a tenth of a head, well above rounding.
constexpr double nearest_to_an_ear_m = 0.01;
/// Least distance of an aim, m: well below what a tape can measure.
constexpr double shortest_aim_m = 1e-3;
/// Distance before and behind a surface at which air is tested, m.
constexpr double look_m = 1e-5;

/// A ring of directions along a surface.
std::vector<Vector3> round_about(const Vector3& normal) {
  constexpr int directions = 24;
  const Vector3 first = normal.unitOrthogonal(), second = normal.cross(first);
  std::vector<Vector3> ring;
  for (int i = 0; i < directions; ++i) {
    const double angle = 2 * pi * i / directions;
    ring.push_back(std::cos(angle) * first + std::sin(angle) * second);
  }
  return ring;
}

/// True if there is wall (of any surface) behind the point and air in front of it.
bool before_a_wall(const Cabin& cabin, const Vector3& point, const Vector3& normal) {
  return cabin.in_air(point + look_m * normal) && !cabin.in_air(point - look_m * normal);
}

/// Radius around a flush driver, up to its cone's, within which its plane is wall.
double flush_reach_m(const Cabin& cabin, const Source& source) {
  const Vector3& normal = cabin.faces()[source.face].normal;
  constexpr int steps = 16;
  for (int step = 1; step <= steps; ++step)
    for (const Vector3& way : round_about(normal))
      if (!before_a_wall(cabin, source.position + source.piston_radius_m * step / steps * way, normal))
        return source.piston_radius_m * (step - 1) / steps;
  return source.piston_radius_m;
}

/// Says why a surface is not exposed at the position of a driver.
std::string not_exposed(const Cabin& cabin, const Landing& landing, double radius_m) {
  const Face& face = cabin.faces()[landing.face];
  for (std::size_t f = 0; f < cabin.faces().size(); ++f) {
    const Face& other = cabin.faces()[f];
    const bool same_plane =
        std::abs(other.height_over(landing.point)) < look_m && (other.normal - face.normal).norm() < 1e-6;
    if (same_plane && other.surface != face.surface &&
        cabin.face_contains(static_cast<int>(f), landing.point) &&
        cabin.exposed(static_cast<int>(f), landing.point))
      return fmt::format("coincides there with '{0}', which takes precedence: write surface: {0}",
                         cabin.surfaces()[other.surface]);
  }
  for (double before_m : {1e-3, look_m})
    if (const Vector3 before = landing.point + before_m * face.normal; !cabin.in_air(before))
      return fmt::format("is covered there: a point 1 mm in front of it {}", not_in_air(cabin, before));
  const auto ring = round_about(face.normal);
  if (std::any_of(ring.begin(), ring.end(), [&](const Vector3& way) {
        return before_a_wall(cabin, landing.point + 1e-3 * way, face.normal);
      }))
    return fmt::format(
        "ends there: move the driver in from the edge{}",
        radius_m > 0 ? fmt::format(" by {:.0f} mm, the radius of its cone", radius_m * 1000) : "");
  return "is cut away there: it has air on both sides";
}

ThieleSmallGiven given_parameters(const ThieleSmallSpec& spec) {
  return {spec.Fs_hz, spec.Qes,    spec.Qms,     spec.Qts,      spec.Vas_m3, spec.Re_ohm, spec.Le_h,
          spec.Sd_m2, spec.Mms_kg, spec.Cms_m_n, spec.Rms_kg_s, spec.Bl_tm,  spec.Xmax_m};
}

std::optional<VentedBox> vented_box(const VentedSpec& spec, const std::string& owner, const Air& air,
                                    Faults& faults) {
  if (!spec.sound()) return std::nullopt;
  if (spec.tuning_hz.has_value() == spec.port_length_m.has_value()) {
    faults.add(spec.location, fmt::format("{}: a vented box needs either tuning or port_length", owner));
    return std::nullopt;
  }
  if (spec.port_length_m && !spec.port_diameter_m) {
    faults.add(spec.location, fmt::format("{}: port_length needs port_diameter: give both", owner));
    return std::nullopt;
  }
  VentedBox box;
  box.volume_m3 = spec.volume_m3;
  box.tuning_hz = spec.tuning_hz.value_or(0);
  box.port_length_m = spec.port_length_m.value_or(0);
  box.port_diameter_m = spec.port_diameter_m.value_or(0);
  box.ports = spec.ports;
  box.ql = spec.ql;
  if (spec.tuning_hz && spec.port_diameter_m && port_length_m(box, air.sound_speed_m_s) < 0.005) {
    faults.add(spec.at("port_diameter"),
               fmt::format("{}: {} port{} of {:.0f} mm cannot tune {:.1f} L to {:.0f} Hz: the tuning is "
                           "lower even without a tube; use more or wider ports, or a lower tuning",
                           owner, box.ports, box.ports > 1 ? "s" : "", box.port_diameter_m * 1000,
                           box.volume_m3 * 1000, box.tuning_hz));
    return std::nullopt;
  }
  return box;
}

struct Steps {
  const SceneSpec& spec;
  const Scene& scene;
  Faults& faults;
  std::vector<std::string>& notes;

  /// True if a required key is missing. A mirrored driver inherits it; it was checked there.
  static bool missing(const DriverSpec& given, const char* key) {
    return !given.has(key) && !given.has("mirror_of");
  }

  const DriverModelSpec* model(const DriverSpec& given, MountedDriver& driver) const {
    if (!given.model) {
      if (missing(given, "model"))
        faults.add(given.location,
                   fmt::format("driver '{}': key 'model' is missing: name a driver model", driver.name));
      return nullptr;
    }
    if (const DriverModelSpec* own = std::get_if<DriverModelSpec>(&*given.model)) {
      driver.model_name = own->name.empty() ? "given in place" : own->name;
      return own;
    }
    driver.model_name = std::get<std::string>(*given.model);
    if (const auto* own = own_model<DriverModelSpec>(spec, driver.model_name)) return own;
    // Faults of a library model of that name are already reported.
    if (std::count(spec.library_models.begin(), spec.library_models.end(), driver.model_name) > 0)
      return nullptr;
    faults.add(given.at("model"), unknown_name("driver model", driver.model_name, spec.library_models));
    return nullptr;
  }

  void parameters(const DriverModelSpec& model, MountedDriver& driver) const {
    if (!model.sound("thiele_small")) return;
    const Air sheet_air = data_sheet_air();
    const ThieleSmallResult derived = derive_thiele_small(given_parameters(model.thiele_small), sheet_air);
    for (const std::string& error : derived.errors)
      faults.add(model.thiele_small.location, fmt::format("model '{}': {}", driver.model_name, error));
    if (derived.errors.empty()) driver.thiele_small = in_air(derived.set, sheet_air, scene.air);
    driver.cutout_m = model.mounting.cutout_m;
    driver.depth_m = model.mounting.depth_m;
    driver.mounting = model.mounting;
    driver.nominal_impedance_ohm = model.rating.nominal_impedance_ohm;
    driver.power_w = model.rating.power_w;
    driver.lowest_highpass_hz = model.rating.lowest_highpass_hz;
    if (!model.response.empty() && derived.errors.empty())
      published(model.response, derived.set, sheet_air, driver);
    // The coils as the channel that drives this one joins them.
    if (model.coils <= 1 || !derived.errors.empty()) return;
    const CoilConnection measured = model.coils_measured.value_or(CoilConnection::series);
    driver.coils = model.coils;
    driver.coils_measured = driver.coils_joined = measured;
    if (const auto joined = coils_joined(driver.name)) {
      driver.thiele_small = reconnect_coils(driver.thiele_small, model.coils, measured, *joined);
      driver.coils_joined = *joined;
    }
  }

  /// The parameters are those of the coils as measured, in the air of data sheets, and so is the response.
  void published(const std::vector<ResponsePoint>& response, const ThieleSmall& measured,
                 const Air& sheet_air, MountedDriver& driver) const {
    const PublishedRatio ratio = published_over_circuit(response, measured, sheet_air);
    driver.published = ratio.gain;
    // Twice the error from a room or a small baffle (common practice, no source).
    constexpr double doubtful_db = 6;
    if (std::abs(ratio.lowest_octave_db) > doubtful_db)
      notes.push_back(fmt::format(
          "{}: from {:.0f} to {:.0f} Hz the response of model '{}' is {:.0f} dB {} what its thiele_small "
          "parameters give: was it measured at 2.83 V and 1 m in half space?",
          driver.name, response.front().frequency_hz, 2 * response.front().frequency_hz, driver.model_name,
          std::abs(ratio.lowest_octave_db), ratio.lowest_octave_db > 0 ? "above" : "below"));
  }

  /// Wiring of a driver's coils: that of the channel that feeds it, else that of a group of the channel.
  std::optional<CoilConnection> coils_joined(const std::string& driver) const {
    auto holds = [](const auto& list, const std::string& name) {
      return std::any_of(list.begin(), list.end(), [&](const auto& entry) { return entry.value == name; });
    };
    for (const auto& channel : spec.channels) {
      if (!holds(channel.value.drives, driver)) continue;
      if (channel.value.wiring) return channel.value.wiring->coils;
      for (const auto& group : spec.groups)
        if (holds(group.value.members, channel.name) && group.value.wiring) return group.value.wiring->coils;
    }
    return std::nullopt;
  }

  void loading(const DriverSpec& given, MountedDriver& driver) const {
    driver.loading = InfiniteBaffle{};
    if (!given.loading) return;
    if (const LoadingWord* word = std::get_if<LoadingWord>(&*given.loading)) {
      if (*word == LoadingWord::built_in) driver.loading = BuiltIn{};
      return;
    }
    const LoadingMappingSpec& choice = std::get<LoadingMappingSpec>(*given.loading);
    const std::string owner = fmt::format("driver '{}': loading", driver.name);
    const int kinds = choice.has("sealed") + choice.has("vented") + choice.has("door") + choice.has("box") +
                      choice.has("rear_into");
    if (kinds != 1) {
      faults.add(choice.location, owner + ": give one of sealed, vented, door, box, rear_into");
      return;
    }
    if (choice.has("qa") && !choice.has("sealed"))
      faults.add(choice.at("qa"), owner + ": qa applies only to sealed: remove it");
    if (choice.sealed_m3) driver.loading = SealedBox{*choice.sealed_m3, choice.qa};
    if (choice.vented)
      if (auto box = vented_box(*choice.vented, owner, scene.air, faults)) driver.loading = *box;
    if (choice.door) {
      DoorCavity door;
      door.volume_m3 = choice.door->volume_m3;
      door.leak_area_m2 = choice.door->leak_area_m2;
      driver.loading = door;
    }
    if (choice.rear_into) {
      driver.rear = *choice.rear_into;
      if (scene.cabin && !scene.cabin->in_air(*driver.rear))
        faults.add({choice.at("rear_into"),
                    fmt::format("{}: rear_into {}", owner, not_in_air(*scene.cabin, *driver.rear)),
                    FaultCode::rear_outside_air,
                    {SubjectKind::driver, driver.name}});
      check_ears(*driver.rear, driver.name, owner + ": rear_into", choice.at("rear_into"));
    }
    if (!choice.box.empty()) {
      check_known("box", {choice.box, choice.at("box")}, spec, "boxes", spec.boxes, faults);
      const int found = position_of(spec.boxes, choice.box);
      if (found < 0) return;
      driver.box = choice.box;
      const SharedBoxSpec& box = spec.boxes[found].value;
      if (box.sealed_m3) driver.loading = SealedBox{*box.sealed_m3, box.qa};
      if (box.vented)
        if (auto vented = vented_box(*box.vented, fmt::format("box '{}'", choice.box), scene.air, faults))
          driver.loading = *vented;
      driver.sharing =
          static_cast<int>(std::count_if(spec.drivers.begin(), spec.drivers.end(), [&](const auto& other) {
            if (!other.value.loading) return false;
            const LoadingMappingSpec* its = std::get_if<LoadingMappingSpec>(&*other.value.loading);
            return its != nullptr && its->box == choice.box;
          }));
    }
  }

  void location(const DriverSpec& given, MountedDriver& driver) const {
    Source& source = driver.source;
    source.position = given.position.value_or(Vector3::Zero());
    if (!given.position) {
      if (missing(given, "position"))
        faults.add(
            given.location,
            fmt::format("driver '{}': key 'position' is missing: give [x, y, z] of the middle of its cone",
                        driver.name));
      return;
    }
    if (!given.sound("surface")) return;
    source.setback_m = given.setback_m;
    // Move the driver onto its surface, which must be exposed there; without a surface it must be in the air.
    const Cabin* cabin = scene.cabin.get();
    if (!given.surface.empty() && cabin != nullptr) {
      if (cabin->surface_index(given.surface) < 0) {
        faults.add(given.at("surface"), unknown_name("surface", given.surface, cabin->surfaces()));
        return;
      }
      const Landing landing = cabin->land(source.position, given.surface);
      if (landing.distance_m > snap_limit_m) {
        faults.add(
            {given.at("position"),
             fmt::format(
                 "driver '{}': its position is {:.0f} mm from surface '{}'; at most {:.0f} mm is allowed",
                 driver.name, landing.distance_m * 1000, given.surface, snap_limit_m * 1000),
             FaultCode::driver_off_surface,
             {SubjectKind::driver, driver.name},
             {{"distance", landing.distance_m, "m"}, {"limit", snap_limit_m, "m"}}});
        return;
      }
      source.position = landing.point;
      source.face = landing.face;
      source.axis = cabin->faces()[landing.face].normal;
      driver.moved_m = landing.distance_m;
      if (!cabin->exposed(landing.face, landing.point)) {
        faults.add({given.at("position"),
                    fmt::format("driver '{}': surface '{}' {}", driver.name, given.surface,
                                not_exposed(*cabin, landing, source.piston_radius_m)),
                    FaultCode::driver_surface_hidden,
                    {SubjectKind::driver, driver.name}});
      } else {
        warn_of_overhang(given, driver);
        warn_of_foam(given, driver);
      }
      if (driver.moved_m > 0.0005) {
        notes.push_back(fmt::format("{} moved {:.0f} mm onto {}, to ({:.3f}, {:.3f}, {:.3f}) m", driver.name,
                                    driver.moved_m * 1000, given.surface, source.position.x(),
                                    source.position.y(), source.position.z()));
      }
    } else if (cabin != nullptr && !cabin->in_air(source.position)) {
      faults.add(
          {given.at("position"),
           fmt::format("driver '{}': its position {}", driver.name, not_in_air(*cabin, source.position)),
           FaultCode::driver_outside_air,
           {SubjectKind::driver, driver.name}});
    }
    // Keys that need a surface, or exclude one.
    if (given.surface.empty() && given.setback_m > 0)
      faults.add(
          given.at("setback"),
          fmt::format("driver '{}': setback needs a surface: give surface, or remove setback", driver.name));
    if (!given.surface.empty() && given.pod_radius_m)
      faults.add(given.at("pod_radius"),
                 fmt::format(
                     "driver '{}': pod_radius applies only to a driver without a surface: remove one of them",
                     driver.name));
    check_ears(source.position, driver.name, fmt::format("driver '{}': its position", driver.name),
               given.at("position"));
    aim(given, driver);
  }

  /// Foam cannot hold a driver, and lets sound from the back of its cone through.
  void warn_of_foam(const DriverSpec& given, const MountedDriver& driver) const {
    const Face& face = scene.cabin->faces()[driver.source.face];
    if (face.block < 0 || scene.cabin->shape().blocks[face.block].filling < 0) return;
    faults.warn(
        given.at("surface"),
        fmt::format("driver '{}': surface '{}' is porous: foam cannot hold a driver or close its back. "
                    "The prediction treats the foam as a closed baffle; draw the part that the driver "
                    "is mounted in as a solid block",
                    driver.name, given.surface));
  }

  /// The field treats a flush driver as mounted in a large panel.
  void warn_of_overhang(const DriverSpec& given, const MountedDriver& driver) const {
    const Source& source = driver.source;
    const double reach_m = flush_reach_m(*scene.cabin, source);
    if (source.piston_radius_m - reach_m < 0.0005) return;
    faults.warn(given.at("position"),
                fmt::format("driver '{}': its cone of {:.0f} mm radius reaches {:.0f} mm past the edge of "
                            "surface '{}'; the prediction treats it as wholly inside",
                            driver.name, source.piston_radius_m * 1000,
                            (source.piston_radius_m - reach_m) * 1000, given.surface));
  }

  /// The pressure of a source is infinite at its own position, and undefined inside a head.
  void check_ears(const Vector3& point, const std::string& driver, const std::string& owner,
                  const SourceLocation& location) const {
    for (const Seat& seat : scene.seats)
      for (int side : {0, 1}) {
        const double distance_m = (seat.ear[side] - point).norm();
        if (distance_m < nearest_to_an_ear_m)
          faults.add(
              {location,
               fmt::format("{} is {:.0f} mm from the {} ear of seat '{}'; at least {:.0f} mm is needed",
                           owner, distance_m * 1000, side == 0 ? "left" : "right", seat.name,
                           nearest_to_an_ear_m * 1000),
               FaultCode::driver_near_ear,
               {SubjectKind::driver, driver},
               {{"distance", distance_m, "m"}, {"limit", nearest_to_an_ear_m, "m"}}});
      }
    for (const Seat& seat : scene.seats)
      if (const double distance_m = (seat.head - point).norm(); seat.sphere && distance_m <= head_radius_m)
        faults.add({location,
                    fmt::format("{} is inside the head of seat '{}', {:.0f} mm from its middle; more than "
                                "{:.1f} mm is needed (head_shape: sphere)",
                                owner, seat.name, distance_m * 1000, head_radius_m * 1000),
                    FaultCode::driver_near_ear,
                    {SubjectKind::driver, driver},
                    {{"distance", distance_m, "m"}, {"limit", head_radius_m, "m"}}});
  }

  void aim(const DriverSpec& given, MountedDriver& driver) const {
    Source& source = driver.source;
    if (!given.sound("aim")) return;
    if (!given.aim) {
      if (source.face >= 0) return;
      Vector3 middle = Vector3::Zero();
      for (const Seat& seat : scene.seats) middle += seat.head / static_cast<double>(scene.seats.size());
      if (!scene.seats.empty() && (middle - source.position).norm() > 0.01)
        source.axis = (middle - source.position).normalized();
      notes.push_back(fmt::format(
          "{} has {}: aimed at the middle of the heads", driver.name,
          given.surface.empty() ? "neither surface nor aim" : "no aim, and the scene has no cabin"));
      return;
    }
    const AimSpec& chosen = *given.aim;
    if (chosen.has("seat") + chosen.has("point") + chosen.has("direction") != 1) {
      faults.add(chosen.location,
                 fmt::format("driver '{}': aim: give one of seat, point, direction", driver.name));
      return;
    }
    Vector3 way = chosen.direction ? chosen.direction->stableNormalized() : Vector3::UnitX();
    std::string target = chosen.direction ? "the direction" : "the point";
    if (chosen.has("seat")) {
      if (!chosen.seat.empty())
        check_known("seat", {chosen.seat, chosen.at("seat")}, spec, "seats", spec.seats, faults);
      const int seat = position_of(scene.seats, chosen.seat);
      if (seat < 0) return;
      way = scene.seats[seat].head - source.position;
      target = fmt::format("the head of seat '{}'", chosen.seat);
    } else if (chosen.point) {
      way = *chosen.point - source.position;
    }
    if (way.norm() < shortest_aim_m) {
      faults.add(chosen.location,
                 fmt::format("driver '{}': aim: {} is {:.1f} mm from the driver's own position; at least "
                             "{:.0f} mm is needed for a direction",
                             driver.name, target, way.norm() * 1000, shortest_aim_m * 1000));
      return;
    }
    if (source.face >= 0 && way.normalized().dot(source.axis) <= 0) {
      faults.add(
          {chosen.location,
           fmt::format("driver '{}': aim: {} {} surface '{}', which the driver is flush with: {:.0f} degrees "
                       "from straight out, less than 90 is needed; change aim, remove aim, or remove surface "
                       "for a free-standing driver",
                       driver.name, target, chosen.direction ? "points into" : "is behind", given.surface,
                       std::acos(std::clamp(way.normalized().dot(source.axis), -1.0, 1.0)) * 180 / pi),
           FaultCode::aim_behind_surface,
           {SubjectKind::driver, driver.name}});
      return;
    }
    source.axis = way.normalized();
  }
};

}  // namespace

std::vector<MountedDriver> drivers(const SceneSpec& spec, const Scene& scene, Faults& faults,
                                   std::vector<std::string>& notes) {
  for (const auto& box : spec.boxes)
    if (!box.broken && box.value.has("sealed") == box.value.has("vented"))
      faults.add(box.location, fmt::format("box '{}': give either sealed or vented", box.name));
  const Steps steps{spec, scene, faults, notes};
  std::vector<MountedDriver> result;
  for (const auto& entry : spec.drivers) {
    MountedDriver driver;
    driver.name = driver.source.name = entry.name;
    const DriverSpec& given = entry.value;
    if (entry.broken) continue;
    driver.location = given.at("position");
    driver.surface = given.surface;
    if (const DriverModelSpec* model = steps.model(given, driver)) steps.parameters(*model, driver);
    driver.source.piston_radius_m = driver.thiele_small.Sd_m2 > 0 ? driver.thiele_small.radius_m() : 0;
    steps.loading(given, driver);
    steps.location(given, driver);
    const double least_pod = driver.source.piston_radius_m;
    driver.source.pod_radius_m =
        given.surface.empty() ? given.pod_radius_m.value_or(pod_over_cone * least_pod) : 0;
    if (given.pod_radius_m && *given.pod_radius_m < least_pod)
      faults.add(
          given.at("pod_radius"),
          fmt::format("driver '{}': pod_radius {:.1f} mm is smaller than its cone's {:.1f} mm: give at "
                      "least that",
                      driver.name, *given.pod_radius_m * 1000, least_pod * 1000));
    if (given.grille) driver.grille_open_area = given.grille->open_area;
    if (given.grille) driver.grille_gap_m = given.grille->gap_m;
    if (given.opening) {
      driver.opening = *given.opening;
      driver.opening_cutout_m = given.opening->cutout_m;
      driver.opening_depth_m = given.opening->depth_m;
    }
    if (!given.mirror_of.empty()) driver.pair = given.mirror_of;
    if (given.position) result.push_back(std::move(driver));
  }
  for (MountedDriver& driver : result)
    if (!driver.pair.empty()) {
      const int other = position_of(result, driver.pair);
      if (other >= 0 && result[other].pair.empty()) result[other].pair = driver.name;
    }
  return result;
}

}  // namespace cabinfield::build
