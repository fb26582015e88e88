// The scenes of a study's variants, and of the points that it paints.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "input/scene_reader.h"
#include "scene/scene.h"
#include "study/study.h"

namespace cabinfield {

/// Something to be judged: a scene, or why there is none.
struct VariantScene {
  std::shared_ptr<const Scene> scene;
  std::vector<Fault> faults;
};

/// Builds them one after another; for one thread.
class VariantScenes {
 public:
  /// The study must outlive it.
  explicit VariantScenes(const Study& study);

  VariantScene variant(std::uint64_t number);
  /// The scene as drawn, with the driver at a point of the painted surface.
  VariantScene placement_map(std::size_t point);
  /// The scene as drawn.
  VariantScene as_drawn();
  /// The scene as drawn but for one choice on one axis.
  VariantScene choice(std::size_t axis, std::size_t choice);

 private:
  VariantScene built(const Node& document, const Faults& faults);

  const Study& study_;
  SceneReader reader_;
};

/// The variants in an order in which those of one cabin follow each other: axes that change the cabin run
/// slowest. Holds no list of a grid.
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
