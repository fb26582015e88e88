// Keys of the cabin: its shell, blocks, partitions, leaks, and its states.
#include "input/scene_keys.h"

namespace cabinfield {
namespace {

ValueKind<MaterialChoice> material_choice() { return either(name(), mapping(material_keys(), "material")); }
ValueKind<FillingChoice> filling_choice() { return either(name(), mapping(filling_keys(), "filling")); }

ValueKind<BlockCornerChoice> block_corner(GeometryRole view) {
  return either(point2(view), mapping(block_corner_keys(), "corner"));
}

}  // namespace

const Keys<BoxSpec>& box_keys() {
  const auto side = own_length({0.2, 50});
  static const auto keys = Keys<BoxSpec>()
                               .add("length", &BoxSpec::length_m, side, "along x, starting at 0")
                               .required()
                               .add("width", &BoxSpec::width_m, side, "across, centred on y = 0")
                               .required()
                               .add("height", &BoxSpec::height_m, side, "up, starting at 0")
                               .required();
  return keys;
}

const Keys<BoxMaterialsSpec>& box_materials_keys() {
  using Spec = BoxMaterialsSpec;
  static const auto keys = Keys<Spec>()
                               .add("all", &Spec::all, material_choice(), "all surfaces not listed here")
                               .add("front", &Spec::front, material_choice(), "")
                               .add("rear", &Spec::rear, material_choice(), "")
                               .add("left", &Spec::left, material_choice(), "")
                               .add("right", &Spec::right, material_choice(), "")
                               .add("floor", &Spec::floor, material_choice(), "")
                               .add("roof", &Spec::roof, material_choice(), "");
  return keys;
}

const Keys<OutlineCornerSpec>& outline_corner_keys() {
  using Spec = OutlineCornerSpec;
  static const auto keys =
      Keys<Spec>()
          .add("x", &Spec::x, coordinate(GeometryRole::x), "rearward")
          .required()
          .add("z", &Spec::z, coordinate(GeometryRole::z), "up")
          .required()
          .add("surface", &Spec::surface, name(), "name of the surface between this corner and the next")
          .required()
          .add("material", &Spec::material, material_choice(), "of that surface; rigid if absent");
  return keys;
}

const Keys<SideSpec>& side_keys() {
  using Spec = SideSpec;
  static const auto keys =
      Keys<Spec>()
          .add("z", &Spec::z, coordinate(GeometryRole::z), "height")
          .required()
          .add("y", &Spec::y, coordinate(GeometryRole::half_width), "half width at that height")
          .required()
          .add("surface", &Spec::surface, name(),
               "name of the surface from here up to the next corner; becomes NAME_left and NAME_right")
          .add("material", &Spec::material, material_choice(), "of that surface; rigid if absent");
  return keys;
}

const Keys<BlockCornerSpec>& block_corner_keys() {
  using Spec = BlockCornerSpec;
  static const auto keys =
      Keys<Spec>()
          .add("x", &Spec::x, coordinate(GeometryRole::x), "rearward")
          .required()
          .add("y", &Spec::y, coordinate(GeometryRole::y), "to the right; for a plan")
          .add("z", &Spec::z, coordinate(GeometryRole::z), "up; for a profile")
          .add("face", &Spec::face, sided(name()), "name of the face between this corner and the next");
  return keys;
}

const Keys<PatchSpec>& patch_keys() {
  using Spec = PatchSpec;
  static const auto keys =
      Keys<Spec>()
          .add("surface", &Spec::surface, sided(surface_name()), "the surface that it is part of")
          .add("x", &Spec::x, coordinate_range(GeometryRole::x), "from, to")
          .add("y", &Spec::y, coordinate_range(GeometryRole::y), "from, to")
          .add("z", &Spec::z, coordinate_range(GeometryRole::z), "from, to")
          .add("name", &Spec::name, sided(name()), "name of the patch")
          .add("material", &Spec::material, material_choice(), "material of the patch")
          .add("mirror_of", &Spec::mirror_of, name(), "the patch on the other side");
  return keys;
}

const Keys<BlockSpec>& block_keys() {
  using Spec = BlockSpec;
  static const auto keys =
      Keys<Spec>()
          .add("name", &Spec::name, name(), "")
          .required()
          .add("profile", &Spec::profile, list_of(block_corner(GeometryRole::side_view_point), 3, 200),
               "side view, extruded along y")
          .add("plan", &Spec::plan, list_of(block_corner(GeometryRole::plan_point), 3, 200),
               "plan view, extruded along z")
          .add("y", &Spec::y, coordinate_range(GeometryRole::y), "from, to; for a profile")
          .add("z", &Spec::z, coordinate_range(GeometryRole::z), "from, to; for a plan")
          .add("material", &Spec::material, material_choice(),
               "of its faces; air cuts a hollow; rigid if absent")
          .add("filling", &Spec::filling, filling_choice(), "of a porous body, instead of a material")
          .add("mirror_of", &Spec::mirror_of, name(), "the block on the other side");
  return keys;
}

const Keys<PassesSpec>& passes_keys() {
  using Spec = PassesSpec;
  static const auto keys =
      Keys<Spec>()
          .add("panel", &Spec::panel, mapping(panel_keys(), "panel"), "a vibrating panel")
          .add("filling", &Spec::filling, filling_choice(), "a porous sheet")
          .add("thickness", &Spec::thickness_m, own_length({5e-4, 0.2}), "of the porous sheet");
  return keys;
}

const Keys<PartitionOpeningSpec>& partition_opening_keys() {
  using Spec = PartitionOpeningSpec;
  static const auto keys =
      Keys<Spec>()
          .add("name", &Spec::name, sided(name()), "states open and close it by this name")
          .required()
          .add("centre", &Spec::centre, point(), "in the plane of the partition, at most 20 mm off")
          .required()
          .add("width", &Spec::width_m, own_length({0.01, 10}), "across the car")
          .required()
          .add("height", &Spec::height_m, own_length({0.01, 10}), "along the line")
          .required()
          .add("state", &Spec::open, choice<bool>({{"open", true}, {"closed", false}}), "open if absent");
  return keys;
}

const Keys<PartitionSpec>& partition_keys() {
  using Spec = PartitionSpec;
  static const auto keys =
      Keys<Spec>()
          .add("name", &Spec::name, name(), "")
          .required()
          .add("line", &Spec::line, list_of(point2(GeometryRole::side_view_point), 2, 2),
               "its side view: from [x, z] to [x, z]")
          .add("y", &Spec::y, coordinate_range(GeometryRole::y), "from, to")
          .add("passes", &Spec::passes,
               either(choice<PassesWord>({{"rigid", PassesWord::rigid}}), mapping(passes_keys(), "passes")),
               "rigid (nothing passes), a panel, or a porous sheet")
          .add("openings", &Spec::openings, list_of(mapping(partition_opening_keys(), "opening"), 0, 20),
               "holes in it")
          .add("mirror_of", &Spec::mirror_of, name(), "the partition on the other side");
  return keys;
}

const Keys<LeakSpec>& leak_keys() {
  using Spec = LeakSpec;
  static const auto keys =
      Keys<Spec>()
          .add("name", &Spec::name, sided(name()), "name of its surface if absent")
          .add("surface", &Spec::surface, sided(surface_name()), "the surface that it is in")
          .add("area", &Spec::area_m2, quantity(Quantity::area, {1e-6, 10}), "area open to the outside")
          .add("depth", &Spec::depth_m, own_length({0, 2}),
               "length of the duct to the outside; 20 mm if absent")
          .add("mirror_of", &Spec::mirror_of, surface_name(),
               "the leak on the other side, by name or surface");
  return keys;
}

const Keys<StateSpec>& state_keys() {
  using Spec = StateSpec;
  const auto names = list_of(located(name()), 0, 200);
  static const auto keys =
      Keys<Spec>()
          .add("add_leaks", &Spec::add_leaks, list_of(mapping(leak_keys(), "leak"), 0, 100), "")
          .add("remove_leaks", &Spec::remove_leaks, list_of(located(surface_name()), 0, 100),
               "by name or surface")
          .add("add_blocks", &Spec::add_blocks, list_of(mapping(block_keys(), "block"), 0, 200), "")
          .add("remove_blocks", &Spec::remove_blocks, names, "")
          .add("remove_partitions", &Spec::remove_partitions, names, "")
          .add("open", &Spec::open, names, "openings of partitions")
          .add("close", &Spec::close, names, "openings of partitions")
          .add("occupied", &Spec::occupied,
               either(choice<SeatsWord>({{"all", SeatsWord::all}}), list_of(located(name()), 0, 64)),
               "seats with a person on them");
  return keys;
}

const Keys<CabinSpec>& cabin_keys() {
  using Spec = CabinSpec;
  static const auto keys =
      Keys<Spec>()
          .add("box", &Spec::box, mapping(box_keys(), "box"), "a closed box instead of profile and sides")
          .add("materials", &Spec::materials, mapping(box_materials_keys(), "box materials"),
               "of the surfaces of a box")
          .add("profile", &Spec::profile, list_of(mapping(outline_corner_keys(), "corner"), 3, 200),
               "corners of the side view in order around the outline")
          .add("sides", &Spec::sides, list_of(mapping(side_keys(), "corner"), 2, 50),
               "half width from floor to roof")
          .add("patches", &Spec::patches, list_of(mapping(patch_keys(), "patch"), 0, 200),
               "parts of surfaces")
          .add("blocks", &Spec::blocks, list_of(mapping(block_keys(), "block"), 0, 200),
               "solid objects inside")
          .add("partitions", &Spec::partitions, list_of(mapping(partition_keys(), "partition"), 0, 50),
               "thin sheets that divide the air")
          .add("leaks", &Spec::leaks, list_of(mapping(leak_keys(), "leak"), 0, 100),
               "openings to the outside");
  return keys;
}

}  // namespace cabinfield
