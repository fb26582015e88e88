#include "study/study.h"

#include <fmt/format.h>

#include <algorithm>
#include <limits>
#include <set>

#include "base/constants.h"
#include "scene/build_steps.h"

namespace cabinfield {
namespace {

/// The product, limited to the largest number of the type.
std::uint64_t product(std::uint64_t a, std::uint64_t b) {
  constexpr std::uint64_t most = std::numeric_limits<std::uint64_t>::max();
  return b != 0 && a > most / b ? most : a * b;
}

}  // namespace

Node variant_document(const Node& scene, const std::vector<Edit>& edits, Faults& faults) {
  const Node changed = edited(scene, edits, faults);
  const Node* tapes = changed.find("tape");
  if (tapes == nullptr || edits.empty()) return changed;
  std::set<std::string> moved;
  for (const Edit& edit : edits) {
    const std::size_t name = edit.path.find('.');
    const std::size_t end = name == std::string::npos ? name : edit.path.find('.', name + 1);
    if (name != std::string::npos) moved.insert(edit.path.substr(0, end));
  }
  // Their mirror images move too, and mirror images of those.
  for (const char* section : {"drivers", "seats"}) {
    const Node* entries = changed.find(section);
    for (bool found = entries != nullptr; found;) {
      found = false;
      for (const Entry& entry : entries->entries())
        if (const Node* original = entry.value.find("mirror_of");
            original != nullptr && moved.contains(std::string(section) + "." + original->text()))
          found = moved.insert(std::string(section) + "." + entry.key).second || found;
    }
  }
  std::vector<Node> remaining;
  for (const Node& tape : tapes->items()) {
    const bool stale = std::any_of(tape.entries().begin(), tape.entries().end(),
                                   [&](const Entry& end) { return moved.contains(end.value.text()); });
    if (!stale) remaining.push_back(tape);
  }
  if (remaining.size() == tapes->items().size()) return changed;
  std::vector<Entry> entries = changed.entries();
  for (Entry& entry : entries)
    if (entry.key == "tape") entry.value = list_node(std::move(remaining), entry.value.location());
  return mapping_node(std::move(entries), changed.location());
}

std::string point_label(const Vector3& point) {
  // No negative zero.
  const auto part = [](double value) { return std::abs(value) < 0.0005 ? 0.0 : value; };
  return fmt::format("({:.3f}, {:.3f}, {:.3f})", part(point.x()), part(point.y()), part(point.z()));
}

std::vector<Edit> edits_to(const DriverPoints& points, std::size_t point) {
  std::vector<Node> position;
  for (const double coordinate : points.point[point])
    position.push_back(number_node(coordinate / points.length_unit_m, points.location));
  const std::string driver = "drivers." + points.driver + ".";
  std::vector<Edit> edits = points.with;
  edits.push_back({Edit::Action::set, driver + "position", list_node(std::move(position), points.location),
                   points.location});
  if (!points.surface.empty())
    edits.push_back({Edit::Action::set, driver + "surface", scalar_node(points.surface, points.location),
                     points.location});
  return edits;
}

std::string position_problem(const Scene& scene, const Vector3& point, const std::string& surface) {
  const Cabin* cabin = scene.cabin.get();
  if (cabin == nullptr) return "";
  if (surface.empty()) return cabin->in_air(point) ? "" : build::not_in_air(*cabin, point);
  if (cabin->surface_index(surface) < 0) return "";
  const Landing landing = cabin->land(point, surface);
  if (landing.distance_m > snap_limit_m)
    return fmt::format("is {:.0f} mm from surface '{}', {:.0f} mm at most", landing.distance_m * 1000,
                       surface, snap_limit_m * 1000);
  if (cabin->exposed(landing.face, landing.point)) return "";
  return fmt::format("is where surface '{}' is covered, cut away or ends", surface);
}

std::string StudyAxis::label(std::size_t choice) const {
  return points ? point_label(points->point[choice]) : choices[choice].label;
}

std::vector<Edit> StudyAxis::edits(std::size_t choice) const {
  return points ? edits_to(*points, choice) : choices[choice].edits;
}

bool StudyAxis::changes_the_cabin() const {
  const auto any = [](const std::vector<Edit>& edits) {
    return std::any_of(edits.begin(), edits.end(), cabinfield::changes_the_cabin);
  };
  if (points) return any(points->with);
  return std::any_of(choices.begin(), choices.end(), [&](const Choice& choice) { return any(choice.edits); });
}

std::uint64_t Study::variant_count() const {
  if (listed) return combinations.size();
  std::uint64_t count = 1;
  for (const StudyAxis& axis : axes) count = product(count, axis.count());
  return count;
}

std::vector<std::size_t> Study::choices(std::uint64_t variant) const {
  if (listed) return combinations[variant];
  std::vector<std::size_t> chosen(axes.size());
  for (std::size_t a = axes.size(); a-- > 0;) {
    chosen[a] = static_cast<std::size_t>(variant % axes[a].count());
    variant /= axes[a].count();
  }
  return chosen;
}

std::string Study::label(std::uint64_t variant) const {
  std::string words;
  const std::vector<std::size_t> chosen = choices(variant);
  for (std::size_t a = 0; a < axes.size(); ++a) words += (a > 0 ? ", " : "") + axes[a].label(chosen[a]);
  return words.empty() ? "as drawn" : words;
}

std::vector<Edit> Study::edits(std::uint64_t variant) const {
  std::vector<Edit> all;
  const std::vector<std::size_t> chosen = choices(variant);
  for (std::size_t a = 0; a < axes.size(); ++a)
    for (Edit& edit : axes[a].edits(chosen[a])) all.push_back(std::move(edit));
  return all;
}

Node Study::document(std::uint64_t variant, Faults& faults) const {
  return variant_document(scene, edits(variant), faults);
}

SceneFile Study::scene_file(std::uint64_t variant) const {
  Faults faults;
  const Node root = document(variant, faults);
  SceneFile file = read_scene_node(root, scene_path, model_folders);
  for (const Fault& fault : faults.faults()) file.faults.add(fault);
  if (faults.any()) file.scene.reset();
  return file;
}

std::optional<std::uint64_t> Study::present_variant() const {
  std::vector<std::size_t> chosen;
  for (const StudyAxis& axis : axes) {
    if (!axis.present) return std::nullopt;
    chosen.push_back(*axis.present);
  }
  if (listed) {
    const auto found = std::find(combinations.begin(), combinations.end(), chosen);
    if (found == combinations.end()) return std::nullopt;
    return static_cast<std::uint64_t>(found - combinations.begin());
  }
  std::uint64_t variant = 0;
  for (std::size_t a = 0; a < axes.size(); ++a) variant = variant * axes[a].count() + chosen[a];
  return variant;
}

std::uint64_t Study::cabin_of(std::uint64_t variant) const {
  std::uint64_t number = 0;
  const std::vector<std::size_t> chosen = choices(variant);
  for (std::size_t a = 0; a < axes.size(); ++a)
    if (axes[a].changes_the_cabin()) number = number * axes[a].count() + chosen[a];
  return number;
}

}  // namespace cabinfield
