#include "fitting/yielding_guesses.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <optional>
#include <set>

#include "base/vector.h"
#include "input/keys_values.h"
#include "input/scene_file.h"

namespace cabinfield {
namespace {

constexpr double least_move_m = 0.0005;
/// A move that a person should hear of, m: twice what two hand measurements differ by.
constexpr double told_move_m = 0.020;
/// A leak shrinks by these steps, and not below this part of the guess.
constexpr double leak_step = 0.9, least_leak_part = 0.2;
/// Each round mends one fault; a scene has fewer guesses than this.
constexpr int most_rounds = 100;

std::optional<double> number_of(const Node* node) {
  if (node == nullptr || node->kind() != NodeKind::scalar) return std::nullopt;
  return parse_number(node->text());
}

const Node* item(const Node* list, std::size_t index) {
  return list != nullptr && index < list->items().size() ? &list->items()[index] : nullptr;
}

std::optional<Vector3> point_of(const Node* node) {
  Vector3 point;
  for (std::size_t axis = 0; axis < 3; ++axis) {
    const auto value = number_of(item(node, axis));
    if (!value) return std::nullopt;
    point[static_cast<Eigen::Index>(axis)] = *value;
  }
  return point;
}

/// A scene's text as lines that are replaced in place: line numbers stay what they were when it was parsed.
class Lines {
 public:
  explicit Lines(const std::string& text) {
    for (std::size_t start = 0; start < text.size();) {
      const std::size_t end = std::min(text.find('\n', start), text.size());
      lines_.push_back(text.substr(start, end - start));
      start = end + 1;
    }
  }
  int count() const { return static_cast<int>(lines_.size()); }
  std::string& at(int line) { return lines_.at(static_cast<std::size_t>(line - 1)); }

  /// Columns count characters; positions stand before any text that is more than one byte a character.
  void replace(const Node& scalar, const std::string& words) {
    at(scalar.location().line)
        .replace(static_cast<std::size_t>(scalar.location().column - 1), scalar.text().size(), words);
  }
  void replace_point(const Node& node, const Vector3& point) {
    for (std::size_t axis : {2U, 1U, 0U}) {  // the last first: columns before it stay right
      const double to = point[static_cast<Eigen::Index>(axis)];
      const Node& number = node.items()[axis];
      if (std::abs(number_of(&number).value_or(0) - to) < least_move_m) continue;
      replace(number, fmt::format("{:.3f}", to + 0.0));
    }
  }
  void remark(int line, const std::string& words) {
    if (at(line).find(words) != std::string::npos) return;
    at(line) += (at(line).find(" # ") == std::string::npos ? "   # " : "; ") + words;
  }
  /// Makes comments of the lines; a line that is one already stays.
  void leave_out(int from, int before) {
    for (int line = from; line < before; ++line) {
      const std::size_t first = at(line).find_first_not_of(' ');
      if (first == std::string::npos || at(line)[first] == '#') continue;
      at(line) = "# " + at(line);
    }
  }
  std::string text() const {
    std::string result;
    for (const std::string& line : lines_) result += line + "\n";
    return result;
  }

 private:
  std::vector<std::string> lines_;
};

/// Something that the shape guessed, with its lines.
struct Guess {
  std::string words;  ///< "leak window_left"
  std::string name;
  Node node;
  int from = 0, before = 0;  ///< lines
};

std::string text_at(const Node& node, const char* key) {
  const Node* found = node.find(key);
  return found == nullptr ? "" : found->text();
}

std::string leak_name(const Node& leak) {
  const std::string name = text_at(leak, "name");
  return name.empty() ? text_at(leak, "surface") : name;
}

class Yielding {
 public:
  Yielding(std::string text, const std::vector<std::string>& folders)
      : text_(std::move(text)), folders_(folders) {}

  YieldedScene run() {
    YieldedScene result;
    parse();
    openings_into_their_planes();
    for (int round = 0; round < most_rounds; ++round) {
      result.faults = faults_of(text_);
      if (!result.faults.any()) break;
      parse();
      if (!mend(result.faults)) break;
    }
    result.text = text_;
    result.notes = notes_;
    return result;
  }

