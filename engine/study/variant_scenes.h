// The scenes of a study's variants and of the points of its placement map.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "input/scene_reader.h"
#include "scene/scene.h"
#include "study/study.h"

namespace cabinfield {

/// A scene, or the faults that make it impossible.
struct VariantScene {
  std::shared_ptr<const Scene> scene;
  std::vector<Fault> faults;
};

/// Builds one scene at a time; for one thread.
class VariantScenes {
 public:
  /// The study must outlive it.
  explicit VariantScenes(const Study& study);

  VariantScene variant(std::uint64_t number);
  /// The scene as drawn, with the driver at a point of the placement map.
  VariantScene placement_map(std::size_t point);
  /// The scene as drawn.
  VariantScene as_drawn();
  /// The scene as drawn, with one choice on one axis.
  VariantScene choice(std::size_t axis, std::size_t choice);

 private:
  VariantScene built(const Node& document, const Faults& faults);

  const Study& study_;
  SceneReader reader_;
};

/// Order of the variants that keeps those of one cabin together: axes that change the cabin run slowest. A
/// grid is enumerated lazily, never stored.
class VariantOrder {
 public:
  explicit VariantOrder(const Study& study);
  std::uint64_t count() const { return count_; }
  std::uint64_t variant_at(std::uint64_t position) const;

 private:
  const Study& study_;
  std::uint64_t count_;
  std::vector<std::size_t> axes_;      // of a grid: slowest first
  std::vector<std::uint64_t> sorted_;  // of listed combinations
};

}  // namespace cabinfield
