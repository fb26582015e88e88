#include "fitting/moved_text.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <optional>
#include <utility>
#include <vector>

#include "input/geometry_nodes.h"
#include "input/keys_values.h"
#include "input/scene_keys.h"

namespace cabinfield {
namespace {

constexpr double least_move_m = 0.0005;

class Mover {
 public:
  Mover(const CabinWarp& warp, const MoveOptions& options)
      : warp_(warp), unit_m_(options.length_unit_m), options_(options) {}

  void document(const Node& root, const KeyTreePointer& tree) {
    find_front_head(root.find("seats"));
    find_box_moves(root.find("boxes"));
    visit_geometry(root, tree, [&](const GeometryNode& found) { move(found); });
  }

  /// Line and column of each number to replace, its length in characters and what to write.
  const std::map<std::pair<int, int>, std::pair<std::size_t, std::string>>& edits() const { return edits_; }

 private:
  std::optional<double> value(const Node* node) const {
    if (node == nullptr || node->kind() != NodeKind::scalar || node->quoted()) return std::nullopt;
    const std::optional<double> number = parse_number(node->text());
    return number ? std::optional(*number * unit_m_) : std::nullopt;
  }

  void replace(const Node* node, double new_m) {
    const std::optional<double> old_m = value(node);
    if (!old_m || std::abs(new_m - *old_m) < least_move_m) return;
    const int decimals = unit_m_ > 0.5 ? 3 : unit_m_ > 0.02 ? 2 : unit_m_ > 0.005 ? 1 : 0;
    std::string text = fmt::format("{:.{}f}", new_m / unit_m_, decimals);
    // As people write metres: two decimals at least, no zeros beyond.
    if (decimals == 3 && text.ends_with('0')) text.pop_back();
    if (text.find_first_not_of("-0.") == std::string::npos && text.starts_with('-')) text.erase(0, 1);
    edits_.try_emplace({node->location().line, node->location().column}, node->text().size(),
                       std::move(text));
  }

  void x(const Node* node) {
    if (const auto old_m = value(node)) replace(node, warp_.x(*old_m));
  }
  void z(const Node* node) {
    if (const auto old_m = value(node)) replace(node, warp_.z(*old_m));
  }
  void y(const Node* node, double at_z, bool other_side = false) {
    if (const auto old_m = value(node)) replace(node, (other_side ? -1 : 1) * warp_.y(*old_m, at_z));
  }
  static const Node* item(const Node* list, std::size_t index) {
    return list != nullptr && index < list->items().size() ? &list->items()[index] : nullptr;
  }

  void point(const Node* node, bool other_side = false) {
    const auto at_z = value(item(node, 2));
    if (!at_z) return;
    x(item(node, 0));
    y(item(node, 1), *at_z, other_side);
    z(item(node, 2));
  }

  void move(const GeometryNode& found) {
    switch (found.role) {
      case GeometryRole::point:
        return moved_point(found);
      case GeometryRole::remote_point:
        return point(&found.value);
      case GeometryRole::mounting_point:
        return mounted(found);
      case GeometryRole::x:
      case GeometryRole::y:
      case GeometryRole::z:
      case GeometryRole::half_width:
      case GeometryRole::side_view_point:
      case GeometryRole::plan_point: {
        const std::vector<const Node*> numbers = found.numbers();
        for (std::size_t i = 0; i < numbers.size(); ++i)
          along_axis(found, axis_of(found.role, i), numbers[i]);
        return;
      }
      case GeometryRole::extent:  // with the point beside it
      case GeometryRole::size:
      case GeometryRole::direction:
      case GeometryRole::sided_name:
      case GeometryRole::undeclared:
      case GeometryRole::none:
        return;
    }
  }

  void along_axis(const GeometryNode& found, int axis, const Node* number) {
    if (axis == 0 && of_front_seat(*body_of(found).node)) {
      const double seat_move_m = warp_.x(front_head_->x()) - front_head_->x();
      if (const auto old_m = value(number)) replace(number, *old_m + seat_move_m);
    } else if (axis == 0) {
      x(number);
    } else if (axis == 1) {
      y(number, height_of(found));
    } else if (axis == 2) {
      z(number);
    }
  }

