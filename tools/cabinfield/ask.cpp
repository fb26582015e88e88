#include "ask.h"

#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <cctype>
#include <cmath>
#include <iostream>

#include "base/quantity.h"
#include "base/quoted.h"
#include "terminal.h"

namespace cabinfield::command {
namespace {

/// What no tape within a car is outside of, m: as in a file of lengths.
constexpr double least_m = 0.01, greatest_m = 30;

std::string trimmed(std::string text) {
  text.erase(0, text.find_first_not_of(" \t\r"));
  text.erase(text.find_last_not_of(" \t\r") + 1);
  return text;
}

/// A plane of letters, about twice as high as wide each.
class Letters {
 public:
  Letters(double left, double top, double width_m, double height_m)
      : left_(left), top_(top), scale_(columns / width_m) {
    const auto rows = static_cast<std::size_t>(std::lround(height_m * scale_ * 0.5)) + 1;
    rows_.assign(std::clamp<std::size_t>(rows, 4, 30), std::string(columns + 1, ' '));
  }
  void line(const Vector2& from, const Vector2& to, char letter) {
    const int steps = static_cast<int>(std::ceil((to - from).norm() * scale_ * 2)) + 1;
    for (int i = 0; i <= steps; ++i) dot(from + (to - from) * i / steps, letter);
  }
  void dot(const Vector2& at, char letter) {
    const auto column = std::lround((at.x() - left_) * scale_);
    const auto row = std::lround((top_ - at.y()) * scale_ * 0.5);
    if (row < 0 || row >= static_cast<long>(rows_.size()) || column < 0 || column > columns) return;
    rows_[static_cast<std::size_t>(row)][static_cast<std::size_t>(column)] = letter;
  }
  std::string text() const {
    std::string result;
    for (std::string row : rows_) {
      row.erase(row.find_last_not_of(' ') + 1);
      result += "    " + row + "\n";
    }
    return result;
  }

