#include <fmt/format.h>

#include <algorithm>
#include <optional>
#include <set>

#include "scene/build_steps.h"

namespace cabinfield::build {
namespace {

const MaterialChoice* first_of(const std::optional<MaterialChoice>& own,
                               const std::optional<MaterialChoice>& otherwise) {
  return own ? &*own : otherwise ? &*otherwise : nullptr;
}

CabinShape box(const CabinSpec& spec, Materials& materials) {
  const BoxMaterialsSpec& given = spec.materials;
  const std::optional<MaterialChoice>* own[6] = {&given.front, &given.rear,  &given.left,
                                                 &given.right, &given.floor, &given.roof};
  const char* names[6] = {"front", "rear", "left", "right", "floor", "roof"};
  std::array<int, 6> index{};
  for (int i = 0; i < 6; ++i) {
    const MaterialChoice* choice = first_of(*own[i], given.all);
    index[i] =
        materials.index(choice ? std::optional(*choice) : std::nullopt, given.at(*own[i] ? names[i] : "all"));
  }
  return box_shape({spec.box->length_m, spec.box->width_m, spec.box->height_m}, index);
}

/// The shell; empty where it is at fault.
std::optional<CabinShape> shell(const CabinSpec& spec, Materials& materials, Faults& faults) {
  const bool outlined = spec.has("profile") || spec.has("sides");
  if (spec.has("box") == outlined) {
    faults.add(spec.location, "cabin: give either box, or profile and sides");
    return std::nullopt;
  }
  CabinShape shape;
  if (!outlined) {
    if (spec.box) shape = box(spec, materials);
    return spec.sound("box") ? std::optional(shape) : std::nullopt;
  }
  const std::size_t faults_before = faults.times_added();
  if (!spec.has("profile") || !spec.has("sides"))
    faults.add(spec.location, fmt::format("cabin: key '{}' is missing: profile and sides go together",
                                          spec.has("profile") ? "sides" : "profile"));
  for (std::size_t i = 0; i + 1 < spec.sides.size(); ++i)
    if (!spec.sides[i].has("surface"))
      faults.add(spec.sides[i].location,
                 "sides: key 'surface' is missing: the name of the span from here up (only the top corner "
                 "has none)");
  const bool sound = spec.sound("profile") && spec.sound("sides") && faults.times_added() == faults_before;
  if (spec.has("materials"))
    faults.add(spec.at("materials"),
               "cabin: materials is for a box; give each corner of profile and sides its own material");
  for (const OutlineCornerSpec& corner : spec.profile)
    shape.outline.push_back(
        {{corner.x, corner.z}, corner.surface, materials.index(corner.material, corner.at("material"))});
  for (const SideSpec& side : spec.sides)
    shape.sides.push_back(
        {side.z, side.y, side.surface, materials.index(side.material, side.at("material"))});
  return sound ? std::optional(shape) : std::nullopt;
}

SurfacePatch patch(const PatchSpec& spec, Materials& materials, Faults& faults) {
  // One that mirrors another takes its keys from there, where they were asked for.
  if (!spec.has("surface") && !spec.has("mirror_of"))
    faults.add(spec.location, "patch: key 'surface' is missing: the surface that it is a part of");
  if (!spec.has("name") && !spec.has("mirror_of")) faults.add(spec.location, "patch: key 'name' is missing");
  return {
      spec.surface, {spec.x, spec.y, spec.z}, spec.name, materials.index(spec.material, spec.at("material"))};
}

}  // namespace

std::optional<DrawnCabin> draw_cabin(const SceneSpec& scene, Materials& materials, Fillings& fillings,
                                     CabinShelf& cabins, Faults& faults, std::vector<std::string>& notes) {
  if (!scene.cabin) return std::nullopt;
  const CabinSpec& spec = *scene.cabin;
  std::optional<CabinShape> drawn = shell(spec, materials, faults);
  DrawnCabin result;
  CabinShape& shape = result.shape = drawn.value_or(CabinShape{});

  const std::size_t own_patches = shape.patches.size();
  result.patch.resize(own_patches, nullptr);
  for (const PatchSpec& given : spec.patches) {
    shape.patches.push_back(patch(given, materials, faults));
    result.patch.push_back(&given);
  }
  bool whole = spec.sound("patches") && spec.sound("blocks") && spec.sound("partitions");
  for (std::size_t p = own_patches; p < shape.patches.size(); ++p)
    whole = whole && !shape.patches[p].surface.empty() && !shape.patches[p].name.empty();

  std::set<std::string> names;
  for (const BlockSpec& given : spec.blocks) {
    const bool fresh = given.name.empty() || names.insert(given.name).second;
    if (!fresh) faults.add(given.at("name"), fmt::format("duplicate block name '{}'", given.name));
    std::optional<Block> made = block(given, materials, fillings, faults);
    whole = whole && fresh && made;
    if (!fresh || !made) continue;
    shape.blocks.push_back(std::move(*made));
    result.block_location.push_back(given.location);
  }
  for (const auto& shared : scene.boxes) {
    if (!shared.value.has("outside")) continue;
    const bool fresh = names.insert(shared.name).second;
    if (!fresh)
      faults.add(shared.location,
                 fmt::format("box '{}' has the name of a block: choose another", shared.name));
    const bool sound = fresh && shared.value.sound("outside");
    whole = whole && sound;
    if (!sound) continue;
    shape.blocks.push_back(
        outside_block(shared.name, *shared.value.outside->at, *shared.value.outside->size_m));
    result.block_location.push_back(shared.value.outside->location);
  }
  std::set<std::string> openings;
  for (const PartitionSpec& given : spec.partitions) {
    const bool fresh = given.name.empty() || names.insert(given.name).second;
    if (!fresh)
      faults.add(given.at("name"), fmt::format("partition '{}' has the name of a block, a box or another "
                                               "partition: choose another",
                                               given.name));
    for (const PartitionOpeningSpec& opening : given.openings)
      if (!opening.name.empty() && !openings.insert(opening.name).second)
        faults.add(opening.at("name"),
                   fmt::format("duplicate opening name '{}': states open and close openings by name, so each "
                               "name may occur once in all partitions",
                               opening.name));
    TransferImpedance transfer_impedance;
    std::optional<Partition> made = partition(given, materials, fillings, transfer_impedance, faults, notes);
    whole = whole && fresh && made;
    if (!fresh || !made) continue;
    shape.partitions.push_back(std::move(*made));
    result.transfer_impedances.push_back(std::move(transfer_impedance));
    result.partition.push_back(&given);
  }
  if (!drawn) return std::nullopt;
  // What is sound is still looked at; patches may lie on what is not.
  if (!whole) {
    shape.patches.resize(own_patches);
    stand(result, spec, "cabin", spec.location, cabins, faults);
    return std::nullopt;
  }
  return result;
}

std::shared_ptr<const Cabin> stand(const DrawnCabin& drawn, const CabinSpec& spec, const std::string& owner,
                                   const SourceLocation& owner_location, CabinShelf& cabins, Faults& faults) {
  std::vector<ShapeProblem> problems;
  const std::shared_ptr<const Cabin> built = cabins.cabin(drawn.shape, problems);
  for (const ShapeProblem& problem : problems) {
    SourceLocation location = owner_location;
    const auto index = static_cast<std::size_t>(std::max(problem.index, 0));
    const auto corner = static_cast<std::size_t>(std::max(problem.corner, 0));
    std::string message = problem.message;
    using Object = ShapeProblem::Object;
    switch (problem.object) {
      case Object::outline:
        if (corner < spec.profile.size() && problem.corner >= 0)
          location = spec.profile[corner].location;
        else if (spec.has("profile") && owner_location == spec.location)
          location = spec.at("profile");
        break;
      case Object::sides:
        location = corner < spec.sides.size() && problem.corner >= 0 ? spec.sides[corner].location
                                                                     : spec.at("sides");
        break;
      case Object::patch:
        if (const PatchSpec* given = drawn.patch[index]) {
          location = given->at("surface");
          if (built->surface_index(given->surface) < 0)
            message = unknown_name("surface", given->surface, built->surfaces());
        }
        break;
      case Object::block:
        location = drawn.block_location[index];
        break;
      case Object::partition: {
        const PartitionSpec& given = *drawn.partition[index];
        location = problem.corner >= 0 && corner < given.openings.size() ? given.openings[corner].location
                                                                         : given.at("line");
        break;
      }
    }
    faults.add({location, owner + ": " + message, FaultCode::invalid_shape});
  }
  return problems.empty() ? built : nullptr;
}

}  // namespace cabinfield::build
