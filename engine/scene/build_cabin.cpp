#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>
#include <set>

#include "base/constants.h"
#include "base/quoted.h"
#include "scene/build_steps.h"

namespace cabinfield::build {
namespace {

const MaterialChoice* first_of(const std::optional<MaterialChoice>& own,
                               const std::optional<MaterialChoice>& otherwise) {
  return own ? &*own : otherwise ? &*otherwise : nullptr;
}

bool is_air(const std::optional<MaterialChoice>& choice) {
  return choice && std::holds_alternative<std::string>(*choice) && std::get<std::string>(*choice) == "air";
}

/// A specific impedance, real and imaginary part, of which there is an inverse and from which no sound comes.
bool is_usable(const std::vector<double>& parts) {
  return parts[0] >= 0 && std::hypot(parts[0], parts[1]) >= 0.01;
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
    faults.add(spec.place, "cabin: give either box, or profile and sides");
    return std::nullopt;
  }
  CabinShape shape;
  if (!outlined) {
    if (spec.box) shape = box(spec, materials);
    return spec.sound("box") ? std::optional(shape) : std::nullopt;
  }
  const std::size_t faults_before = faults.times_added();
  if (!spec.has("profile") || !spec.has("sides"))
    faults.add(spec.place, fmt::format("cabin: key '{}' is missing: profile and sides go together",
                                       spec.has("profile") ? "sides" : "profile"));
  for (std::size_t i = 0; i + 1 < spec.sides.size(); ++i)
    if (!spec.sides[i].has("surface"))
      faults.add(spec.sides[i].place,
                 "sides: key 'surface' is missing: the name of the span from here up (the topmost corner "
                 "alone has none)");
  const bool sound = spec.sound("profile") && spec.sound("sides") && faults.times_added() == faults_before;
  if (spec.has("materials"))
    faults.add(spec.at("materials"),
               "cabin: materials: names the surfaces of a box; corners of profile and sides carry their own "
               "material");
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
    faults.add(spec.place, "patch: key 'surface' is missing: the surface that it is a part of");
  if (!spec.has("name") && !spec.has("mirror_of")) faults.add(spec.place, "patch: key 'name' is missing");
  return {
      spec.surface, {spec.x, spec.y, spec.z}, spec.name, materials.index(spec.material, spec.at("material"))};
}

/// Without its material; empty where it is at fault.
std::optional<Block> block(const BlockSpec& spec, Faults& faults) {
  const std::size_t faults_before = faults.times_added();
  Block result;
  result.name = spec.name;
  const bool up = spec.has("plan");
  const char* const drawn = up ? "plan" : "profile";
  const char* const swept = up ? "z" : "y";
  const char* const not_swept = up ? "y" : "z";
  result.sweep = up ? Sweep::up : Sweep::across;
  if (spec.has("profile") == up) {
    // One that mirrors another takes its keys from there, where they were asked for.
    if (up || !spec.has("mirror_of"))
      faults.add(spec.place,
                 fmt::format("block '{}': give either a profile (with y) or a plan (with z)", spec.name));
    return std::nullopt;
  }
  const auto& range = up ? spec.z : spec.y;
  if (!spec.has(swept) && !spec.has("mirror_of"))
    faults.add(spec.place, fmt::format("block '{}': key '{}' is missing: from where to where its {} is swept",
                                       spec.name, swept, drawn));
  if (spec.has(not_swept))
    faults.add(spec.at(not_swept),
               fmt::format("block '{}': a {} is swept over {}, not {}", spec.name, drawn, swept, not_swept));
  for (const BlockCornerChoice& corner : up ? spec.plan : spec.profile) {
    if (const Vector2* bare = std::get_if<Vector2>(&corner)) {
      result.corner.push_back({*bare, ""});
      continue;
    }
    const BlockCornerSpec& full = std::get<BlockCornerSpec>(corner);
    if (!full.has(up ? "y" : "z") || full.has(up ? "z" : "y"))
      faults.add(full.place, fmt::format("block '{}': a corner of its {} has x and {}", spec.name, drawn,
                                         up ? "y" : "z"));
    result.corner.push_back({{full.x, (up ? full.y : full.z).value_or(0)}, full.face});
  }
  const bool sound =
      spec.sound("name") && spec.sound(drawn) && range && faults.times_added() == faults_before;
  if (!sound) return std::nullopt;
  result.range = *range;
  return result;
}

/// A shared box takes up room in the cabin: a block of its own name.
Block outside_block(const std::string& name, const Vector3& at, const Vector3& size) {
  Block result;
  result.name = name;
  const double half_length = size.x() / 2, half_width = size.y() / 2, height = size.z();
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
  for (const auto& listed : spec.materials)
    if (!listed.broken) check(listed.name, listed.value);
}

int Materials::index(const std::optional<MaterialChoice>& choice, const Place& place) {
  if (!choice) return 0;
  if (const MaterialSpec* own = std::get_if<MaterialSpec>(&*choice)) {
    const std::string name = own->name.empty() ? "given in place" : own->name;
    check(name, *own);
    return add(name, *own);
  }
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

void Materials::check(const std::string& name, const MaterialSpec& spec) {
  const bool bands = !spec.absorption.empty() || !spec.sound("absorption");
  if (!bands && !spec.has("specific_impedance") && !spec.has("panel")) {
    faults_.add(spec.place,
                fmt::format("material '{}': give specific_impedance, absorption or panel; one that takes no "
                            "sound is called rigid",
                            name));
  } else if (!bands && spec.has("absorption")) {
    faults_.add(spec.at("absorption"),
                fmt::format("material '{}': absorption has no value: give at least one", name));
  }
  if (!spec.specific_impedance) return;
  const auto* parts = std::get_if<std::vector<double>>(&*spec.specific_impedance);
  if (parts != nullptr && !is_usable(*parts))
    faults_.add(
        spec.at("specific_impedance"),
        fmt::format("material '{}': specific_impedance [{:g}, {:g}] must have a real part of 0 or more and a "
                    "size of 0.01 or more",
                    name, (*parts)[0], (*parts)[1]));
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
      if (is_usable(parts)) material.specific_impedance = Complex(parts[0], parts[1]);
    }
  }
  for (const auto& [frequency_hz, coefficient] : spec.absorption)
    material.absorption[frequency_hz] = coefficient;
  if (spec.panel)
    material.panel =
        Panel{spec.panel->surface_density_kg_m2, spec.panel->resonance_hz, spec.panel->loss_factor};
  for (const std::string& words : material_warnings(material, Air(air_at({}))))
    if (!material.specific_impedance) faults_.warn(spec.place, fmt::format("material '{}': {}", name, words));
  list_.push_back(std::move(material));
  return static_cast<int>(list_.size()) - 1;
}