 private:
  Faults faults_of(const std::string& text) const {
    return read_scene_text(text, "started scene", folders_).faults;
  }

  void parse() {
    Faults ignored;
    root_ = parse_document(text_, "started scene", ignored);
  }

  void note(const std::string& words) {
    if (std::find(notes_.begin(), notes_.end(), words) == notes_.end()) notes_.push_back(words);
  }

  void openings_into_their_planes() {
    const Node* cabin = root_.find("cabin");
    const Node* sheets = cabin == nullptr ? nullptr : cabin->find("partitions");
    if (sheets == nullptr) return;
    Lines lines(text_);
    for (const Node& sheet : sheets->items()) {
      const Node *line = sheet.find("line"), *openings = sheet.find("openings");
      std::array<Vector2, 2> end;
      bool known = line != nullptr && openings != nullptr;
      for (std::size_t i = 0; known && i < 2; ++i) {
        const auto x = number_of(item(item(line, i), 0)), z = number_of(item(item(line, i), 1));
        known = x && z;
        if (known) end[i] = {*x, *z};
      }
      if (!known || (end[1] - end[0]).norm() < least_move_m) continue;
      const Vector2 way = (end[1] - end[0]).normalized();
      for (const Node& opening : openings->items()) {
        const Node* centre = opening.find("centre");
        const auto at = point_of(centre);
        if (!at) continue;
        const Vector2 foot = end[0] + (Vector2(at->x(), at->z()) - end[0]).dot(way) * way;
        const Vector3 to(foot.x(), at->y(), foot.y());
        lines.replace_point(*centre, to);
        if ((to - *at).norm() >= told_move_m)
          note(fmt::format("opening {}: moved {:.0f} mm, into its partition", text_at(opening, "name"),
                           (to - *at).norm() * 1000));
      }
    }
    text_ = lines.text();
  }

  /// Guesses of one kind, in the order of the file.
  std::vector<Guess> listed(const Node* list, const std::string& kind) const {
    std::vector<Guess> result;
    if (list == nullptr) return result;
    for (const Node& each : list->items()) {
      const std::string name = each.find("mirror_of") != nullptr ? "" : leak_name(each);
      result.push_back({kind + " " + name, name, each, each.location().line, each.location().line + 1});
    }
    return result;
  }
  std::vector<Guess> named(const char* section, const std::string& kind) const {
    std::vector<Guess> result;
    const Node* found = root_.find(section);
    if (found == nullptr) return result;
    const Lines lines(text_);
    int end = lines.count() + 1;
    for (const Entry& entry : root_.entries())
      if (entry.key_location.line > found->location().line) end = std::min(end, entry.key_location.line);
    for (const Entry& entry : found->entries()) {
      if (!result.empty()) result.back().before = entry.key_location.line;
      result.push_back({kind + " " + entry.key, entry.key, entry.value, entry.key_location.line, end});
    }
    return result;
  }

  /// The next thing in a list or section that the fault names by its lines.
  static const Guess* at_line(const std::vector<Guess>& guesses, int line) {
    for (const Guess& guess : guesses)
      if (line >= guess.from && line < guess.before) return &guess;
    return nullptr;
  }

  /// Told of a state, though what is wrong may be a part that it shares with the others.
  bool in_states(const Fault& fault) const {
    return at_line(named("states", "state"), fault.location.line) != nullptr;
  }

  bool mend(const Faults& found) {
    // Leaks, then drivers, keep more of the guess than what leaves a whole state out.
    const auto faults = found.sorted();
    const auto any = [&](auto way) {
      return std::any_of(faults.begin(), faults.end(), [&](const Fault& fault) { return way(fault); });
    };
    return any([&](const Fault& fault) { return leak_yields(fault); }) ||
           any([&](const Fault& fault) { return driver_yields(fault, faults.size()); }) ||
           any([&](const Fault& fault) { return !in_states(fault) && left_out(fault); }) ||
           any([&](const Fault& fault) { return left_out(fault); });
  }

  std::vector<std::vector<Guess>> leak_lists() const {
    std::vector<std::vector<Guess>> lists;
    if (const Node* cabin = root_.find("cabin")) lists.push_back(listed(cabin->find("leaks"), "leak"));
    if (const Node* states = root_.find("states"))
      for (const Entry& state : states->entries())
        lists.push_back(listed(state.value.find("add_leaks"), "leak"));
    return lists;
  }

