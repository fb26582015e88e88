// A page of lines and words in millimetres, written as SVG 1.1; labels look for a place of their own.
#pragma once

#include <string>
#include <vector>

#include "base/vector.h"

namespace cabinfield {

/// Coordinates from the upper left corner, rightward and down, mm on paper. Classes of lines, areas and words
/// are those of the page's style.
class SvgCanvas {
 public:
  SvgCanvas(double width_mm, double height_mm, std::string title);

  void line(const Vector2& from, const Vector2& to, const std::string& style);
  void polygon(const std::vector<Vector2>& corners, const std::string& style);
  /// What is drawn until end_clip shows within the polygon alone.
  void begin_clip(const std::vector<Vector2>& corners);
  void end_clip();
  void circle(const Vector2& centre, double radius_mm, const std::string& style);
  /// `anchor`: start, middle or end of the words at `at`, their foot. `turn_deg` anticlockwise.
  void words(const Vector2& at, const std::string& text, const std::string& style, const std::string& anchor,
             double turn_deg = 0);
  /// Words near a point, where nothing is written yet: beside it, else farther off with a thin line to it.
  void label(const Vector2& at, const std::string& text, const std::string& style, double size_mm);
  /// A line with strokes at its ends and a length in its middle, `off_mm` from the points it measures.
  void dimension(const Vector2& from, const Vector2& to, const Vector2& off_mm, const std::string& text);

  /// Keeps labels out of a box.
  void keep_free(const Vector2& corner, const Vector2& other);
  std::string text() const;

 private:
  struct Box {
    double left, top, right, bottom;
  };
  double overlap(const Box& box) const;

  double width_mm_, height_mm_;
  std::string body_, title_;
  std::vector<Box> taken_;
  int clips_ = 0;
};

}  // namespace cabinfield
