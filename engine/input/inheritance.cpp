#include "input/inheritance.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <functional>
#include <map>
#include <variant>

#include "base/quoted.h"
#include "input/mirroring.h"
#include "input/scene_keys.h"
#include "scene/build_steps.h"
#include "scene/mirrored.h"
#include "scene/people.h"

namespace cabinfield {
namespace {

/// Visits each entry after the one that it names, once. `parent(i)` names it ("" for none), `find(name)` is
/// its position or -1.
void in_order(std::size_t count, const std::string& noun, const char* key,
              const std::function<std::string(std::size_t)>& parent,
              const std::function<std::string(std::size_t)>& name,
              const std::function<const Given&(std::size_t)>& given, const std::vector<std::string>& known,
              const std::function<void(std::size_t, std::size_t)>& fill, Faults& faults) {
  enum class State { fresh, open, done };
  std::vector<State> state(count, State::fresh);
  constexpr int longest_chain = 100;
  int depth = 0;
  std::map<std::string, std::size_t> position;
  for (std::size_t i = 0; i < count; ++i) position.emplace(name(i), i);
  std::function<void(std::size_t)> visit = [&](std::size_t i) {
    if (state[i] != State::fresh) return;
    if (depth == longest_chain) {
      faults.add(given(i).at(key), fmt::format("{} '{}': {} passes through more than {} others", noun,
                                               name(i), key, longest_chain));
      state[i] = State::done;
      return;
    }
    ++depth;
    state[i] = State::open;
    const std::string wanted = parent(i);
    if (!wanted.empty()) {
      const auto found = position.find(wanted);
      const std::size_t from = found == position.end() ? count : found->second;
      if (from == count) {
        const std::string owner = name(i).empty() ? noun : fmt::format("{} '{}'", noun, name(i));
        faults.add(given(i).at(key), fmt::format("{}: {}", owner, build::unknown_name(noun, wanted, known)));
      } else if (state[from] == State::open) {
        faults.add(given(i).at(key), fmt::format("{} '{}': {} forms a loop", noun, name(i), key));
      } else {
        visit(from);
        fill(i, from);
      }
    }
    state[i] = State::done;
    --depth;
  };
  for (std::size_t i = 0; i < count; ++i) visit(i);
}

template <typename Spec>
void in_order_named(std::vector<Named<Spec>>& list, const std::string& noun, const char* key,
                    std::string Spec::*parent, const std::function<void(std::size_t, std::size_t)>& fill,
                    Faults& faults) {
  in_order(
      list.size(), noun, key, [&](std::size_t i) { return list[i].value.*parent; },
      [&](std::size_t i) { return list[i].name; },
      [&](std::size_t i) -> const Given& { return list[i].value; }, build::names_of(list), fill, faults);
}

template <typename Spec>
void in_order_listed(std::vector<Spec>& list, const std::string& noun,
                     const std::function<void(std::size_t, std::size_t)>& fill, Faults& faults) {
  in_order(
      list.size(), noun, "mirror_of", [&](std::size_t i) { return list[i].mirror_of; },
      [&](std::size_t i) { return list[i].name; }, [&](std::size_t i) -> const Given& { return list[i]; },
      build::names_of(list), fill, faults);
}

/// Blocks, each drawn once and of one stuff: what a block says itself takes the place of both ways.
void fill_blocks(std::vector<BlockSpec>& blocks, Faults& faults) {
  in_order_listed(
      blocks, "block",
      [&](std::size_t to, std::size_t from) {
        BlockSpec source = mirrored(blocks[from], block_keys());
        for (const auto& [one, other] : {std::pair{"plan", "profile"}, {"material", "filling"}})
          if (blocks[to].has(one) || blocks[to].has(other))
            for (const char* key : {one, other}) source.keys.erase(key);
        block_keys().fill(blocks[to], source);
      },
      faults);
}

/// A leak without a name goes by that of its surface.
void fill_leaks(std::vector<LeakSpec>& leaks, Faults& faults) {
  std::vector<std::string> known;
  auto name_of = [&](std::size_t i) { return leaks[i].name.empty() ? leaks[i].surface : leaks[i].name; };
  for (std::size_t i = 0; i < leaks.size(); ++i) known.push_back(name_of(i));
  in_order(
      leaks.size(), "leak", "mirror_of", [&](std::size_t i) { return leaks[i].mirror_of; }, name_of,
      [&](std::size_t i) -> const Given& { return leaks[i]; }, known,
      [&](std::size_t to, std::size_t from) {
        leak_keys().fill(leaks[to], mirrored(leaks[from], leak_keys()));
      },
      faults);
}

/// A state's own entries may mirror each other and those of the cabin, which are filled already.
template <typename Spec>
void fill_added(const std::vector<Spec>& cabin, std::vector<Spec>& added,
                const std::function<void(std::vector<Spec>&, Faults&)>& fill, Faults& faults) {
  if (added.empty()) return;
  // Of two of one name the first is meant: the one that takes the place of the other.
  std::vector<Spec> all = added;
  all.insert(all.end(), cabin.begin(), cabin.end());
  for (std::size_t i = added.size(); i < all.size(); ++i) all[i].mirror_of.clear();
  fill(all, faults);
  std::copy(all.begin(), all.begin() + static_cast<std::ptrdiff_t>(added.size()), added.begin());
}

/// Whether the seat and every other one has a head: else the one at its mirrored place may be one at fault.
bool is_placed(const SceneSpec& scene, const std::string& seat) {
  return build::position_of(scene.seats, seat) >= 0 &&
         std::all_of(scene.seats.begin(), scene.seats.end(),
                     [](const auto& entry) { return head_position(entry.value).has_value(); });
}

}  // namespace

void resolve_inheritance(SceneSpec& scene, Faults& faults) {
  in_order_named<SeatSpec>(
      scene.seats, "seat", "mirror_of", &SeatSpec::mirror_of,
      [&](std::size_t to, std::size_t from) {
        SeatSpec& seat = scene.seats[to].value;
        SeatSpec source = mirrored(scene.seats[from].value, seat_keys());
        // A place of its own, given either way, wins over both; the rest is as over there.
        if (seat.has("head") || seat.has("reference"))
          for (const char* location : {"head", "reference"}) source.keys.erase(location);
        seat_keys().fill(seat, source);
      },
      faults);
  if (scene.cabin) {
    auto& patches = scene.cabin->patches;
    in_order_listed(
        patches, "patch",
        [&](std::size_t to, std::size_t from) {
          patch_keys().fill(patches[to], mirrored(patches[from], patch_keys()));
        },
        faults);
    fill_blocks(scene.cabin->blocks, faults);
    auto& partitions = scene.cabin->partitions;
    in_order_listed(
        partitions, "partition",
        [&](std::size_t to, std::size_t from) {
          partition_keys().fill(partitions[to], mirrored(partitions[from], partition_keys()));
        },
        faults);
    fill_leaks(scene.cabin->leaks, faults);
    for (auto& state : scene.states) {
      fill_added<BlockSpec>(scene.cabin->blocks, state.value.add_blocks, fill_blocks, faults);
      fill_added<LeakSpec>(scene.cabin->leaks, state.value.add_leaks, fill_leaks, faults);
    }
  }
  in_order_named<DriverSpec>(
      scene.drivers, "driver", "mirror_of", &DriverSpec::mirror_of,
      [&](std::size_t to, std::size_t from) {
        DriverSpec& driver = scene.drivers[to].value;
        DriverSpec source = mirrored(scene.drivers[from].value, driver_keys());
        if (source.aim && !source.aim->seat.empty())
          source.aim->seat = mirrored_seat(source.aim->seat, scene.seats);
        const bool lost = source.aim && source.aim->has("seat") && source.aim->seat.empty();
        if (!driver.has("aim") && lost && is_placed(scene, scene.drivers[from].value.aim->seat))
          faults.add(driver.at("mirror_of"),
                     fmt::format("driver '{}': '{}' aims at a seat, but there is no seat at the mirrored "
                                 "position: give this driver its own aim",
                                 scene.drivers[to].name, scene.drivers[from].name));
        driver_keys().fill(driver, source);
        // A box of one side goes to the box of the other side, where there is one; a box in the middle is
        // shared.
        if (driver.loading && driver.at("loading") == source.at("loading"))
          if (auto* loading = std::get_if<LoadingMappingSpec>(&*driver.loading))
            if (build::position_of(scene.boxes, mirrored_name(loading->box)) >= 0)
              loading->box = mirrored_name(loading->box);
      },
      faults);
  in_order_named<ChannelSpec>(
      scene.channels, "channel", "like", &ChannelSpec::like,
      [&](std::size_t to, std::size_t from) {
        ChannelSpec source = scene.channels[from].value;
        for (const char* own : {"drives", "amplifier", "processor_output"}) source.keys.erase(own);
        channel_keys().fill(scene.channels[to].value, source);
      },
      faults);
}

namespace {

/// The names of the scene's own models, each with the others of its kind; one that could not be read may be
/// of any, and has had its faults.
void name_own_models(SceneSpec& scene) {
  // In the order of ModelSpec.
  const std::array<std::vector<std::string>*, std::variant_size_v<ModelSpec>> lists{
      &scene.library_models,    &scene.library_amplifiers, &scene.library_processors,
      &scene.library_batteries, &scene.library_materials,  &scene.library_fillings};
  for (const Named<ModelSpec>& own : scene.models)
    for (std::size_t kind = 0; kind < lists.size(); ++kind)
      if ((own.broken || own.value.index() == kind) &&
          std::find(lists[kind]->begin(), lists[kind]->end(), own.name) == lists[kind]->end())
        lists[kind]->push_back(own.name);
}

/// The scene's own model of that name and kind, else what `in_library` finds.
template <typename Spec, typename InLibrary>
std::optional<Spec> model_called(const SceneSpec& scene, const std::string& name,
                                 const InLibrary& in_library) {
  if (const Spec* own = build::own_model<Spec>(scene, name)) return *own;
  const int at = build::position_of(scene.models, name);
  if (at >= 0 && scene.models[static_cast<std::size_t>(at)].broken) return std::nullopt;
  return in_library();
}

/// A model by name becomes the model itself, which keeps the name; one that is not there stays a name.
template <typename Spec>
void take_model(std::optional<std::variant<std::string, Spec>>& choice, std::optional<Spec> found) {
  if (!found) return;
  if (found->name.empty()) found->name = std::get<std::string>(*choice);
  choice = std::move(*found);
}

void resolve_system_models(SceneSpec& scene, const ModelLibrary& library, Faults& faults) {
  for (auto& amplifier : scene.amplifiers)
    if (auto& choice = amplifier.value.model; choice && std::holds_alternative<std::string>(*choice))
      take_model(choice, model_called<AmplifierModelSpec>(scene, std::get<std::string>(*choice), [&] {
                   return library.amplifier(std::get<std::string>(*choice), faults);
                 }));
  if (scene.processor)
    if (auto& choice = scene.processor->model; choice && std::holds_alternative<std::string>(*choice))
      take_model(choice, model_called<ProcessorModelSpec>(scene, std::get<std::string>(*choice), [&] {
                   return library.processor(std::get<std::string>(*choice), faults);
                 }));
  if (!scene.supply) return;
  for (auto& battery : scene.supply->batteries)
    if (!battery.value.model.empty())
      if (auto found = model_called<BatterySpec>(
              scene, battery.value.model, [&] { return library.battery(battery.value.model, faults); })) {
        for (const char* head : {"cabinfield_model", "name", "note"}) found->keys.erase(head);
        battery_keys().fill(battery.value, *found);
        // All of it stands here now: the resolved scene needs no library.
        battery.value.keys.erase("model");
        battery.value.model.clear();
      }
}

}  // namespace

void resolve_models(SceneSpec& scene, const ModelLibrary& library, Faults& faults) {
  scene.library_materials = library.names("materials");
  scene.library_fillings = library.names("fillings");
  scene.library_models = library.names("drivers");
  scene.library_amplifiers = library.names("amplifiers");
  scene.library_processors = library.names("processors");
  scene.library_batteries = library.names("batteries");
  name_own_models(scene);
  resolve_system_models(scene, library, faults);
  auto need_material = [&](const std::optional<MaterialChoice>& choice, const SourceLocation& location) {
    if (!choice || !std::holds_alternative<std::string>(*choice)) return;
    const std::string& name = std::get<std::string>(*choice);
    if (name == "rigid" || name == "air" || build::position_of(scene.materials, name) >= 0) return;
    if (auto found = model_called<MaterialSpec>(scene, name, [&] { return library.material(name, faults); }))
      scene.materials.push_back({name, location, std::move(*found)});
  };
  auto need_filling = [&](const std::optional<FillingChoice>& choice, const SourceLocation& location) {
    if (!choice || !std::holds_alternative<std::string>(*choice)) return;
    const std::string& name = std::get<std::string>(*choice);
    if (build::position_of(scene.fillings, name) >= 0) return;
    if (auto found = model_called<FillingSpec>(scene, name, [&] { return library.filling(name, faults); }))
      scene.fillings.push_back({name, location, std::move(*found)});
  };
  auto need_of_blocks = [&](const std::vector<BlockSpec>& blocks) {
    for (const auto& block : blocks) {
      need_material(block.material, block.at("material"));
      need_filling(block.filling, block.at("filling"));
    }
  };
  if (scene.cabin) {
    const CabinSpec& cabin = *scene.cabin;
    const BoxMaterialsSpec& box = cabin.materials;
    for (const auto& [choice, key] : {std::pair{&box.all, "all"},
                                      {&box.front, "front"},
                                      {&box.rear, "rear"},
                                      {&box.left, "left"},
                                      {&box.right, "right"},
                                      {&box.floor, "floor"},
                                      {&box.roof, "roof"}})
      need_material(*choice, box.at(key));
    for (const auto& corner : cabin.profile) need_material(corner.material, corner.at("material"));
    for (const auto& side : cabin.sides) need_material(side.material, side.at("material"));
    for (const auto& patch : cabin.patches) need_material(patch.material, patch.at("material"));
    need_of_blocks(cabin.blocks);
    for (const auto& partition : cabin.partitions) {
      if (!partition.passes) continue;
      if (const auto* passes = std::get_if<PassesSpec>(&*partition.passes))
        need_filling(passes->filling, passes->at("filling"));
    }
    for (const auto& state : scene.states) {
      need_of_blocks(state.value.add_blocks);
      if (state.value.occupied) need_material(std::string(person_material), state.value.at("occupied"));
    }
  }
  for (auto& driver : scene.drivers) {
    auto& choice = driver.value.model;
    if (!choice || !std::holds_alternative<std::string>(*choice)) continue;
    const std::string name = std::get<std::string>(*choice);
    const int at = build::position_of(scene.models, name);
    if (at >= 0 && (scene.models[static_cast<std::size_t>(at)].broken ||
                    build::own_model<DriverModelSpec>(scene, name) != nullptr))
      continue;
    std::optional<DriverModelSpec> found = library.driver(name, faults);
    if (at >= 0)  // the name is that of a model of another kind here
      take_model(choice, std::move(found));
    else if (found)
      scene.models.push_back({name, driver.value.at("model"), std::move(*found)});
  }
}

}  // namespace cabinfield
