#include <fmt/format.h>

#include <cmath>

#include "base/constants.h"
#include "geometry/partition.h"
#include "scene/build_steps.h"

namespace cabinfield::build {
namespace {

/// Largest distance of an opening from the plane of its partition, m: two tape measurements of a slanted
/// sheet agree no better.
constexpr double off_plane_limit_m = 0.020;
/// Smaller moves are not noted, m.
constexpr double noted_move_m = 0.0005;

/// Empty after a fault.
std::optional<TransferImpedance> transfer_impedance_of(const PartitionSpec& spec, Fillings& fillings,
                                                       Faults& faults) {
  TransferImpedance transfer_impedance;
  if (!spec.passes) return std::nullopt;
  const PassesSpec* passes = std::get_if<PassesSpec>(&*spec.passes);
  if (passes == nullptr) return transfer_impedance;
  const std::string owner = fmt::format("partition '{}': passes", spec.name);
  const int filling = fillings.index(passes->filling, passes->at("filling"));
  if (!passes->has("panel") && !passes->has("filling") && !passes->has("thickness")) {
    faults.add(passes->location, owner + ": give a panel, or a filling and its thickness, or write rigid");
    return std::nullopt;
  }
  if (passes->has("filling") != passes->has("thickness")) {
    faults.add(passes->location, owner + ": filling and thickness go together: give both");
    return std::nullopt;
  }
  if (!passes->sound() || (passes->has("filling") && filling < 0)) return std::nullopt;
  if (passes->panel)
    transfer_impedance.panel =
        Panel{passes->panel->surface_density_kg_m2, passes->panel->resonance_hz, passes->panel->loss_factor};
  if (filling >= 0)
    transfer_impedance.porous =
        PorousSheet{fillings.list()[static_cast<std::size_t>(filling)], *passes->thickness_m};
  return transfer_impedance;
}

}  // namespace

std::optional<Partition> partition(const PartitionSpec& spec, Materials& materials, Fillings& fillings,
                                   TransferImpedance& transfer_impedance, Faults& faults,
                                   std::vector<std::string>& notes) {
  // A mirrored partition inherits these keys; they were checked there.
  for (const auto& [key, words] : {std::pair{"line", "give its side view as [[x, z], [x, z]]"},
                                   {"y", "give its range across the car"},
                                   {"passes", "give rigid, a panel, or a filling and its thickness"}})
    if (!spec.has(key) && !spec.has("mirror_of"))
      faults.add(spec.location,
                 fmt::format("partition '{}': key '{}' is missing: {}", spec.name, key, words));
  const std::optional<TransferImpedance> passes = transfer_impedance_of(spec, fillings, faults);
  if (!passes || !spec.y || spec.line.size() != 2 || !spec.sound()) return std::nullopt;
  transfer_impedance = *passes;
  Partition result;
  result.name = spec.name;
  result.line = {spec.line[0], spec.line[1]};
  result.range = *spec.y;
  result.material = materials.sheet(spec.name, transfer_impedance);
  const bool has_a_plane = (result.line[1] - result.line[0]).norm() > same_point_m;
  bool sound = true;
  for (const PartitionOpeningSpec& given : spec.openings) {
    PartitionOpening opening{given.name, *given.centre, given.width_m, given.height_m, given.open};
    if (has_a_plane) {
      const double off_m = std::abs(on_partition(result, opening.centre).off_m);
      if (off_m > off_plane_limit_m) {
        faults.add({given.at("centre"),
                    fmt::format("opening '{}' of partition '{}': its centre is {:.0f} mm off the partition's "
                                "plane; at most {:.0f} mm is allowed",
                                given.name, spec.name, off_m * 1000, off_plane_limit_m * 1000),
                    FaultCode::opening_off_partition,
                    {SubjectKind::opening, given.name},
                    {{"distance", off_m, "m"}, {"limit", off_plane_limit_m, "m"}}});
        sound = false;
      }
      opening.centre = into_plane(result, opening.centre);
      if (off_m > noted_move_m && off_m <= off_plane_limit_m)
        notes.push_back(fmt::format(
            "opening {} moved {:.0f} mm into the plane of {}, to ({:.3f}, {:.3f}, {:.3f}) m", given.name,
            off_m * 1000, spec.name, opening.centre.x(), opening.centre.y(), opening.centre.z()));
    }
    result.openings.push_back(std::move(opening));
  }
  return sound ? std::optional(result) : std::nullopt;
}

void check_partitions(const DrawnCabin& drawn, const Cabin& cabin, Faults& faults) {
  for (std::size_t p = 0; p < drawn.shape.partitions.size(); ++p) {
    const Partition& partition = drawn.shape.partitions[p];
    const PartitionSpec& spec = *drawn.partition[p];
    for (std::size_t o = 0; o < partition.openings.size(); ++o)
      if (cabin.report(partition.openings[o].centre).outside)
        faults.add({spec.openings[o].at("centre"),
                    fmt::format("opening '{}' of partition '{}': its centre is outside the cabin",
                                partition.openings[o].name, partition.name),
                    FaultCode::opening_outside_cabin,
                    {SubjectKind::opening, partition.openings[o].name}});
    // Look for air on both sides at the points of a grid of 20 by 20.
    constexpr int pieces = 20;
    const Vector2 way = partition.line[1] - partition.line[0];
    const Vector3 step = partition_thickness_m * Vector3(way.y(), 0, -way.x()).normalized();
    bool parts_air = false;
    for (int i = 0; i < pieces && !parts_air; ++i)
      for (int j = 0; j < pieces && !parts_air; ++j) {
        const Vector2 at = partition.line[0] + (i + 0.5) / pieces * way;
        const double y = partition.range[0] + (j + 0.5) / pieces * (partition.range[1] - partition.range[0]);
        const Vector3 point(at.x(), y, at.y());
        auto holds_sound = [&](const Vector3& near) {
          if (cabin.in_air(near)) return true;
          const int block = cabin.report(near).block;
          return block >= 0 && cabin.shape().blocks[static_cast<std::size_t>(block)].filling >= 0;
        };
        parts_air = holds_sound(point - step) && holds_sound(point + step);
      }
    if (!parts_air)
      faults.add(
          spec.at("line"),
          fmt::format("partition '{}' has no point with air on both sides: it is outside the cabin, or "
                      "lies along walls and blocks",
                      partition.name));
  }
}

}  // namespace cabinfield::build
