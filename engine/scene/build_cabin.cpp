#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "base/constants.h"
#include "base/quoted.h"
#include "scene/build_steps.h"

namespace cabinfield::build {
namespace {

const MaterialChoice* first_of(const std::optional<MaterialChoice>& own, const std::optional<MaterialChoice>& otherwise) {
  return own ? &*own : otherwise ? &*otherwise : nullptr;
}

bool is_air(const std::optional<MaterialChoice>& choice) {
  return choice && std::holds_alternative<std::string>(*choice) && std::get<std::string>(*choice) == "air";
}

CabinShape box(const CabinSpec& spec, Materials& materials) {
  const BoxMaterialsSpec& given = spec.materials;
  const std::optional<MaterialChoice>* own[6] = {&given.front, &given.rear, &given.left, &given.right, &given.floor, &given.roof};
  const char* names[6] = {"front", "rear", "left", "right", "floor", "roof"};
  std::array<int, 6> index{};
  for (int i = 0; i < 6; ++i) {
    const MaterialChoice* choice = first_of(*own[i], given.all);
    index[i] = materials.index(choice ? std::optional(*choice) : std::nullopt, given.at(*own[i] ? names[i] : "all"));
  }
  return box_shape({spec.box->length_m, spec.box->width_m, spec.box->height_m}, index);
}

Block block(const BlockSpec& spec, Materials& materials, Faults& faults) {
  Block result;
  result.name = spec.name;
  const bool up = !spec.plan.empty();
  result.sweep = up ? Sweep::up : Sweep::across;
  if (spec.profile.empty() == spec.plan.empty())
    faults.add(spec.place, fmt::format("block '{}': give either a profile (with y) or a plan (with z)", spec.name));
  const char* swept = up ? "z" : "y";
  const auto& range = up ? spec.z : spec.y;
  if (!range)
    faults.add(spec.place, fmt::format("block '{}': key '{}' is missing: from where to where its {} is swept", spec.name, swept,
                                       up ? "plan" : "profile"));
  else
    result.range = *range;
  if (spec.has(up ? "y" : "z"))
    faults.add(spec.at(up ? "y" : "z"), fmt::format("block '{}': a {} is swept over {}, not {}", spec.name, up ? "plan" : "profile", swept,
                                                    up ? "y" : "z"));
  for (const BlockCornerChoice& corner : up ? spec.plan : spec.profile) {
    if (const Vector2* bare = std::get_if<Vector2>(&corner)) {
      result.corner.push_back({*bare, ""});
      continue;
    }
    const BlockCornerSpec& full = std::get<BlockCornerSpec>(corner);
    const auto& second = up ? full.y : full.z;
    if (!second || (up ? full.z : full.y))
      faults.add(full.place, fmt::format("block '{}': a corner of its {} has x and {}", spec.name, up ? "plan" : "profile", up ? "y" : "z"));
    result.corner.push_back({{full.x, second.value_or(0)}, full.face});
  }
  result.cut = is_air(spec.material);
  if (!result.cut) result.material = materials.index(spec.material, spec.at("material"));
  return result;
}

/// A shared box takes up room in the cabin: a block of its own name.
Block outside_block(const std::string& name, const OutsideSpec& outside) {
  Block result;
  result.name = name;
  const Vector3 at = outside.at.value_or(Vector3::Zero());
  const double half_length = outside.size_m.empty() ? 0 : outside.size_m[0] / 2;
  const double half_width = outside.size_m.empty() ? 0 : outside.size_m[1] / 2;
  const double height = outside.size_m.empty() ? 0 : outside.size_m[2];
  result.corner = {{{at.x() - half_length, at.z()}, "bottom"},
                   {{at.x() + half_length, at.z()}, "rear"},
                   {{at.x() + half_length, at.z() + height}, "top"},
                   {{at.x() - half_length, at.z() + height}, "front"}};
  result.range = {at.y() - half_width, at.y() + half_width};
  return result;
}

}  // namespace

Materials::Materials(const SceneSpec& spec, Faults& faults) : spec_(spec), faults_(faults) {
  Material rigid;
  rigid.name = "rigid";
  list_.push_back(rigid);
  by_name_["rigid"] = 0;
}

int Materials::index(const std::optional<MaterialChoice>& choice, const Place& place) {
  if (!choice) return 0;
  if (const MaterialSpec* own = std::get_if<MaterialSpec>(&*choice)) return add(own->name.empty() ? "material given in place" : own->name, *own);
  const std::string& name = std::get<std::string>(*choice);
  // By name alone those that a name stands for: one given in place may be called the same.
  if (const auto known = by_name_.find(name); known != by_name_.end()) return known->second;
  const int found = position_of(spec_.materials, name);
  if (found >= 0) return by_name_[name] = add(name, spec_.materials[found].value);
  // A file of that name which could not be used has had its own faults.
  if (std::count(spec_.library_materials.begin(), spec_.library_materials.end(), name) > 0) return 0;
  std::vector<std::string> known = names_of(spec_.materials);
  known.insert(known.end(), spec_.library_materials.begin(), spec_.library_materials.end());
  known.push_back("rigid");
  if (name == "air")
    faults_.add(place, "material 'air' makes a cut of a block; a surface cannot be air");
  else
    faults_.add(place, unknown_name("material", name, known));
  return 0;
}

int Materials::add(const std::string& name, const MaterialSpec& spec) {
  Material material;
  material.name = name;
  material.note = spec.note;
  if (spec.specific_impedance) {
    if (const double* real = std::get_if<double>(&*spec.specific_impedance)) {
      material.specific_impedance = *real;
    } else {
      const auto& parts = std::get<std::vector<double>>(*spec.specific_impedance);
      material.specific_impedance = Complex(parts[0], parts[1]);
      if (parts[0] < 0 || std::abs(*material.specific_impedance) < 0.01) {
        faults_.add(spec.at("specific_impedance"),
                    fmt::format("material '{}': specific_impedance [{:g}, {:g}] must have a real part of 0 or more and a size of 0.01 or more",
                                name, parts[0], parts[1]));
        material.specific_impedance.reset();
      }
    }
  }
  for (const auto& [frequency_hz, coefficient] : spec.absorption) material.absorption[frequency_hz] = coefficient;
  if (spec.panel) material.panel = Panel{spec.panel->surface_density_kg_m2, spec.panel->resonance_hz, spec.panel->loss_factor};
  for (const std::string& words : material_warnings(material, Air(air_at({}))))
    if (!material.specific_impedance) faults_.warn(spec.place, fmt::format("material '{}': {}", name, words));
  list_.push_back(std::move(material));
  return static_cast<int>(list_.size()) - 1;
}

std::shared_ptr<const Cabin> cabin(const SceneSpec& scene, Materials& materials, Faults& faults) {
  if (!scene.cabin) return nullptr;
  const CabinSpec& spec = *scene.cabin;
  const bool outlined = spec.has("profile") || spec.has("sides");
  if (spec.has("box") == outlined) {
    faults.add(spec.place, "cabin: give either box, or profile and sides");
    return nullptr;
  }
  if (spec.has("box") && !spec.box) return nullptr;
  if (outlined && !(spec.has("profile") && spec.has("sides"))) {
    faults.add(spec.place, fmt::format("cabin: key '{}' is missing: profile and sides go together", spec.has("profile") ? "sides" : "profile"));
    return nullptr;
  }
  if (outlined && (spec.profile.empty() || spec.sides.empty())) return nullptr;  // faults stand already
  if (outlined && spec.has("materials"))
    faults.add(spec.at("materials"), "cabin: materials: names the surfaces of a box; corners of profile and sides carry their own material");

  CabinShape shape;
  if (spec.box) {
    shape = box(spec, materials);
  } else {
    for (const OutlineCornerSpec& corner : spec.profile)
      shape.outline.push_back({{corner.x, corner.z}, corner.surface, materials.index(corner.material, corner.at("material"))});
    for (std::size_t i = 0; i < spec.sides.size(); ++i) {
      const SideSpec& side = spec.sides[i];
      if (i + 1 < spec.sides.size() && side.surface.empty() && !side.has("surface"))
        faults.add(side.place, "sides: key 'surface' is missing: the name of the span from here up (the topmost corner alone has none)");
      shape.sides.push_back({side.z, side.y, side.surface, materials.index(side.material, side.at("material"))});
    }
  }
  const std::size_t own_patches = shape.patches.size();
  for (const PatchSpec& patch : spec.patches) {
    if (patch.surface.empty() || patch.name.empty()) {
      if (!patch.has("surface") && patch.mirror_of.empty()) faults.add(patch.place, "patch: key 'surface' is missing: the surface that it is a part of");
      if (!patch.has("name") && patch.mirror_of.empty()) faults.add(patch.place, "patch: key 'name' is missing");
    }
    shape.patches.push_back({patch.surface, {patch.x, patch.y, patch.z}, patch.name, materials.index(patch.material, patch.at("material"))});
  }
  std::vector<Place> block_places;
  std::set<std::string> names;
  for (const BlockSpec& given : spec.blocks) {
    if (!names.insert(given.name).second) faults.add(given.at("name"), fmt::format("block '{}' stands here twice", given.name));
    shape.blocks.push_back(block(given, materials, faults));
    block_places.push_back(given.place);
  }
  for (const auto& shared : scene.boxes)
    if (shared.value.outside && shared.value.outside->at && shared.value.outside->size_m.size() == 3) {
      shape.blocks.push_back(outside_block(shared.name, *shared.value.outside));
      block_places.push_back(shared.value.outside->place);
    }
  if (faults.any() && std::any_of(shape.blocks.begin(), shape.blocks.end(), [](const Block& b) { return b.corner.size() < 3; }))
    return nullptr;

  std::vector<ShapeProblem> problems;
  auto built = std::make_shared<const Cabin>(Cabin::build(std::move(shape), problems));
  for (const ShapeProblem& problem : problems) {
    Place place = spec.place;
    const auto index = static_cast<std::size_t>(std::max(problem.index, 0)), corner = static_cast<std::size_t>(std::max(problem.corner, 0));
    using Object = ShapeProblem::Object;
    if (problem.object == Object::outline) place = corner < spec.profile.size() && problem.corner >= 0 ? spec.profile[corner].place : spec.at("profile");
    if (problem.object == Object::sides) place = corner < spec.sides.size() && problem.corner >= 0 ? spec.sides[corner].place : spec.at("sides");
    std::string message = problem.message;
    if (problem.object == Object::patch && index >= own_patches) {
      const PatchSpec& patch = spec.patches[index - own_patches];
      place = patch.at("surface");
      if (built->surface_index(patch.surface) < 0) message = unknown_name("surface", patch.surface, built->surfaces());
    }
    if (problem.object == Object::block) place = block_places[index];
    faults.add(place, "cabin: " + message);
  }
  return problems.empty() ? built : nullptr;
}

std::string not_in_air(const Cabin& cabin, const Vector3& point) {
  const PointReport found = cabin.report(point);
  const std::string where = found.outside ? "outside the cabin"
                            : found.block >= 0 ? fmt::format("inside block '{}'", cabin.shape().blocks[found.block].name)
                                               : "not in the air of the cabin";
  return fmt::format("is {}, {:.0f} mm from the nearest surface, '{}'", where, found.distance_m * 1000, found.nearest);
}

std::vector<Seat> seats(const SceneSpec& spec, const Cabin* cabin, Faults& faults) {
  std::vector<Seat> result;
  for (const auto& entry : spec.seats) {
    const SeatSpec& given = entry.value;
    Seat seat;
    seat.name = entry.name;
    seat.sphere = given.head_shape == HeadShape::sphere;
    if (given.head.has_value() == given.reference.has_value()) {
      if (given.has("head") == given.has("reference") && given.mirror_of.empty())
        faults.add(given.place, fmt::format("seat '{}': give either head or reference", entry.name));
      continue;
    }
    seat.head = given.head ? *given.head : Vector3(*given.reference + Vector3(0, 0, head_over_reference_m));
    for (int side : {0, 1}) seat.ear[side] = seat.head + Vector3(0, (side == 0 ? -0.5 : 0.5) * spec.ear_spacing_m, 0);
    if (cabin != nullptr) {
      const Place& place = given.at(given.has("head") ? "head" : "reference");
      if (!cabin->in_air(seat.head)) {
        faults.add(place, fmt::format("seat '{}': its head {}", seat.name, not_in_air(*cabin, seat.head)));
      } else {
        for (int side : {0, 1})
          if (!cabin->in_air(seat.ear[side]))
            faults.add(place, fmt::format("seat '{}': its {} ear {}", seat.name, side == 0 ? "left" : "right", not_in_air(*cabin, seat.ear[side])));
      }
    }
    result.push_back(std::move(seat));
  }
  return result;
}

}  // namespace cabinfield::build