std::shared_ptr<const Cabin> cabin(const SceneSpec& scene, Materials& materials, Faults& faults) {
  if (!scene.cabin) return nullptr;
  const CabinSpec& spec = *scene.cabin;
  std::optional<CabinShape> drawn = shell(spec, materials, faults);
  CabinShape shape = drawn.value_or(CabinShape{});

  const std::size_t own_patches = shape.patches.size();
  for (const PatchSpec& given : spec.patches) shape.patches.push_back(patch(given, materials, faults));
  bool whole = spec.sound("patches") && spec.sound("blocks");
  for (std::size_t p = own_patches; p < shape.patches.size(); ++p)
    whole = whole && !shape.patches[p].surface.empty() && !shape.patches[p].name.empty();

  std::vector<Place> block_places;
  std::set<std::string> names;
  for (const BlockSpec& given : spec.blocks) {
    const bool fresh = given.name.empty() || names.insert(given.name).second;
    if (!fresh) faults.add(given.at("name"), fmt::format("block '{}' stands here twice", given.name));
    std::optional<Block> made = block(given, faults);
    const bool cut = is_air(given.material);
    const int material = cut ? 0 : materials.index(given.material, given.at("material"));
    whole = whole && fresh && made;
    if (!fresh || !made) continue;
    made->cut = cut;
    made->material = material;
    shape.blocks.push_back(std::move(*made));
    block_places.push_back(given.place);
  }
  for (const auto& shared : scene.boxes) {
    if (!shared.value.has("outside")) continue;
    const bool fresh = names.insert(shared.name).second;
    if (!fresh)
      faults.add(shared.place, fmt::format("box '{}' has the name of a block: choose another", shared.name));
    const bool sound = fresh && shared.value.sound("outside");
    whole = whole && sound;
    if (!sound) continue;
    shape.blocks.push_back(
        outside_block(shared.name, *shared.value.outside->at, *shared.value.outside->size_m));
    block_places.push_back(shared.value.outside->place);
  }
  if (!drawn) return nullptr;
  // What is sound is still looked at; patches may lie on what is not.
  if (!whole) shape.patches.resize(own_patches);

  std::vector<ShapeProblem> problems;
  auto built = std::make_shared<const Cabin>(Cabin::build(std::move(shape), problems));
  for (const ShapeProblem& problem : problems) {
    Place place = spec.place;
    const auto index = static_cast<std::size_t>(std::max(problem.index, 0));
    const auto corner = static_cast<std::size_t>(std::max(problem.corner, 0));
    using Object = ShapeProblem::Object;
    if (problem.object == Object::outline)
      place = corner < spec.profile.size() && problem.corner >= 0 ? spec.profile[corner].place
                                                                  : spec.at("profile");
    if (problem.object == Object::sides)
      place = corner < spec.sides.size() && problem.corner >= 0 ? spec.sides[corner].place : spec.at("sides");
    std::string message = problem.message;
    if (problem.object == Object::patch && index >= own_patches) {
      const PatchSpec& given = spec.patches[index - own_patches];
      place = given.at("surface");
      if (built->surface_index(given.surface) < 0)
        message = unknown_name("surface", given.surface, built->surfaces());
    }
    if (problem.object == Object::block) place = block_places[index];
    faults.add(place, "cabin: " + message);
  }
  return whole && problems.empty() ? built : nullptr;
}