  bool leak_yields(const Fault& fault) {
    for (const std::vector<Guess>& list : leak_lists()) {
      const Guess* guess = at_line(list, fault.location.line);
      if (guess == nullptr) continue;
      const std::string source = text_at(guess->node, "mirror_of");
      for (const Guess& other : list)
        if (!source.empty() && other.name == source) guess = &other;
      const Node* area = guess->node.find("area");
      if (area == nullptr) return false;
      const std::size_t space = area->text().find(' ');
      const auto now = parse_number(area->text().substr(0, space));
      if (!now || space == std::string::npos) return false;
      const double drawn = first_area_.try_emplace(guess->name, *now).first->second;
      const double smaller = std::floor(*now * leak_step);
      if (smaller < least_leak_part * drawn) return false;
      const std::string unit = area->text().substr(space);
      Lines lines(text_);
      lines.replace(*area, fmt::format("{:.0f}{}", smaller, unit));
      lines.remark(guess->from, fmt::format("the shape's {:.0f}{} is too large here", drawn, unit));
      text_ = lines.text();
      notes_.erase(
          std::remove_if(notes_.begin(), notes_.end(),
                         [&](const std::string& old) { return old.starts_with(guess->words + ":"); }),
          notes_.end());
      note(fmt::format("{}: {:.0f}{} instead of {:.0f}{}", guess->words, smaller, unit, drawn, unit));
      return true;
    }
    return false;
  }

  /// Half width of the body at a height.
  double half_width(double z) const {
    const Node* cabin = root_.find("cabin");
    const Node* sides = cabin == nullptr ? nullptr : cabin->find("sides");
    if (sides == nullptr) return 0;
    double below_z = 0, below_y = 0;
    bool first = true;
    for (const Node& corner : sides->items()) {
      const auto at_z = number_of(corner.find("z")), at_y = number_of(corner.find("y"));
      if (!at_z || !at_y) continue;
      if (z <= *at_z) return first ? *at_y : below_y + (z - below_z) / (*at_z - below_z) * (*at_y - below_y);
      below_z = *at_z;
      below_y = *at_y;
      first = false;
    }
    return below_y;
  }

  /// The driver at fault, or the one it mirrors: the one on the fault's lines, else the fault's subject (a
  /// state's fault is on the state's lines).
  std::optional<Guess> driver_of(const Fault& fault) const {
    const std::vector<Guess> drivers = named("drivers", "driver");
    const Guess* guess = at_line(drivers, fault.location.line);
    for (const Guess& other : drivers)
      if (guess == nullptr && fault.subject == FaultSubject{SubjectKind::driver, other.name}) guess = &other;
    if (guess == nullptr) return std::nullopt;
    const std::string source = text_at(guess->node, "mirror_of");
    for (const Guess& other : drivers)
      if (!source.empty() && other.name == source) return other;
    return *guess;
  }

