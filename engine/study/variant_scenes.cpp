#include "study/variant_scenes.h"

#include <algorithm>
#include <numeric>

namespace cabinfield {

VariantScenes::VariantScenes(const Study& study)
    : study_(study), reader_(study.scene_path, study.model_folders) {}

VariantScene VariantScenes::built(const Node& document, const Faults& faults) {
  VariantScene result;
  Faults found;
  std::optional<Scene> scene = reader_.read(document, found);
  result.faults = faults.faults();
  for (const Fault& fault : found.faults()) result.faults.push_back(fault);
  const Scene& present = *study_.present.scene;
  if (scene && result.faults.empty()) {
    // Variants are compared at the same seats and frequencies.
    const auto name = [](const Seat& seat) { return seat.name; };
    if (!std::ranges::equal(scene->seats, present.seats, {}, name, name))
      result.faults.push_back({study_.scene.location(), "a variant must keep the seats of the scene"});
    if (scene->computation.frequency_hz != present.computation.frequency_hz)
      result.faults.push_back({study_.scene.location(),
                               "a variant must keep the frequencies under compute as the scene has them"});
    if (scene->presets.size() <= static_cast<std::size_t>(study_.preset))
      result.faults.push_back({study_.scene.location(), "a variant must keep the presets of the scene"});
  }
  if (scene && result.faults.empty()) result.scene = std::make_shared<const Scene>(std::move(*scene));
  return result;
}

VariantScene VariantScenes::variant(std::uint64_t number) {
  Faults faults;
  const Node document = study_.document(number, faults);
  return built(document, faults);
}

VariantScene VariantScenes::placement_map(std::size_t point) {
  Faults faults;
  const Node document = variant_document(study_.scene, edits_to(study_.placement_map->points, point), faults);
  return built(document, faults);
}

VariantScene VariantScenes::as_drawn() { return built(study_.scene, Faults()); }

VariantScene VariantScenes::choice(std::size_t axis, std::size_t choice) {
  Faults faults;
  const Node document = variant_document(study_.scene, study_.axes[axis].edits(choice), faults);
  return built(document, faults);
}

VariantOrder::VariantOrder(const Study& study) : study_(study), count_(study.variant_count()) {
  if (study.listed) {
    sorted_.resize(count_);
    std::iota(sorted_.begin(), sorted_.end(), 0);
    std::stable_sort(sorted_.begin(), sorted_.end(),
                     [&](std::uint64_t a, std::uint64_t b) { return study.cabin_of(a) < study.cabin_of(b); });
    return;
  }
  for (const bool cabin : {true, false})
    for (std::size_t a = 0; a < study.axes.size(); ++a)
      if (study.axes[a].changes_the_cabin() == cabin) axes_.push_back(a);
}

std::uint64_t VariantOrder::variant_at(std::uint64_t position) const {
  if (study_.listed) return sorted_[position];
  std::vector<std::size_t> chosen(study_.axes.size());
  for (std::size_t i = axes_.size(); i-- > 0;) {
    const std::size_t count = study_.axes[axes_[i]].count();
    chosen[axes_[i]] = static_cast<std::size_t>(position % count);
    position /= count;
  }
  std::uint64_t variant = 0;
  for (std::size_t a = 0; a < chosen.size(); ++a) variant = variant * study_.axes[a].count() + chosen[a];
  return variant;
}

}  // namespace cabinfield