  /// A corner is a mapping of single coordinates across the car: the part that it belongs to holds it.
  static bool is_corner(const KeyTree& tree) {
    return std::any_of(tree.keys.begin(), tree.keys.end(), [](const auto& key) {
      return key.second && key.second->form == KeyTree::Form::value && key.second->role == GeometryRole::y;
    });
  }

  /// The mapping of the part that a value belongs to: a block, a partition, a corner of the side view.
  static const GeometryNode::Owner& body_of(const GeometryNode& found) {
    const std::size_t count = found.owners.size();
    return count > 1 && is_corner(*found.owners[count - 1].tree) ? found.owners[count - 2]
                                                                 : found.owners[count - 1];
  }

  /// The height at which a part is stretched across: the mean of its heights, 0 where it has none.
  double height_of(const GeometryNode& found) const {
    const GeometryNode::Owner& body = body_of(found);
    double sum = 0;
    std::size_t count = 0;
    const auto add = [&](const GeometryNode& inner) {
      const std::vector<const Node*> numbers = inner.numbers();
      for (std::size_t i = 0; i < numbers.size(); ++i)
        if (inner.role != GeometryRole::point && axis_of(inner.role, i) == 2) {
          sum += value(numbers[i]).value_or(0);
          ++count;
        }
    };
    visit_geometry(*body.node, KeyTreePointer(KeyTreePointer(), body.tree), add);
    return count == 0 ? 0 : sum / static_cast<double>(count);
  }

  /// A point with an extent beside it is a part of the car and stretches with it; any other keeps its size.
  void moved_point(const GeometryNode& found) {
    if (!found.owners.empty())
      for (const auto& [key, tree] : found.owner().tree->keys)
        if (const Node* size = found.owner().node->find(key);
            tree && tree->role == GeometryRole::extent && size)
          return stretched(&found.value, size);
    const bool seat_of_driver =
        found.path.size() > 1 && found.path[0] == "seats" && found.path[1] == "driver";
    point(&found.value, options_.wheel_right && seat_of_driver);
  }

  /// One of a corner's two coordinates, written as a list or as a mapping.
  static const Node* coordinate(const Node& corner, std::size_t index, const char* key) {
    return corner.kind() == NodeKind::sequence ? item(&corner, index) : corner.find(key);
  }

  void find_front_head(const Node* seats) {
    if (seats == nullptr) return;
    for (const Entry& seat : seats->entries()) {
      const Node* head = seat.value.find("head");
      const auto at_x = value(item(head, 0)), at_y = value(item(head, 1)), at_z = value(item(head, 2));
      if (!at_x || !at_y || !at_z) continue;
      front_head_ = Vector3(*at_x, std::abs(*at_y), *at_z);
      return;
    }
  }

  /// Cushion, back and headrest of a front seat: below and about the head, across it, and no longer than a
  /// seat. A seat keeps its length and moves as the head does.
  bool of_front_seat(const Node& node) const {
    constexpr double ahead_m = 0.65, behind_m = 0.45, above_m = 0.15;
    const Node* corners = node.find("profile");
    const auto one = value(item(node.find("y"), 0)), other = value(item(node.find("y"), 1));
    if (!front_head_ || corners == nullptr || !one || !other) return false;
    const double inner = std::min(std::abs(*one), std::abs(*other)),
                 outer = std::max(std::abs(*one), std::abs(*other));
    if (*one * *other < 0 || front_head_->y() < inner || front_head_->y() > outer) return false;
    for (const Node& corner : corners->items()) {
      const auto at_x = value(coordinate(corner, 0, "x")), at_z = value(coordinate(corner, 1, "z"));
      if (!at_x || !at_z || *at_x < front_head_->x() - ahead_m || *at_x > front_head_->x() + behind_m ||
          *at_z > front_head_->z() + above_m)
        return false;
    }
    return true;
  }

  /// A box keeps its size: what is mounted on it moves as its foot does.
  void find_box_moves(const Node* boxes) {
    if (boxes == nullptr) return;
    for (const Entry& box : boxes->entries()) {
      const Node* outside = box.value.find("outside");
      const Node* at = outside != nullptr ? outside->find("at") : nullptr;
      const auto at_x = value(item(at, 0)), at_y = value(item(at, 1)), at_z = value(item(at, 2));
      if (!at_x || !at_y || !at_z) continue;
      const Vector3 foot(*at_x, *at_y, *at_z);
      box_moves_[box.key] = warp_(foot) - foot;
    }
  }

