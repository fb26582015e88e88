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

struct Attempt {
  std::optional<Mesh> mesh;
  std::string reason;
};

Attempt mesh_once(const CabinShape& shape, const Cabin& cabin, const MeshOptions& options,
                  bool imprint_patches) {
  const auto drawing = MeshDrawing::of(shape);
  if (!drawing) return {std::nullopt, "blocks lose their shape on the grid"};
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
  if (child.end == End::not_started) return {std::nullopt, "the mesher's process could not be started"};
  if (child.end == End::crashed) return {std::nullopt, "the mesher crashed"};
  if (child.end == End::timed_out)
    return {std::nullopt, fmt::format("the mesher took longer than {:g} s", options.time_limit_s)};
  if (!child.bytes.starts_with('+')) return {std::nullopt, child.bytes.substr(child.bytes.empty() ? 0 : 1)};
  Attempt result;
  result.mesh = checked_mesh(RawMesh::of(child.bytes.substr(1)), *drawing, cabin, result.reason);
  return result;
}

/// As drawn, then without the outlines of patches, then with blocks rounded to coarser and coarser grids.
Attempt mesh_with_fallbacks(const CabinShape& shape, const Cabin& cabin, const MeshOptions& options) {
  const char* outlines_approximated = "patch outlines are approximated by the nearest mesh edges";
  const bool patches = !shape.patches.empty();
  Attempt first = mesh_once(shape, cabin, options, true);
  if (first.mesh) return first;
  if (patches) {
    Attempt result = mesh_once(shape, cabin, options, false);
    if (result.mesh) {
      result.mesh->notes.emplace_back(outlines_approximated);
      return result;
    }
  }
  for (double grid_m : {0.001, 0.005, 0.010}) {
    SnappedShape moved = snapped(shape, grid_m);
    // Nothing moved: the result would be the same.
    if (moved.notes.empty()) continue;
    Attempt result = mesh_once(moved.shape, cabin, options, false);
    if (!result.mesh) continue;
    result.mesh->notes = std::move(moved.notes);
    if (patches) result.mesh->notes.emplace_back(outlines_approximated);
    return result;
  }
  return first;
}

/// The first block with which meshing fails, by bisection; "" where it fails without any block or the time is
/// over.
std::string failing_block(const Cabin& cabin, const MeshOptions& options) {
  using Clock = std::chrono::steady_clock;
  const auto start = Clock::now();
  CabinShape shape = cabin.shape();
  std::erase_if(shape.blocks, [](const Block& block) { return block.partition >= 0; });
  auto succeeds = [&](std::size_t blocks) {
    CabinShape part = shape;
    part.blocks.resize(blocks);
    return mesh_with_fallbacks(part, cabin, options).mesh.has_value();
  };
  if (shape.blocks.empty() || !succeeds(0)) return "";
  std::size_t good = 0, bad = shape.blocks.size();
  while (bad - good > 1) {
    if (std::chrono::duration<double>(Clock::now() - start).count() > options.time_limit_s) return "";
    const std::size_t middle = (good + bad) / 2;
    (succeeds(middle) ? good : bad) = middle;
  }
  return shape.blocks[good].name;
}

}  // namespace

Mesh mesh_cabin(const Cabin& cabin, const MeshOptions& options) {
  Attempt result = mesh_with_fallbacks(cabin.shape(), cabin, options);
  if (result.mesh) return std::move(*result.mesh);
  const std::string block = failing_block(cabin, options);
  std::string words = fmt::format("the cabin cannot be meshed: {}", result.reason);
  if (!block.empty())
    words += fmt::format(
        ". Block '{}' is the cause: move its faces at least 10 mm away from those of other blocks, or make "
        "them coincide exactly",
        block);
  throw MeshFailure(words, block);
}

}  // namespace cabinfield
