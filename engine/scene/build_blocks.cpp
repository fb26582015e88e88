#include <fmt/format.h>

#include "scene/build_steps.h"

namespace cabinfield::build {
namespace {

bool is_air(const std::optional<MaterialChoice>& choice) {
  return choice && std::holds_alternative<std::string>(*choice) && std::get<std::string>(*choice) == "air";
}

/// Its faces reflect as a layer of the filling would, as thick as the block is behind them.
void fill(Block& block, const Filling& filling, int index, Materials& materials) {
  block.filling = index;
  for (std::size_t c = 0; c < block.corner.size(); ++c)
    block.corner[c].material = materials.layer(filling, index, depth_behind(block, c));
  block.end_material.fill(materials.layer(filling, index, block.range[1] - block.range[0]));
}

/// Without its material or filling; empty where it is at fault.
std::optional<Block> drawn(const BlockSpec& spec, Faults& faults) {
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
      faults.add(spec.location,
                 fmt::format("block '{}': give either a profile (with y) or a plan (with z)", spec.name));
    return std::nullopt;
  }
  const auto& range = up ? spec.z : spec.y;
  if (!spec.has(swept) && !spec.has("mirror_of"))
    faults.add(spec.location,
               fmt::format("block '{}': key '{}' is missing: the range over which its {} is extruded",
                           spec.name, swept, drawn));
  if (spec.has(not_swept))
    faults.add(spec.at(not_swept), fmt::format("block '{}': a {} is extruded along {}, not {}", spec.name,
                                               drawn, swept, not_swept));
  for (const BlockCornerChoice& corner : up ? spec.plan : spec.profile) {
    if (const Vector2* bare = std::get_if<Vector2>(&corner)) {
      result.corner.push_back({*bare, ""});
      continue;
    }
    const BlockCornerSpec& full = std::get<BlockCornerSpec>(corner);
    if (!full.has(up ? "y" : "z") || full.has(up ? "z" : "y"))
      faults.add(full.location, fmt::format("block '{}': each corner of its {} must have x and {} only",
                                            spec.name, drawn, up ? "y" : "z"));
    result.corner.push_back({{full.x, (up ? full.y : full.z).value_or(0)}, full.face});
  }
  const bool sound =
      spec.sound("name") && spec.sound(drawn) && range && faults.times_added() == faults_before;
  if (!sound) return std::nullopt;
  result.range = *range;
  return result;
}

}  // namespace

std::optional<Block> block(const BlockSpec& spec, Materials& materials, Fillings& fillings, Faults& faults) {
  std::optional<Block> result = drawn(spec, faults);
  const bool cut = is_air(spec.material);
  const int material = cut ? 0 : materials.index(spec.material, spec.at("material"));
  const int filling = fillings.index(spec.filling, spec.at("filling"));
  if (spec.has("material") && spec.has("filling")) {
    faults.add(
        spec.at("filling"),
        fmt::format(
            "block '{}': give either material or filling; a filling also gives the faces their absorption",
            spec.name));
    return std::nullopt;
  }
  if (!result) return std::nullopt;
  result->cut = cut;
  result->material = material;
  if (filling >= 0) fill(*result, fillings.list()[static_cast<std::size_t>(filling)], filling, materials);
  return result;
}

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

void warn_of_hidden_blocks(const DrawnCabin& drawn, const Cabin& cabin, Faults& faults) {
  for (std::size_t b = 0; b < drawn.block_location.size(); ++b) {
    const Block& block = cabin.shape().blocks[b];
    if (block.cut) continue;
    bool seen = false;
    for (std::size_t s = 0; s < cabin.surfaces().size() && !seen; ++s)
      seen =
          cabin.surfaces()[s].starts_with(block.name + ".") && cabin.surface_area_m2(static_cast<int>(s)) > 0;
    if (!seen)
      faults.warn(drawn.block_location[b],
                  fmt::format("block '{}' has no exposed face: it coincides with earlier blocks, is inside "
                              "them, or is outside the cabin",
                              block.name));
  }
}

}  // namespace cabinfield::build
