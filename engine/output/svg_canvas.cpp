#include "output/svg_canvas.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string_view>
#include <utility>

namespace cabinfield {
namespace {

const char* const page_style =
    "text{font-family:'DejaVu Sans',Arial,sans-serif;font-size:2.3px;fill:#1a1a1a}"
    ".name,.driver-name,.seat-name,.mark-name,.tape-name{paint-order:stroke;stroke:#fff;stroke-width:.5px;"
    "stroke-linejoin:round}.title{font-size:4px;font-weight:bold}.view{font-size:3px;font-weight:bold}.small{"
    "font-size:2px}"
    ".name{font-size:1.9px;fill:#555}.driver-name{font-size:2.2px;fill:#8a3b00;font-weight:bold}"
    ".seat-name{font-size:2.2px;fill:#0b4f6c;font-weight:bold}.mark-name{font-size:2px;fill:#2b6b2b}"
    ".tape-name{font-size:2px;fill:#6a3d9a;font-weight:bold}.dimension-name{font-size:2.2px}"
    ".rim{fill:none;stroke:#222;stroke-width:.4}.shell{fill:#fbfbf8;stroke:#222;stroke-width:.4}.behind{fill:"
    "none;stroke:#888;stroke-width:.2;"
    "stroke-dasharray:1.2 .8}.block{fill:#e9e6df;fill-opacity:.75;stroke:#777;stroke-width:.18}"
    ".porous{fill:#dfe7ee;fill-opacity:.75;stroke:#778;stroke-width:.18}.sheet{stroke:#777;stroke-width:.5}"
    ".head{fill:none;stroke:#0b4f6c;stroke-width:.35}.ear{fill:#0b4f6c}"
    ".driver{fill:#d95f02;stroke:#8a3b00;stroke-width:.2}.axis{stroke:#8a3b00;stroke-width:.3}"
    ".mark{stroke:#2b6b2b;stroke-width:.3}.tape{stroke:#6a3d9a;stroke-width:.22;stroke-dasharray:1.6 .7}"
    ".wrong{stroke:#c00;stroke-width:.35;stroke-dasharray:1.6 .7}.dimension{stroke:#222;stroke-width:.15}"
    ".leader{stroke:#999;stroke-width:.12}.blank{stroke:#999;stroke-width:.15}.centre{stroke:#999;"
    "stroke-width:.15;stroke-dasharray:3 .8 .6 .8}";

std::string escaped(const std::string& text) {
  std::string result;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    // U+FFFE and U+FFFF, the only ones of UTF-8 text that no XML file may hold (XML 1.0, production 2).
    const std::string_view three = std::string_view(text).substr(i, 3);
    if (three == "\xEF\xBF\xBE" || three == "\xEF\xBF\xBF")
      i += 2;
    else if (c == '&')
      result += "&amp;";
    else if (c == '<')
      result += "&lt;";
    else if (c == '>')
      result += "&gt;";
    else if (static_cast<unsigned char>(c) < 0x20)
      result += ' ';  // a title may have line breaks and tabs
    else
      result += c;
  }
  return result;
}

std::size_t letters_in(const std::string& text) {
  return static_cast<std::size_t>(std::count_if(
      text.begin(), text.end(), [](char c) { return (static_cast<unsigned char>(c) & 0xC0) != 0x80; }));
}

}  // namespace

SvgCanvas::SvgCanvas(double width_mm, double height_mm, std::string title)
    : width_mm_(width_mm), height_mm_(height_mm), title_(std::move(title)) {}

void SvgCanvas::line(const Vector2& from, const Vector2& to, const std::string& style) {
  body_ += fmt::format("<line class=\"{}\" x1=\"{:.2f}\" y1=\"{:.2f}\" x2=\"{:.2f}\" y2=\"{:.2f}\"/>\n",
                       style, from.x(), from.y(), to.x(), to.y());
}

void SvgCanvas::polygon(const std::vector<Vector2>& corners, const std::string& style) {
  std::string points;
  for (const Vector2& corner : corners) points += fmt::format("{:.2f},{:.2f} ", corner.x(), corner.y());
  body_ += fmt::format("<polygon class=\"{}\" points=\"{}\"/>\n", style, points);
}

void SvgCanvas::begin_clip(const std::vector<Vector2>& corners) {
  std::string points;
  for (const Vector2& corner : corners) points += fmt::format("{:.2f},{:.2f} ", corner.x(), corner.y());
  ++clips_;
  body_ += fmt::format(
      "<clipPath id=\"within{0}\"><polygon points=\"{1}\"/></clipPath>\n<g clip-path=\"url(#within{0})\">\n",
      clips_, points);
}

void SvgCanvas::end_clip() { body_ += "</g>\n"; }