 private:
  static constexpr int columns = 60;
  double left_, top_, scale_;
  std::vector<std::string> rows_;
};

}  // namespace

std::string tape_drawing(const Scene& body, const std::array<Vector3, 2>& ends) {
  const CabinShape& shape = body.cabin->shape();
  const Vector3 along = (ends[1] - ends[0]).cwiseAbs();
  const bool across = along.y() > along.x() && along.y() > along.z();
  double x0 = 1e9, x1 = -1e9, z0 = 1e9, z1 = -1e9, widest = 0;
  for (const OutlineCorner& corner : shape.outline) {
    x0 = std::min(x0, corner.point.x());
    x1 = std::max(x1, corner.point.x());
    z0 = std::min(z0, corner.point.y());
    z1 = std::max(z1, corner.point.y());
  }
  for (const SideCorner& side : shape.sides) widest = std::max(widest, side.half_width);
  if (across) {
    Letters letters(-widest - 0.3, z1, 2 * widest + 0.6, z1 - z0);
    for (std::size_t i = 0; i + 1 < shape.sides.size(); ++i)
      for (int side : {-1, 1})
        letters.line({side * shape.sides[i].half_width, shape.sides[i].z},
                     {side * shape.sides[i + 1].half_width, shape.sides[i + 1].z}, '.');
    for (double z : {z0, z1}) {
      const double width = z == z0 ? shape.sides.front().half_width : shape.sides.back().half_width;
      letters.line({-width, z}, {width, z}, '.');
    }
    letters.line({ends[0].y(), ends[0].z()}, {ends[1].y(), ends[1].z()}, '*');
    for (const Seat& seat : body.seats) letters.dot({seat.head.y(), seat.head.z()}, 'O');
    return letters.text() + "    seen from behind; O: heads\n";
  }
  Letters letters(x0, z1, x1 - x0, z1 - z0);
  for (std::size_t i = 0; i < shape.outline.size(); ++i)
    letters.line(shape.outline[i].point, shape.outline[(i + 1) % shape.outline.size()].point, '.');
  letters.line({ends[0].x(), ends[0].z()}, {ends[1].x(), ends[1].z()}, '*');
  for (const Seat& seat : body.seats) letters.dot({seat.head.x(), seat.head.z()}, 'O');
  return letters.text() + "    seen from the left, front to the left; O: heads\n";
}

std::optional<std::vector<TakenTape>> ask_tapes(const Shape& shape, const StartOptions& options,
                                                const std::vector<std::string>& model_folders,
                                                Faults& faults) {
  const std::optional<ShapeBody> body = shape_body(shape, model_folders, faults);
  if (!body) return std::nullopt;
  const CabinWarp as_drawn = unmoved(body->planes);
  const auto& tapes = shape.spec.tapes;
  std::vector<std::optional<double>> length_m(tapes.size());
  std::string unit;
  const auto read_length = [&](std::string text) -> std::optional<double> {
    const bool bare =
        !text.empty() && std::isalpha(static_cast<unsigned char>(text.back())) == 0 && text.back() != '"';
    if (bare && !unit.empty()) text += " " + unit;
    const ParsedQuantity parsed = parse_quantity(text, Quantity::length);
    if (!parsed.value) {
      fmt::print("  {}\n", parsed.error);
      return std::nullopt;
    }
    if (!(*parsed.value >= least_m && *parsed.value <= greatest_m)) {
      fmt::print("  {} is outside {:g} mm to {:g} m\n", cabinfield::quoted(text), least_m * 1000, greatest_m);
      return std::nullopt;
    }
    unit = text.substr(std::min(text.find_last_of("0123456789. ") + 1, text.size()));
    return parsed.value;
  };
  // "3: 118 cm": which tape, and its length.
  const auto correction = [&](const std::string& answer) {
    const std::size_t colon = answer.find(':');
    if (colon == std::string::npos) return false;
    const std::string which = trimmed(answer.substr(0, colon));
    for (std::size_t t = 0; t < tapes.size(); ++t)
      if (which == std::to_string(t + 1) || which == tapes[t].name) {
        const std::string value = trimmed(answer.substr(colon + 1));
        if (value.empty())
          length_m[t].reset();
        else if (const auto taken = read_length(value))
          length_m[t] = *taken;
        return true;
      }
    fmt::print("  there is no length {}: give 1 to {}\n", cabinfield::quoted(which), tapes.size());
    return true;
  };
  const auto taken_tapes = [&] {
    std::vector<TakenTape> taken;
    for (std::size_t t = 0; t < tapes.size(); ++t)
      if (length_m[t]) taken.push_back({tapes[t].name, *length_m[t], {}});
    return taken;
  };

  fmt::print(
      "{} lengths, in mm, cm, m or in (a bare number has the unit of the previous answer).\nEnter alone: not "
      "measured. back: the previous length. 3: 118 cm corrects the third.\n",
      tapes.size());
  std::string answer;
  for (std::size_t t = 0; t < tapes.size();) {
    fmt::print("\n{}\n{}. {}: {}\n   usual: {:.0f} to {:.0f} mm{} > ",
               tape_drawing(body->scene, tape_ends(as_drawn, body->scene.cabin->shape(), body->tapes[t])),
               t + 1, tapes[t].name, tapes[t].value.words, tapes[t].value.usual_m[0] * 1000,
               tapes[t].value.usual_m[1] * 1000,
               length_m[t] ? fmt::format("; now {:.0f} mm", *length_m[t] * 1000) : "");
    std::fflush(stdout);
    if (!std::getline(std::cin, answer)) {
      fmt::print("\n");
      faults.add({}, fmt::format("--ask: the input ended before '{}': nothing is written", tapes[t].name));
      return std::nullopt;
    }
    answer = trimmed(answer);
    if (answer == "back") {
      t = t > 0 ? t - 1 : 0;
    } else if (answer.empty()) {
      ++t;
    } else if (!correction(answer)) {
      if (const auto taken = read_length(answer)) length_m[t++] = *taken;
    }
  }
  for (;;) {
    Faults found;
    StartOptions now = options;
    now.taken = taken_tapes();
    start_scene(shape, now, model_folders, found);
    fmt::print("\n");
    for (std::size_t t = 0; t < tapes.size(); ++t)
      fmt::print("{:3}. {:20} {}\n", t + 1, tapes[t].name,
                 length_m[t] ? fmt::format("{:.0f} mm", *length_m[t] * 1000) : "not measured");
    for (const Fault& fault : found.faults()) fmt::print("  {}\n", fault.message);
    for (const Fault& fault : found.warnings()) fmt::print("  warning: {}\n", fault.message);
    fmt::print("{} > ", found.any()
                            ? "These lengths do not give a valid scene. Correct one, such as 3: 118 cm"
                            : "Press Enter to write the scene, or correct one, such as 3: 118 cm");
    std::fflush(stdout);
    if (!std::getline(std::cin, answer)) {
      fmt::print("\n");
      if (!found.any()) return taken_tapes();
      for (const Fault& fault : found.faults()) faults.add(fault);
      return std::nullopt;
    }
    answer = trimmed(answer);
    if (answer.empty() && !found.any()) return taken_tapes();
    if (!answer.empty() && !correction(answer)) fmt::print("  write NUMBER: LENGTH\n");
  }
}

}  // namespace cabinfield::command
