// Other conditions of the same car: what a state adds, takes away, opens and shuts, on a copy of the cabin as
// drawn.
#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "base/constants.h"
#include "scene/build_steps.h"
#include "scene/people.h"

namespace cabinfield::build {
namespace {

/// Each is a cabin of its own to build and to solve.
constexpr std::size_t most_states = 32;

struct StateSteps {
  const SceneSpec& spec;
  const std::string& name;
  const SourceLocation& location;
  const StateSpec& given;
  const Scene& scene;
  Materials& materials;
  Fillings& fillings;
  CabinShelf& cabins;
  Faults& faults;
  DrawnCabin drawn;
  std::vector<std::string> people = {};  ///< of each block that is part of a person, from first_person on
  std::size_t first_person = 0;

  std::string owner() const { return fmt::format("state '{}'", name); }

  bool changes_shape_but_for_people() const {
    return !given.add_blocks.empty() || !given.remove_blocks.empty() || !given.remove_partitions.empty() ||
           !given.open.empty() || !given.close.empty();
  }
  bool changes_shape() const { return changes_shape_but_for_people() || !seats().empty(); }

  std::vector<Located<std::string>> seats() const {
    std::vector<Located<std::string>> result;
    if (!given.occupied) return result;
    if (const auto* listed = std::get_if<std::vector<Located<std::string>>>(&*given.occupied)) return *listed;
    for (const Seat& seat : scene.seats) result.push_back({seat.name, given.at("occupied")});
    return result;
  }

  void remove_blocks() {
    auto& shape = drawn.shape;
    for (const auto& wanted : given.remove_blocks) {
      const int at = position_of(shape.blocks, wanted.value);
      if (at < 0) {
        faults.add(wanted.location, owner() + ": remove_blocks: " +
                                        unknown_name("block", wanted.value, names_of(shape.blocks)));
        continue;
      }
      shape.blocks.erase(shape.blocks.begin() + at);
      drawn.block_location.erase(drawn.block_location.begin() + at);
      remove_patches_of(wanted.value);
    }
  }

  /// What was a part of the block's faces goes with it, and parts of such parts.
  void remove_patches_of(const std::string& block) {
    auto& patches = drawn.shape.patches;
    std::set<std::string> gone;
    for (std::size_t p = 0; p < patches.size();) {
      if (patches[p].surface.starts_with(block + ".") || gone.contains(patches[p].surface)) {
        gone.insert(patches[p].name);
        patches.erase(patches.begin() + static_cast<std::ptrdiff_t>(p));
        drawn.patch.erase(drawn.patch.begin() + static_cast<std::ptrdiff_t>(p));
      } else {
        ++p;
      }
    }
  }

  void add_block(Block made, const SourceLocation& where) {
    if (position_of(drawn.shape.blocks, made.name) >= 0 ||
        position_of(drawn.shape.partitions, made.name) >= 0) {
      faults.add(
          where,
          fmt::format("{}: a block or partition '{}' exists already: remove it first, or choose another name",
                      owner(), made.name));
      return;
    }
    drawn.shape.blocks.push_back(std::move(made));
    drawn.block_location.push_back(where);
  }

  void add_blocks() {
    for (const BlockSpec& block_spec : given.add_blocks)
      if (auto made = block(block_spec, materials, fillings, faults))
        add_block(std::move(*made), block_spec.location);
  }

  void change_partitions() {
    auto& partitions = drawn.shape.partitions;
    for (const auto& wanted : given.remove_partitions) {
      const int at = position_of(partitions, wanted.value);
      if (at < 0) {
        faults.add(wanted.location, owner() + ": remove_partitions: " +
                                        unknown_name("partition", wanted.value, names_of(partitions)));
        continue;
      }
      partitions.erase(partitions.begin() + at);
      drawn.partition.erase(drawn.partition.begin() + at);
      drawn.transfer_impedances.erase(drawn.transfer_impedances.begin() + at);
    }
    std::set<std::string> named;
    std::vector<std::string> known;
    for (const Partition& partition : partitions)
      for (const PartitionOpening& opening : partition.openings) known.push_back(opening.name);
    auto set = [&](const std::vector<Located<std::string>>& list, const char* key, bool open) {
      for (const auto& wanted : list) {
        if (!named.insert(wanted.value).second)
          faults.add(wanted.location,
                     fmt::format("{}: {}: duplicate opening '{}'", owner(), key, wanted.value));
        bool found = false;
        for (Partition& partition : partitions)
          for (PartitionOpening& opening : partition.openings)
            if (opening.name == wanted.value) {
              opening.open = open;
              found = true;
            }
        if (!found)
          faults.add(wanted.location,
                     fmt::format("{}: {}: {}", owner(), key, unknown_name("opening", wanted.value, known)));
      }
    };
    set(given.open, "open", true);
    set(given.close, "close", false);
  }