  bool driver_yields(const Fault& fault, std::size_t faults_now) {
    const std::optional<Guess> guess = driver_of(fault);
    if (!guess || !tried_.insert(guess->name).second) return false;
    const Node* position = guess->node.find("position");
    const auto at = point_of(position);
    if (!at) return false;
    const Node* box = nullptr;
    if (const Node* loading = guess->node.find("loading"))
      if (const Node* boxes = root_.find("boxes"))
        if (const Node* found = boxes->find(text_at(*loading, "box")))
          if (const Node* outside = found->find("outside")) box = outside->find("at");
    const auto box_at = point_of(box);
    constexpr double on_wall_m = 0.03;
    const double from_wall_m = half_width(at->z()) - std::abs(at->y());
    struct Move {
      double x, z;
    };
    std::vector<Move> moves;
    for (int i = -6; i <= 6; ++i)
      for (int k = -3; k <= 3; ++k)
        if ((i != 0 || k != 0) && (box_at.has_value() ? k == 0 : true)) moves.push_back({0.04 * i, 0.04 * k});
    std::sort(moves.begin(), moves.end(), [](const Move& a, const Move& b) {
      return std::pair(std::hypot(a.x, a.z), a.x) < std::pair(std::hypot(b.x, b.z), b.x);
    });
    for (const Move& move : moves) {
      Vector3 to = *at + Vector3(move.x, 0, move.z);
      if (std::abs(from_wall_m) < on_wall_m)
        to.y() = std::copysign(half_width(to.z()) - from_wall_m, at->y());
      Lines lines(text_);
      // Of two on one line the one to the right first.
      if (box_at) lines.replace_point(*box, *box_at + (to - *at));
      lines.replace_point(*position, to);
      const std::string words =
          fmt::format("moved {:.0f} mm: the shape's position does not fit", (to - *at).norm() * 1000);
      lines.remark(position->location().line, words);
      const std::string moved = lines.text();
      const Faults left = faults_of(moved);
      const bool still = std::any_of(left.faults().begin(), left.faults().end(),
                                     [&](const Fault& other) { return other.same_cause(fault); });
      if (still || left.faults().size() >= faults_now) continue;
      text_ = moved;
      note(fmt::format("{}: moved {:.0f} mm to a free position", guess->words, (to - *at).norm() * 1000));
      return true;
    }
    return false;
  }

  bool leave_out(const Guess& guess, const std::vector<Guess>& siblings) {
    Lines lines(text_);
    const auto out = [&](const Guess& each) {
      lines.leave_out(each.from, each.before);
      lines.remark(each.from, "left out: it does not fit these lengths");
    };
    std::size_t left = siblings.size();
    for (const Guess& each : siblings)
      if (each.from == guess.from || text_at(each.node, "mirror_of") == guess.name ||
          text_at(each.node, "like") == guess.name) {
        out(each);
        --left;
      }
    // A list of nothing: its key too.
    if (left == 0 && !siblings.empty())
      for (int line = siblings.front().from - 1; line > 0; --line) {
        const std::size_t first = lines.at(line).find_first_not_of(' ');
        if (first == std::string::npos || lines.at(line)[first] == '#') continue;
        lines.leave_out(line, line + 1);
        break;
      }
    text_ = lines.text();
    note(guess.words + ": left out");
    return true;
  }

  bool left_out(const Fault& fault) {
    const int line = fault.location.line;
    for (const std::vector<Guess>& list : leak_lists())
      if (const Guess* found = at_line(list, line)) {
        const std::string source = text_at(found->node, "mirror_of");
        for (const Guess& other : list)
          if (!source.empty() && other.name == source) return leave_out(other, list);
        return leave_out(*found, list);
      }
    if (const Node* cabin = root_.find("cabin"))
      if (const Node* sheets = cabin->find("partitions"))
        for (const Node& sheet : sheets->items()) {
          const auto openings = listed(sheet.find("openings"), "opening");
          if (const Guess* found = at_line(openings, line)) return leave_out(*found, openings);
        }
    // A box goes with the drivers in it.
    for (const Guess& box : named("boxes", "box"))
      if (line >= box.from && line < box.before)
        for (const Guess& driver : named("drivers", "driver"))
          if (const Node* loading = driver.node.find("loading"); loading != nullptr)
            if (text_at(*loading, "box") == box.name)
              return leave_out(driver, named("drivers", "driver")) && leave_out(box, named("boxes", "box"));
    for (const auto& [section, kind] :
         {std::pair{"states", "state"}, {"drivers", "driver"}, {"channels", "channel"}}) {
      const std::vector<Guess> guesses = named(section, kind);
      if (const Guess* found = at_line(guesses, line)) {
        const std::string source = text_at(found->node, "mirror_of");
        for (const Guess& other : guesses)
          if (!source.empty() && other.name == source) return leave_out(other, guesses);
        return leave_out(*found, guesses);
      }
    }
    return false;
  }

  std::string text_;
  const std::vector<std::string>& folders_;
  Node root_;
  std::vector<std::string> notes_;
  std::map<std::string, double> first_area_;
  std::set<std::string> tried_;
};

}  // namespace

YieldedScene with_yielding_guesses(std::string text, const std::vector<std::string>& model_folders) {
  return Yielding(std::move(text), model_folders).run();
}

}  // namespace cabinfield