std::string not_in_air(const Cabin& cabin, const Vector3& point) {
  const PointReport found = cabin.report(point);
  const std::string where = found.outside ? "outside the cabin"
                            : found.block >= 0
                                ? fmt::format("inside block '{}'", cabin.shape().blocks[found.block].name)
                                : "not in the air of the cabin";
  return fmt::format("is {}, {:.0f} mm from the nearest surface, '{}'", where, found.distance_m * 1000,
                     found.nearest);
}

std::vector<Seat> seats(const SceneSpec& spec, const Cabin* cabin, Faults& faults) {
  std::vector<Seat> result;
  for (const auto& entry : spec.seats) {
    const SeatSpec& given = entry.value;
    Seat seat;
    seat.name = entry.name;
    seat.sphere = given.head_shape == HeadShape::sphere;
    if (given.head.has_value() == given.reference.has_value()) {
      const bool neither = !given.has("head") && !given.has("reference") && !given.has("mirror_of");
      const bool both = given.has("head") && given.has("reference");
      if ((neither && !entry.broken) || both)
        faults.add(given.place, fmt::format("seat '{}': give either head or reference", entry.name));
      continue;
    }
    seat.head = given.head ? *given.head : Vector3(*given.reference + Vector3(0, 0, head_over_reference_m));
    for (int side : {0, 1})
      seat.ear[side] = seat.head + Vector3(0, (side == 0 ? -0.5 : 0.5) * spec.ear_spacing_m, 0);
    if (cabin != nullptr) {
      const Place& place = given.at(given.has("head") ? "head" : "reference");
      if (!cabin->in_air(seat.head)) {
        faults.add(place, fmt::format("seat '{}': its head {}", seat.name, not_in_air(*cabin, seat.head)));
      } else if (spec.sound("ear_spacing")) {
        for (int side : {0, 1})
          if (!cabin->in_air(seat.ear[side]))
            faults.add(place, fmt::format("seat '{}': its {} ear {}", seat.name, side == 0 ? "left" : "right",
                                          not_in_air(*cabin, seat.ear[side])));
      }
    }
    result.push_back(std::move(seat));
  }
  return result;
}

}  // namespace cabinfield::build
