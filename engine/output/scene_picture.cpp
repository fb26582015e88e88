#include "output/scene_picture.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <set>

#include "base/constants.h"
#include "output/svg_canvas.h"

namespace cabinfield {
namespace {

constexpr double page_width_mm = 420, page_height_mm = 297;
constexpr double margin_mm = 12, gap_mm = 18, widths_mm = 22;

std::string mm(double metres) { return fmt::format("{:.0f}", metres * 1000); }

struct Bounds {
  Vector3 least = Vector3::Constant(1e9), greatest = Vector3::Constant(-1e9);
  void add(const Vector3& point) {
    least = least.cwiseMin(point);
    greatest = greatest.cwiseMax(point);
  }
  bool empty() const { return least.x() > greatest.x(); }
};

Bounds bounds_of(const Scene& scene) {
  Bounds bounds;
  if (scene.cabin)
    for (const OutlineCorner& corner : scene.cabin->shape().outline)
      for (const SideCorner& side : scene.cabin->shape().sides)
        for (double sign : {-1.0, 1.0})
          bounds.add({corner.point.x(), sign * side.half_width, corner.point.y()});
  for (const Seat& seat : scene.seats) bounds.add(seat.head);
  for (const MountedDriver& driver : scene.drivers) bounds.add(driver.source.position);
  for (const Mark& mark : scene.marks) bounds.add(mark.position);
  if (bounds.empty()) bounds.add(Vector3::Zero());
  // A single point needs an extent.
  bounds.least -= Vector3::Constant(0.05);
  bounds.greatest += Vector3::Constant(0.05);
  return bounds;
}

/// One view: which coordinates run right and up, and its position on the page.
struct View {
  int right = 0, up = 2;
  double left_mm = 0, bottom_mm = 0, left_m = 0, bottom_m = 0, mm_per_m = 50;
  Vector2 operator()(const Vector3& point) const {
    return {left_mm + (point[right] - left_m) * mm_per_m, bottom_mm - (point[up] - bottom_m) * mm_per_m};
  }
};

struct Page {
  SvgCanvas& canvas;
  const Scene& scene;
  View side, front, plan;
};

/// Combines `name_left` and `name_right` at one spot of a view to "name, both".
std::string both_name(const std::string& name) {
  for (const char* word : {"_left", "_right"})
    if (const std::size_t at = name.find(word); at != std::string::npos)
      return name.substr(0, at) + name.substr(at + std::string(word).size()) + ", both";
  return name;
}

/// Calls once for every spot of a view; objects that coincide share a spot.
struct Spot {
  Vector2 at;
  std::vector<std::string> names;
};
std::vector<Spot> spots(const View& view, const std::vector<std::pair<std::string, Vector3>>& things) {
  std::vector<Spot> result;
  for (const auto& [name, position] : things) {
    const Vector2 at = view(position);
    const auto same = std::find_if(result.begin(), result.end(),
                                   [&](const Spot& spot) { return (spot.at - at).norm() < 0.4; });
    if (same == result.end())
      result.push_back({at, {name}});
    else
      same->names.push_back(name);
  }
  return result;
}

std::string spot_name(const Spot& spot) {
  if (spot.names.size() == 2 && both_name(spot.names[0]) == both_name(spot.names[1]))
    return both_name(spot.names[0]);
  return fmt::format("{}", fmt::join(spot.names, ", "));
}

/// The shell in each view: from the side, from behind, and its largest width from above.
struct Shells {
  std::vector<Vector2> side, front, plan;
};

Shells shells_of(const Page& page) {
  const CabinShape& shape = page.scene.cabin->shape();
  Shells shells;
  double x0 = 1e9, x1 = -1e9, widest = 0;
  for (const OutlineCorner& corner : shape.outline) {
    shells.side.push_back(page.side({corner.point.x(), 0, corner.point.y()}));
    x0 = std::min(x0, corner.point.x());
    x1 = std::max(x1, corner.point.x());
  }
  for (const SideCorner& side : shape.sides) {
    shells.front.push_back(page.front({0, side.half_width, side.z}));
    widest = std::max(widest, side.half_width);
  }
  for (auto side = shape.sides.rbegin(); side != shape.sides.rend(); ++side)
    shells.front.push_back(page.front({0, -side->half_width, side->z}));
  for (const auto& [x, y] :
       {std::pair{x0, -widest}, std::pair{x1, -widest}, std::pair{x1, widest}, std::pair{x0, widest}})
    shells.plan.push_back(page.plan({x, y, 0}));
  return shells;
}

void draw_names_of_outline(const Page& page) {
  const CabinShape& shape = page.scene.cabin->shape();
  std::set<std::string> named;
  for (std::size_t i = 0; i < shape.outline.size(); ++i) {
    const OutlineCorner &a = shape.outline[i], &b = shape.outline[(i + 1) % shape.outline.size()];
    if (!named.insert(a.surface).second) continue;
    const Vector2 middle = 0.5 * (a.point + b.point);
    page.canvas.label(page.side({middle.x(), 0, middle.y()}), a.surface, "name", 1.9);
  }
}

/// Blocks and partitions in one view, clipped to the shell.
void draw_blocks(const Page& page, const View& view, const std::vector<Vector2>& shell) {
  const CabinShape& shape = page.scene.cabin->shape();
  page.canvas.polygon(shell, "shell");
  page.canvas.begin_clip(shell);
  for (const Block& block : shape.blocks) {
    if (block.partition >= 0 || block.cut) continue;
    const char* const style = block.filling >= 0 ? "porous" : "block";
    const bool across = block.sweep == Sweep::across;
    Vector3 least = Vector3::Constant(1e9), greatest = Vector3::Constant(-1e9);
    std::vector<Vector2> own_view;
    for (const BlockCorner& corner : block.corner)
      for (double swept : block.range) {
        const Vector3 at = across ? Vector3(corner.point.x(), swept, corner.point.y())
                                  : Vector3(corner.point.x(), corner.point.y(), swept);
        least = least.cwiseMin(at);
        greatest = greatest.cwiseMax(at);
        if (swept == block.range[0]) own_view.push_back(view(at));
      }
    // From behind, only what is beside or in front of the front seats; everything else would hide it.
    const double front_row =
        page.scene.seats.empty() ? greatest.x() : page.scene.seats.front().head.x() + 0.3;
    if (&view == &page.front && least.x() > front_row) continue;
    if (&view == (across ? &page.side : &page.plan)) {
      page.canvas.polygon(own_view, style);
    } else {
      const Vector2 a = view(least), b = view(greatest);
      page.canvas.polygon({a, {b.x(), a.y()}, b, {a.x(), b.y()}}, style);
    }
  }
  for (const Partition& sheet : shape.partitions) {
    const auto& [low, high] = sheet.line;
    const double x = 0.5 * (low.x() + high.x());
    if (&view == &page.side)
      page.canvas.line(view({low.x(), 0, low.y()}), view({high.x(), 0, high.y()}), "sheet");
    else if (&view == &page.plan)
      page.canvas.line(view({x, sheet.range[0], 0}), view({x, sheet.range[1], 0}), "sheet");
  }
  page.canvas.end_clip();
  // The outline again, over the clipped parts.
  page.canvas.polygon(shell, "rim");
}

void draw_names_of_blocks(const Page& page) {
  const CabinShape& shape = page.scene.cabin->shape();
  std::vector<std::pair<std::string, Vector3>> middles;
  for (const Block& block : shape.blocks) {
    if (block.partition >= 0) continue;
    Vector2 middle = Vector2::Zero();
    for (const BlockCorner& corner : block.corner)
      middle += corner.point / static_cast<double>(block.corner.size());
    const double swept = 0.5 * (block.range[0] + block.range[1]);
    middles.emplace_back(block.name, block.sweep == Sweep::across ? Vector3(middle.x(), swept, middle.y())
                                                                  : Vector3(middle.x(), middle.y(), swept));
  }
  for (const Partition& sheet : shape.partitions)
    middles.emplace_back(sheet.name, Vector3(0.5 * (sheet.line[0].x() + sheet.line[1].x()), 0,
                                             0.5 * (sheet.line[0].y() + sheet.line[1].y())));
  for (const Spot& spot : spots(page.side, middles)) page.canvas.label(spot.at, spot_name(spot), "name", 1.9);
}

void draw_dimensions(const Page& page) {
  const CabinShape& shape = page.scene.cabin->shape();
  double x0 = 1e9, x1 = -1e9, z0 = 1e9, z1 = -1e9;
  for (const OutlineCorner& corner : shape.outline) {
    x0 = std::min(x0, corner.point.x());
    x1 = std::max(x1, corner.point.x());
    z0 = std::min(z0, corner.point.y());
    z1 = std::max(z1, corner.point.y());
  }
  double widest = 0;
  for (const SideCorner& side : shape.sides) widest = std::max(widest, side.half_width);
  SvgCanvas& canvas = page.canvas;
  canvas.dimension(page.side({x0, 0, z0}), page.side({x1, 0, z0}), {0, 9}, mm(x1 - x0));
  canvas.dimension(page.side({x0, 0, z1}), page.side({x0, 0, z0}), {-5, 0}, mm(z1 - z0));
  if (!page.scene.seats.empty()) {
    const Vector3& head = page.scene.seats.front().head;
    canvas.dimension(page.side({x0, 0, z0}), page.side({head.x(), 0, z0}), {0, 4.5}, mm(head.x() - x0));
    canvas.dimension(page.side({head.x(), 0, head.z()}), page.side({head.x(), 0, z0}), {0, 0},
                     mm(head.z() - z0));
  }
  for (std::size_t i = 0; i < shape.sides.size(); ++i) {
    const SideCorner& side = shape.sides[i];
    const Vector2 left = page.front({0, -side.half_width, side.z}),
                  right = page.front({0, side.half_width, side.z});
    const double beside = page.front({0, widest, 0}).x() + 6;
    canvas.line(left, {beside + 16, right.y()}, "leader");
    canvas.words({beside, right.y() - 0.6}, fmt::format("{} at {}", mm(2 * side.half_width), mm(side.z)),
                 "dimension-name", "start");
    canvas.keep_free({beside, right.y() - 3}, {beside + 16, right.y()});
    if (i + 1 < shape.sides.size()) {
      const SideCorner& next = shape.sides[i + 1];
      const double half = 0.5 * (side.half_width + next.half_width), z = 0.5 * (side.z + next.z);
      canvas.label(page.front({0, half, z}), side.surface + "_right", "name", 1.9);
      canvas.label(page.front({0, -half, z}), side.surface + "_left", "name", 1.9);
    }
  }
}

void draw_points(const Page& page) {
  SvgCanvas& canvas = page.canvas;
  const Scene& scene = page.scene;
  for (const View* view : {&page.side, &page.front, &page.plan}) {
    std::vector<std::pair<std::string, Vector3>> heads, drivers, marks;
    const auto shown = [&](const Seat& seat) {
      return view != &page.front || std::abs(seat.head.x() - scene.seats.front().head.x()) < 0.3;
    };
    for (const Seat& seat : scene.seats)
      if (shown(seat)) heads.emplace_back(seat.name, seat.head);
    for (const MountedDriver& driver : scene.drivers)
      drivers.emplace_back(driver.name, driver.source.position);
    for (std::size_t m = 0; m < scene.marks.size(); ++m)
      marks.emplace_back(fmt::format("M{}", m + 1), scene.marks[m].position);
    for (std::size_t t = 0; t < scene.tapes.size(); ++t) {
      const Tape& tape = scene.tapes[t];
      const bool wrong = tape.taped_m > 0 && std::abs(tape.drawn_m - tape.taped_m) > tape_warning_m;
      canvas.line((*view)(tape.from_point), (*view)(tape.to_point), wrong ? "wrong" : "tape");
    }
    for (const Seat& seat : scene.seats) {
      if (!shown(seat)) continue;
      canvas.circle((*view)(seat.head), head_radius_m * view->mm_per_m, "head");
      for (const Vector3& ear : seat.ear) canvas.circle((*view)(ear), 0.45, "ear");
    }
    for (const MountedDriver& driver : scene.drivers) {
      const Vector2 at = (*view)(driver.source.position);
      const Vector2 tip = (*view)(driver.source.position + 0.10 * driver.source.axis);
      canvas.line(at, tip, "axis");
      canvas.circle(at, 1.1, "driver");
    }
    for (const Spot& spot : spots(*view, marks)) {
      canvas.line(spot.at - Vector2(0.9, 0.9), spot.at + Vector2(0.9, 0.9), "mark");
      canvas.line(spot.at - Vector2(0.9, -0.9), spot.at + Vector2(0.9, -0.9), "mark");
    }
    for (const Spot& spot : spots(*view, drivers))
      canvas.keep_free(spot.at - Vector2(1, 1), spot.at + Vector2(1, 1));
    for (const Spot& spot : spots(*view, drivers)) canvas.label(spot.at, spot_name(spot), "driver-name", 2.2);
    for (const Spot& spot : spots(*view, heads)) canvas.label(spot.at, spot_name(spot), "seat-name", 2.2);
    for (const Spot& spot : spots(*view, marks)) canvas.label(spot.at, spot_name(spot), "mark-name", 2.0);
    std::vector<std::pair<std::string, Vector3>> tapes;
    for (std::size_t t = 0; t < scene.tapes.size(); ++t)
      tapes.emplace_back(fmt::format("T{}", t + 1),
                         0.5 * (scene.tapes[t].from_point + scene.tapes[t].to_point));
    for (const Spot& spot : spots(*view, tapes)) canvas.label(spot.at, spot_name(spot), "tape-name", 2.0);
  }
}

/// Lists beside the views, with blanks to write on.
void draw_lists(SvgCanvas& canvas, const Scene& scene, double left, double top) {
  const double right = page_width_mm - margin_mm, bottom = page_height_mm - margin_mm;
  const std::size_t rows = scene.drivers.size() + scene.marks.size() + scene.tapes.size();
  const double step =
      std::clamp((bottom - top - 24) / static_cast<double>(std::max<std::size_t>(rows, 1)), 2.3, 4.5);
  std::size_t left_out = 0;
  const auto head = [&](const std::string& words, const std::string& column) {
    if (top > bottom - 6) return;
    top += 6;
    canvas.words({left, top}, words, "view", "start");
    canvas.words({right, top}, column, "small", "end");
    top += 1;
  };
  const auto row = [&](const std::string& words, const std::string& value) {
    if (top + step > bottom) {
      ++left_out;
      return;
    }
    top += step;
    canvas.words({left, top}, words, "small", "start");
    canvas.words({right - 24, top}, value, "small", "end");
    canvas.line({right - 20, top + 0.5}, {right, top + 0.5}, "blank");
  };
  const auto location = [](const Vector3& at) {
    return fmt::format("{}, {}, {}", mm(at.x()), mm(at.y()), mm(at.z()));
  };
  if (!scene.drivers.empty()) head("Drivers (x, y, z in mm)", "in the car");
  for (const MountedDriver& driver : scene.drivers)
    row(driver.name + ", " + driver.model_name, location(driver.source.position));
  if (!scene.marks.empty()) head("Marks (x, y, z in mm)", "in the car");
  for (std::size_t m = 0; m < scene.marks.size(); ++m)
    row(fmt::format("M{} {}", m + 1, scene.marks[m].name), location(scene.marks[m].position));
  const bool taken =
      std::any_of(scene.tapes.begin(), scene.tapes.end(), [](const Tape& tape) { return tape.taped_m > 0; });
  if (!scene.tapes.empty()) head(taken ? "Tapes (taped, drawn in mm)" : "Tapes", "in the car");
  for (std::size_t t = 0; t < scene.tapes.size(); ++t) {
    const Tape& tape = scene.tapes[t];
    const auto end = [&](const std::string& words, const Vector3& at) {
      return words.starts_with("(") ? "[" + location(at) + "]" : words;
    };
    row(fmt::format("T{} {}{}", t + 1, end(tape.from, tape.from_point),
                    tape.to.empty() ? "" : " to " + end(tape.to, tape.to_point)),
        tape.taped_m > 0 ? fmt::format("{}, {}", mm(tape.taped_m), mm(tape.drawn_m)) : "");
  }
  if (left_out > 0)
    canvas.words({left, bottom + 3}, fmt::format("and {} more, in the file", left_out), "small", "start");
}

}  // namespace

std::string scene_picture(const Scene& scene) {
  const std::string title = scene.title.empty() ? "(no title)" : scene.title;
  SvgCanvas canvas(page_width_mm, page_height_mm, title);
  const Bounds bounds = bounds_of(scene);
  const Vector3 size = bounds.greatest - bounds.least;
  const double room_x = page_width_mm - 2 * margin_mm - 8 - gap_mm - widths_mm;
  const double room_y = page_height_mm - 2 * margin_mm - gap_mm - 26;
  // The largest usual scale at which all three views fit.
  double scale = 0;
  for (double each : {5.0, 10.0, 12.5, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 100.0, 200.0, 500.0, 1000.0}) {
    scale = each;
    const double unit = 1000 / each;
    if ((size.x() + size.y()) * unit <= room_x && (size.z() + size.y()) * unit <= room_y) break;
  }
  const double unit = 1000 / scale;
  const double left = margin_mm + 8, side_bottom = margin_mm + 16 + size.z() * unit;
  const double front_left = left + size.x() * unit + gap_mm,
               plan_bottom = side_bottom + gap_mm + 6 + size.y() * unit;
  const Page page{canvas,
                  scene,
                  {0, 2, left, side_bottom, bounds.least.x(), bounds.least.z(), unit},
                  {1, 2, front_left, side_bottom, bounds.least.y(), bounds.least.z(), unit},
                  {0, 1, left, plan_bottom, bounds.least.x(), bounds.least.y(), unit}};
  canvas.words({margin_mm, margin_mm + 2}, title, "title", "start");
  canvas.words(
      {margin_mm, margin_mm + 7},
      fmt::format("1:{:g} on paper of 420 x 297 mm. Lengths in mm. x rearward, y to the right, z up.", scale),
      "small", "start");
  canvas.words({left, margin_mm + 13}, "side view, seen from the left", "view", "start");
  canvas.words({front_left, margin_mm + 13}, "front view, seen from behind", "view", "start");
  canvas.words({left, side_bottom + gap_mm + 3}, "plan, seen from above: the car's right side is up", "view",
               "start");
  if (scene.cabin) {
    const Shells shells = shells_of(page);
    draw_blocks(page, page.side, shells.side);
    draw_blocks(page, page.front, shells.front);
    draw_blocks(page, page.plan, shells.plan);
  }
  canvas.line(page.plan({bounds.least.x(), 0, 0}), page.plan({bounds.greatest.x(), 0, 0}), "centre");
  canvas.line(page.front({0, 0, bounds.least.z()}), page.front({0, 0, bounds.greatest.z()}), "centre");
  if (scene.cabin) draw_dimensions(page);
  draw_points(page);
  if (scene.cabin) {
    draw_names_of_blocks(page);
    draw_names_of_outline(page);
  }
  draw_lists(canvas, scene, front_left, side_bottom + 8);
  return canvas.text();
}

}  // namespace cabinfield
