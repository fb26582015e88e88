#include "fitting/moved_text.h"

#include <fmt/format.h>

#include <array>
#include <cmath>
#include <map>
#include <optional>
#include <utility>
#include <vector>

#include "input/keys_values.h"

namespace cabinfield {
namespace {

constexpr double least_move_m = 0.0005;

class Mover {
 public:
  Mover(const CabinWarp& warp, const MoveOptions& options)
      : warp_(warp), unit_m_(options.length_unit_m), options_(options) {}

  void scene(const Node& root) {
    find_front_head(root.find("seats"));
    if (const Node* found = root.find("cabin")) cabin(*found);
    boxes(root);
    if (const Node* found = root.find("states"))
      for (const Entry& state : found->entries())
        if (const Node* blocks = state.value.find("add_blocks"))
          for (const Node& each : blocks->items()) block(each);
    if (const Node* found = root.find("seats"))
      for (const Entry& seat : found->entries())
        for (const char* key : {"head", "reference"})
          point(seat.value.find(key), options_.wheel_right && seat.key == "driver");
    if (const Node* found = root.find("marks"))
      for (const Entry& mark : found->entries()) point(&mark.value);
    if (const Node* found = root.find("tape"))
      for (const Node& tape : found->items())
        for (const char* key : {"from", "to"}) point(tape.find(key));
    if (const Node* found = root.find("drivers"))
      for (const Entry& entry : found->entries()) driver(entry.value);
    if (const Node* found = root.find("load_space")) load_space(*found);
    feet_of(root.find("amplifiers"));
    if (const Node* found = root.find("processor")) point(found->find("at"));
    if (const Node* found = root.find("supply")) feet_of(found->find("batteries"));
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

  void range(const Node* node, void (Mover::*axis)(const Node*)) {
    (this->*axis)(item(node, 0));
    (this->*axis)(item(node, 1));
  }
  double middle(const Node* range) const {
    return 0.5 * (value(item(range, 0)).value_or(0) + value(item(range, 1)).value_or(0));
  }

  void cabin(const Node& node) {
    if (const Node* list = node.find("profile"))
      for (const Node& corner : list->items()) {
        x(corner.find("x"));
        z(corner.find("z"));
      }
    if (const Node* list = node.find("sides"))
      for (const Node& corner : list->items()) {
        if (const auto at_z = value(corner.find("z"))) y(corner.find("y"), *at_z);
        z(corner.find("z"));
      }
    if (const Node* list = node.find("patches"))
      for (const Node& patch : list->items()) {
        range(patch.find("x"), &Mover::x);
        if (const Node* across = patch.find("y"))
          for (std::size_t i : {0U, 1U}) y(item(across, i), middle(patch.find("z")));
        range(patch.find("z"), &Mover::z);
      }
    if (const Node* list = node.find("blocks"))
      for (const Node& each : list->items()) block(each);
    if (const Node* list = node.find("partitions"))
      for (const Node& each : list->items()) partition(each);
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

  void block(const Node& node) {
    if (const Node* corners = node.find("profile")) {
      const bool seat = of_front_seat(node);
      const double seat_move_m = seat ? warp_.x(front_head_->x()) - front_head_->x() : 0;
      double sum = 0;
      for (const Node& corner : corners->items()) {
        sum += value(coordinate(corner, 1, "z")).value_or(0);
        const Node* along = coordinate(corner, 0, "x");
        if (!seat)
          x(along);
        else if (const auto old_m = value(along))
          replace(along, *old_m + seat_move_m);
        z(coordinate(corner, 1, "z"));
      }
      const double at_z = sum / static_cast<double>(std::max<std::size_t>(1, corners->items().size()));
      for (std::size_t i : {0U, 1U}) y(item(node.find("y"), i), at_z);
    }
    if (const Node* corners = node.find("plan")) {
      const double at_z = middle(node.find("z"));
      for (const Node& corner : corners->items()) {
        x(coordinate(corner, 0, "x"));
        y(coordinate(corner, 1, "y"), at_z);
      }
      range(node.find("z"), &Mover::z);
    }
  }

  void partition(const Node& node) {
    const Node* line = node.find("line");
    double sum = 0;
    for (std::size_t i : {0U, 1U}) {
      const Node* end = item(line, i);
      sum += value(item(end, 1)).value_or(0);
      x(item(end, 0));
      z(item(end, 1));
    }
    for (std::size_t i : {0U, 1U}) y(item(node.find("y"), i), 0.5 * sum);
    if (const Node* openings = node.find("openings"))
      for (const Node& opening : openings->items()) point(opening.find("centre"));
  }

  /// A box keeps its size: what sits on it moves as its foot does.
  void boxes(const Node& root) {
    const Node* found = root.find("boxes");
    if (found == nullptr) return;
    for (const Entry& box : found->entries()) {
      const Node* outside = box.value.find("outside");
      const Node* at = outside != nullptr ? outside->find("at") : nullptr;
      const auto at_x = value(item(at, 0)), at_y = value(item(at, 1)), at_z = value(item(at, 2));
      if (!at_x || !at_y || !at_z) continue;
      const Vector3 foot(*at_x, *at_y, *at_z);
      box_moves_[box.key] = warp_(foot) - foot;
      point(at);
    }
  }

  /// What keeps its size and stands on the middle of its floor.
  void feet_of(const Node* things) {
    if (things == nullptr) return;
    for (const Entry& thing : things->entries()) point(thing.value.find("at"));
  }

  /// Rooms are a part of the car and stretch with it; what stands in them does not.
  void load_space(const Node& node) {
    if (const Node* rooms = node.find("rooms"))
      for (const Entry& entry : rooms->entries()) room(entry.value);
    feet_of(node.find("keep_free"));
    feet_of(node.find("things"));
    if (const Node* axles = node.find("axles"))
      for (const char* key : {"front", "rear"}) x(axles->find(key));
  }

  void room(const Node& node) {
    const Node *at = node.find("at"), *size = node.find("size");
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

  void driver(const Node& node) {
    const Node* position = node.find("position");
    const Node* surface = node.find("surface");
    const std::string& name = surface != nullptr ? surface->text() : no_name_;
    const auto moved = box_moves_.find(name.substr(0, name.find('.')));
    if (moved == box_moves_.end()) {
      point(position);
    } else {
      for (int i : {0, 1, 2})
        if (const auto old_m = value(item(position, static_cast<std::size_t>(i))))
          replace(item(position, static_cast<std::size_t>(i)), *old_m + moved->second[i]);
    }
    if (const Node* aim = node.find("aim")) point(aim->find("point"));
    if (const Node* loading = node.find("loading")) point(loading->find("rear_into"));
  }

  const CabinWarp& warp_;
  double unit_m_;
  MoveOptions options_;
  std::string no_name_;
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
                       const MoveOptions& options) {
  Mover mover(warp, options);
  mover.scene(root);
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
