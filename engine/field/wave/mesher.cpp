#include "field/wave/mesher.h"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <optional>

#include "base/child_process.h"
#include "field/wave/mesh_check.h"
#include "field/wave/mesh_drawing.h"
#include "field/wave/mesh_gmsh.h"

namespace cabinfield {
namespace {

struct Try {
  std::optional<Mesh> mesh;
  std::string reason;
};

Try try_once(const CabinShape& shape, const Cabin& cabin, const MeshOptions& options, bool imprint_patches) {
  const auto drawing = MeshDrawing::of(shape);
  if (!drawing) return {std::nullopt, "blocks lose their shape"};
  const RawMeshOptions raw_options{options.size_m, options.edge_size_m, imprint_patches};
  const ChildOutcome child = in_child(
      [&]() -> std::string {
        try {
          return "+" + mesh_with_gmsh(*drawing, raw_options).bytes();
        } catch (const std::exception& failure) {
          return std::string("-") + failure.what();
        }
      },
      options.time_limit_s);
  using End = ChildOutcome::End;
  if (child.end == End::not_started) return {std::nullopt, "no process could be started"};
  if (child.end == End::crashed) return {std::nullopt, "the mesher crashed"};
  if (child.end == End::timed_out)
    return {std::nullopt, fmt::format("the mesher took more than {:g} s", options.time_limit_s)};
  if (!child.bytes.starts_with('+')) return {std::nullopt, child.bytes.substr(child.bytes.empty() ? 0 : 1)};
  Try result;
  result.mesh = checked_mesh(RawMesh::of(child.bytes.substr(1)), *drawing, cabin, result.reason);
  return result;
}

/// As drawn, then with rims of patches let go, then with blocks on coarser and coarser grids.
Try try_all(const CabinShape& shape, const Cabin& cabin, const MeshOptions& options) {
  const char* rims_let_go = "patches: their rims are followed to the nearest edge of the mesh only";
  const bool patches = !shape.patches.empty();
  Try first = try_once(shape, cabin, options, true);
  if (first.mesh) return first;
  if (patches) {
    Try result = try_once(shape, cabin, options, false);
    if (result.mesh) {
      result.mesh->notes.emplace_back(rims_let_go);
      return result;
    }
  }
  for (double grid_m : {0.001, 0.005, 0.010}) {
    SnappedShape moved = snapped(shape, grid_m);
    // Nothing moved: nothing new to be had.
    if (moved.notes.empty()) continue;
    Try result = try_once(moved.shape, cabin, options, false);
    if (!result.mesh) continue;
    result.mesh->notes = std::move(moved.notes);
    if (patches) result.mesh->notes.emplace_back(rims_let_go);
    return result;
  }
  return first;
}

/// The block with which it goes wrong while it goes well with those drawn before it, "" where it goes wrong
/// without any or the time is over.
std::string block_to_blame(const Cabin& cabin, const MeshOptions& options) {
  using Clock = std::chrono::steady_clock;
  const auto start = Clock::now();
  CabinShape shape = cabin.shape();
  std::erase_if(shape.blocks, [](const Block& block) { return block.partition >= 0; });
  auto goes_well = [&](std::size_t blocks) {
    CabinShape part = shape;
    part.blocks.resize(blocks);
    return try_all(part, cabin, options).mesh.has_value();
  };
  if (shape.blocks.empty() || !goes_well(0)) return "";
  std::size_t well = 0, wrong = shape.blocks.size();
  while (wrong - well > 1) {
    if (std::chrono::duration<double>(Clock::now() - start).count() > options.time_limit_s) return "";
    const std::size_t middle = (well + wrong) / 2;
    (goes_well(middle) ? well : wrong) = middle;
  }
  return shape.blocks[well].name;
}

}  // namespace

Mesh mesh_cabin(const Cabin& cabin, const MeshOptions& options) {
  Try result = try_all(cabin.shape(), cabin, options);
  if (result.mesh) return std::move(*result.mesh);
  const std::string block = block_to_blame(cabin, options);
  std::string words = fmt::format("the cabin cannot be cut into tetrahedra: {}", result.reason);
  if (!block.empty())
    words += fmt::format(
        ". Block '{}' stands in the way: move its faces 10 mm and more away from those of others, or make "
        "them "
        "meet exactly",
        block);
  throw MeshFailure(words, block);
}

}  // namespace cabinfield