  void seat_people() {
    first_person = drawn.shape.blocks.size();
    if (seats().empty()) return;
    // Before anyone is aboard: what they will lean against.
    std::shared_ptr<const Cabin> empty = scene.cabin;
    if (changes_shape_but_for_people()) empty = stand(drawn, *spec.cabin, owner(), location, cabins, faults);
    if (!empty) return;
    std::set<std::string> taken;
    for (const auto& wanted : seats()) {
      if (position_of(spec.seats, wanted.value) < 0 && (spec.sound("seats") || !spec.seats.empty()))
        faults.add(wanted.location,
                   owner() + ": occupied: " + unknown_name("seat", wanted.value, names_of(spec.seats)));
      const int seat = position_of(scene.seats, wanted.value);
      if (seat < 0) continue;
      if (!taken.insert(wanted.value).second) {
        faults.add(wanted.location, fmt::format("{}: duplicate seat '{}'", owner(), wanted.value));
        continue;
      }
      const int material = materials.index(std::string(person_material), wanted.location);
      for (Block& part :
           person_on(wanted.value, scene.seats[static_cast<std::size_t>(seat)].head, material, *empty)) {
        people.push_back(wanted.value);
        add_block(std::move(part), wanted.location);
      }
    }
  }

  /// Where a point is that is not in the air of this state.
  std::string where(const Cabin& cabin, const Vector3& point) const {
    const PointReport found = cabin.report(point);
    const std::size_t person = static_cast<std::size_t>(std::max(found.block, 0)) - first_person;
    if (found.block >= static_cast<int>(first_person) && person < people.size())
      return fmt::format("is inside the person at seat '{}'", people[person]);
    return not_in_air(cabin, point);
  }

  void check_ears(const Cabin& cabin) const {
    for (const Seat& seat : scene.seats)
      for (int side : {0, 1})
        if (!cabin.in_air(seat.ear[side]))
          faults.add({location,
                      fmt::format("{}: the {} ear of seat '{}' {}", owner(), side == 0 ? "left" : "right",
                                  seat.name, where(cabin, seat.ear[side])),
                      FaultCode::ear_outside_air,
                      {SubjectKind::seat, seat.name}});
  }

  /// Faces of the drivers in this state's cabin.
  std::vector<int> faces_of_drivers(const Cabin& cabin) const {
    std::vector<int> face;
    for (const MountedDriver& driver : scene.drivers) {
      const std::string what = fmt::format("{}: driver '{}'", owner(), driver.name);
      const auto fault = [&](FaultCode code, const std::string& predicate) {
        faults.add({location, what + predicate, code, {SubjectKind::driver, driver.name}});
      };
      if (driver.rear && !cabin.in_air(*driver.rear))
        fault(FaultCode::rear_outside_air, fmt::format(": its rear_into {}", where(cabin, *driver.rear)));
      face.push_back(driver.source.face < 0 ? -1 : face_of(driver.source, cabin, fault));
      if (driver.source.face < 0 && !cabin.in_air(driver.source.position))
        fault(FaultCode::driver_outside_air, " " + where(cabin, driver.source.position));
    }
    return face;
  }