void SvgCanvas::circle(const Vector2& centre, double radius_mm, const std::string& style) {
  body_ += fmt::format("<circle class=\"{}\" cx=\"{:.2f}\" cy=\"{:.2f}\" r=\"{:.2f}\"/>\n", style, centre.x(),
                       centre.y(), radius_mm);
}

void SvgCanvas::words(const Vector2& at, const std::string& text, const std::string& style,
                      const std::string& anchor, double turn_deg) {
  const std::string turn =
      turn_deg == 0 ? ""
                    : fmt::format(" transform=\"rotate({:.0f} {:.2f} {:.2f})\"", -turn_deg, at.x(), at.y());
  body_ += fmt::format("<text class=\"{}\" x=\"{:.2f}\" y=\"{:.2f}\" text-anchor=\"{}\"{}>{}</text>\n", style,
                       at.x(), at.y(), anchor, turn, escaped(text));
}

void SvgCanvas::keep_free(const Vector2& corner, const Vector2& other) {
  taken_.push_back({std::min(corner.x(), other.x()), std::min(corner.y(), other.y()),
                    std::max(corner.x(), other.x()), std::max(corner.y(), other.y())});
}

double SvgCanvas::overlap(const Box& box) const {
  double area = 0;
  for (const Box& other : taken_) {
    const double wide = std::min(box.right, other.right) - std::max(box.left, other.left);
    const double high = std::min(box.bottom, other.bottom) - std::max(box.top, other.top);
    if (wide > 0 && high > 0) area += wide * high;
  }
  const double out = std::max(0.0, -box.left) + std::max(0.0, box.right - width_mm_) +
                     std::max(0.0, -box.top) + std::max(0.0, box.bottom - height_mm_);
  return area + 10 * out;
}

void SvgCanvas::label(const Vector2& at, const std::string& text, const std::string& style, double size_mm) {
  const double wide = 0.63 * size_mm * static_cast<double>(letters_in(text)) + 0.4, high = 1.15 * size_mm;
  Box best{};
  double least = 1e9, best_far = 0;
  for (double far : {1.6, 3.2, 5.0, 7.5, 10.5})
    for (int step = 0; step < 12; ++step) {
      const double angle = step * 0.5235987755982988;  // 30 degrees
      const Vector2 foot = at + far * Vector2(std::cos(angle), -std::sin(angle));
      const bool left_of = std::cos(angle) < -0.3, middle = std::abs(std::cos(angle)) <= 0.3;
      const double left = foot.x() - (left_of ? wide : middle ? 0.5 * wide : 0);
      const Box box{left, foot.y() - 0.5 * high, left + wide, foot.y() + 0.5 * high};
      const double cost = overlap(box) + 0.12 * far;
      if (cost >= least) continue;
      least = cost;
      best = box;
      best_far = far;
    }
  if (best_far > 2) {
    const Vector2 near(std::clamp(at.x(), best.left, best.right), std::clamp(at.y(), best.top, best.bottom));
    line(at, near, "leader");
  }
  words({best.left + 0.2, best.bottom - 0.25 * size_mm}, text, style, "start");
  taken_.push_back(best);
}

void SvgCanvas::dimension(const Vector2& from, const Vector2& to, const Vector2& off_mm,
                          const std::string& text) {
  const Vector2 a = from + off_mm, b = to + off_mm;
  line(from, a + 0.12 * off_mm, "leader");
  line(to, b + 0.12 * off_mm, "leader");
  line(a, b, "dimension");
  const Vector2 along = (b - a).normalized(),
                stroke = 0.8 * Vector2(along.x() + along.y(), along.y() - along.x());
  line(a - stroke, a + stroke, "dimension");
  line(b - stroke, b + stroke, "dimension");
  const bool upright = std::abs(along.y()) > std::abs(along.x());
  const Vector2 middle = 0.5 * (a + b);
  words(middle + (upright ? Vector2(-0.7, 0) : Vector2(0, -0.7)), text, "dimension-name", "middle",
        upright ? 90 : 0);
  keep_free(middle - Vector2(upright ? 3 : 5, upright ? 5 : 3),
            middle + Vector2(upright ? 0.5 : 5, upright ? 5 : 0.5));
}

std::string SvgCanvas::text() const {
  return fmt::format(
      "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
      "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{0:g}mm\" height=\"{1:g}mm\" viewBox=\"0 0 {0:g} "
      "{1:g}\">\n"
      "<title>{2}</title>\n<style>{3}</style>\n<rect width=\"100%\" height=\"100%\" "
      "fill=\"#fff\"/>\n{4}</svg>\n",
      width_mm_, height_mm_, escaped(title_), page_style, body_);
}

}  // namespace cabinfield
