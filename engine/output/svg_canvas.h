// A page of lines and text in millimetres, written as SVG 1.1, with labels that avoid each other.
#pragma once

#include <string>
#include <vector>

#include "base/vector.h"

namespace cabinfield {

/// Coordinates from the upper left corner, right and down, mm on paper. Styles are CSS classes of the page.
class SvgCanvas {
 public:
  SvgCanvas(double width_mm, double height_mm, std::string title);

  void line(const Vector2& from, const Vector2& to, const std::string& style);
  void polygon(const std::vector<Vector2>& corners, const std::string& style);
  /// Clips what is drawn until end_clip to the polygon.
  void begin_clip(const std::vector<Vector2>& corners);
  void end_clip();
  void circle(const Vector2& centre, double radius_mm, const std::string& style);
  /// `anchor`: whether start, middle or end of the text is at `at`, on its baseline. `turn_deg`
  /// anticlockwise.
  void words(const Vector2& at, const std::string& text, const std::string& style, const std::string& anchor,
             double turn_deg = 0);
  /// Text at a free spot near a point: beside it, else farther away with a thin leader line.
  void label(const Vector2& at, const std::string& text, const std::string& style, double size_mm);
  /// A dimension line with its length, `off_mm` from the measured points.
  void dimension(const Vector2& from, const Vector2& to, const Vector2& off_mm, const std::string& text);

  /// Reserves a box against labels.
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