  template <typename AddFault>
  int face_of(const Source& source, const Cabin& cabin, const AddFault& fault) const {
    const Face& drawn_face = scene.cabin->faces()[static_cast<std::size_t>(source.face)];
    const std::string& surface = scene.cabin->surfaces()[static_cast<std::size_t>(drawn_face.surface)];
    const Landing landing = cabin.land(source.position, surface);
    if (landing.face < 0 || landing.distance_m > same_point_m) {
      fault(FaultCode::driver_surface_hidden,
            fmt::format(": its surface '{}' does not exist in this state", surface));
      return -1;
    }
    const Vector3 before = source.position + 1e-3 * drawn_face.normal;
    if (!cabin.exposed(landing.face, source.position))
      fault(FaultCode::driver_surface_hidden,
            fmt::format(": a point 1 mm in front of it {}",
                        cabin.in_air(before) ? "belongs to another surface in the same plane"
                                             : where(cabin, before)));
    return landing.face;
  }

  /// The scene's, those that stay, and this state's own.
  std::vector<CabinLeak> leaks_in(const Cabin& cabin) const {
    std::vector<LeakSpec> specs;
    for (const LeakSpec& leak : spec.cabin->leaks) specs.push_back(leak);
    auto name_of = [](const LeakSpec& leak) { return leak.name.empty() ? leak.surface : leak.name; };
    for (const auto& wanted : given.remove_leaks) {
      const auto at = std::find_if(specs.begin(), specs.end(),
                                   [&](const LeakSpec& leak) { return name_of(leak) == wanted.value; });
      if (at != specs.end()) {
        specs.erase(at);
        continue;
      }
      std::vector<std::string> known;
      for (const LeakSpec& leak : specs) known.push_back(name_of(leak));
      faults.add(wanted.location, owner() + ": remove_leaks: " + unknown_name("leak", wanted.value, known));
    }
    for (const LeakSpec& leak : specs)
      if (cabin.surface_index(leak.surface) < 0) {
        faults.add(location, fmt::format("{}: the surface '{}' of leak '{}' does not exist in this state: "
                                         "list the leak in remove_leaks",
                                         owner(), leak.surface, name_of(leak)));
        return {};
      }
    specs.insert(specs.end(), given.add_leaks.begin(), given.add_leaks.end());
    return leaks(specs, cabin, faults);
  }
};

}  // namespace

void states(const SceneSpec& spec, const std::optional<DrawnCabin>& drawn, Materials& materials,
            Fillings& fillings, CabinShelf& cabins, Scene& scene, Faults& faults) {
  CabinState as_is{"as_is", scene.cabin, scene.ways, scene.transfer_impedances, scene.leaks, {}};
  for (const MountedDriver& driver : scene.drivers) as_is.face.push_back(driver.source.face);
  scene.states.push_back(std::move(as_is));
  if (spec.states.size() > most_states) {
    faults.add(spec.at("states"),
               fmt::format("states: {} states; the maximum is {}", spec.states.size(), most_states));
    return;
  }
  for (const auto& entry : spec.states) {
    if (entry.name == "as_is")
      faults.add(entry.location, "state 'as_is' is reserved for the cabin as drawn: choose another name");
    if (!spec.cabin && spec.sound("cabin"))
      faults.add(entry.location, fmt::format("state '{}': the scene has no cabin to change", entry.name));
    if (!scene.cabin || !drawn || entry.broken || !entry.value.sound()) continue;
    const std::size_t faults_before = faults.times_added();
    StateSteps steps{spec,      entry.name, entry.location, entry.value, scene,
                     materials, fillings,   cabins,         faults,      *drawn};
    steps.remove_blocks();
    steps.add_blocks();
    steps.change_partitions();
    steps.seat_people();
    if (faults.times_added() > faults_before) continue;
    CabinState state{entry.name, scene.cabin, scene.ways, steps.drawn.transfer_impedances, {}, {}};
    if (steps.changes_shape()) {
      state.cabin = stand(steps.drawn, *spec.cabin, steps.owner(), entry.location, cabins, faults);
      if (!state.cabin) continue;
      steps.check_ears(*state.cabin);
      check_partitions(steps.drawn, *state.cabin, faults);
    }
    state.face = steps.faces_of_drivers(*state.cabin);
    state.leaks = steps.leaks_in(*state.cabin);
    if (faults.times_added() > faults_before) continue;
    if (state.cabin != scene.cabin) state.ways = cabins.ways(state.cabin);
    scene.states.push_back(std::move(state));
  }
}

}  // namespace cabinfield::build