  /// The point `at` is the middle of the floor of that size.
  void stretched(const Node* at, const Node* size) {
    std::array<double, 3> foot{}, extent{};
    for (std::size_t i = 0; i < 3; ++i) {
      const auto at_i = value(item(at, i)), size_i = value(item(size, i));
      if (!at_i || !size_i) return point(at);
      foot[i] = *at_i;
      extent[i] = *size_i;
    }
    const auto stretch = [&](std::size_t i, double low_m, double high_m) {
      replace(item(at, i), 0.5 * (low_m + high_m));
      replace(item(size, i), high_m - low_m);
    };
    stretch(0, warp_.x(foot[0] - 0.5 * extent[0]), warp_.x(foot[0] + 0.5 * extent[0]));
    stretch(1, warp_.y(foot[1] - 0.5 * extent[1], foot[2]), warp_.y(foot[1] + 0.5 * extent[1], foot[2]));
    replace(item(at, 2), warp_.z(foot[2]));
    replace(item(size, 2), warp_.z(foot[2] + extent[2]) - warp_.z(foot[2]));
  }

  void mounted(const GeometryNode& found) {
    const Node* surface = found.owners.empty() ? nullptr : found.owner().node->find("surface");
    const std::string name = surface != nullptr ? surface->text() : "";
    const auto moved = box_moves_.find(name.substr(0, name.find('.')));
    if (moved == box_moves_.end()) return point(&found.value);
    for (int i : {0, 1, 2})
      if (const auto old_m = value(item(&found.value, static_cast<std::size_t>(i))))
        replace(item(&found.value, static_cast<std::size_t>(i)), *old_m + moved->second[i]);
  }

  const CabinWarp& warp_;
  double unit_m_;
  MoveOptions options_;
  std::optional<Vector3> front_head_;  // its distance from the centre line as y
  std::map<std::string, Vector3> box_moves_;
  std::map<std::pair<int, int>, std::pair<std::size_t, std::string>> edits_;
};

/// Where the character at a column (from 1) of a UTF-8 line begins.
std::size_t byte_of(const std::string& line, int column) {
  int seen = 0;
  for (std::size_t i = 0; i < line.size(); ++i) {
    if ((static_cast<unsigned char>(line[i]) & 0xC0) == 0x80) continue;
    if (++seen == column) return i;
  }
  return line.size();
}

/// A comment set off by spaces keeps its column where the words before it grew or shrank after `at`.
void keep_comment_in_place(std::string& line, std::size_t at, long grown) {
  const std::size_t mark = line.find("  #", at);
  if (mark == std::string::npos) return;
  const std::size_t first = line.find_last_not_of(' ', mark) + 1, hash = line.find('#', mark);
  const long spaces = static_cast<long>(hash - first) - grown;
  line.replace(first, hash - first, static_cast<std::size_t>(std::max(spaces, 2L)), ' ');
}

}  // namespace

std::string moved_text(const std::string& text, const Node& root, const CabinWarp& warp,
                       const MoveOptions& options, const KeyTreePointer& tree) {
  Mover mover(warp, options);
  mover.document(root, tree ? tree : scene_keys().tree());
  std::vector<std::string> lines;
  for (std::size_t start = 0; start <= text.size();) {
    const std::size_t end = std::min(text.find('\n', start), text.size());
    lines.push_back(text.substr(start, end - start));
    start = end + 1;
  }
  // From the end of each line, so that columns before stay true.
  for (auto edit = mover.edits().rbegin(); edit != mover.edits().rend(); ++edit) {
    const auto line = static_cast<std::size_t>(edit->first.first - 1);
    if (line >= lines.size()) continue;
    std::string& words = lines[line];
    const std::size_t at = byte_of(words, edit->first.second);
    words.replace(at, edit->second.first, edit->second.second);
    keep_comment_in_place(
        words, at, static_cast<long>(edit->second.second.size()) - static_cast<long>(edit->second.first));
  }
  std::string moved;
  for (std::size_t i = 0; i < lines.size(); ++i) moved += lines[i] + (i + 1 < lines.size() ? "\n" : "");
  return moved;
}

}  // namespace cabinfield
