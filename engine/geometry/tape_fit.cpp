#include "geometry/tape_fit.h"

#include <Eigen/Cholesky>
#include <Eigen/QR>
#include <algorithm>
#include <cmath>
#include <limits>
#include <unsupported/Eigen/LevenbergMarquardt>
#include <unsupported/Eigen/NumericalDiff>

namespace cabinfield {
namespace {

using Wall = TapeEnd::Wall;

/// Prior standard deviations of stretches, and of differences between neighbours, as logarithms: bodies of
/// one class differ by a tenth or so (common practice, no source).
constexpr double length_deviation = 0.12, height_deviation = 0.10, width_deviation = 0.10;
constexpr double neighbour_width_deviation = 0.06, head_deviation = 0.08;
/// Gap length for these priors; for shorter gaps they are weaker, so that a row of gaps stretches evenly.
constexpr double usual_gap_m = 0.5;
/// A residual of this many standard deviations occurs once in a thousand by chance.
constexpr double wrong_over = 3.29;
/// A tape with a smaller redundancy cannot be tested.
constexpr double least_checked = 0.05;

struct Shell {
  std::vector<Vector2> outline;              // x, z
  std::vector<std::array<double, 2>> sides;  // z, half width
};

Shell moved_shell(const CabinWarp& warp, const CabinShape& shape) {
  Shell shell;
  for (const OutlineCorner& corner : shape.outline)
    shell.outline.emplace_back(warp.x(corner.point.x()), warp.z(corner.point.y()));
  for (double level : warp.planes().side_z)
    shell.sides.push_back({warp.z(level), warp.new_half_width(level)});
  return shell;
}

/// Coordinate where the line from `at` along `axis` of the side view, in direction `sign`, leaves the
/// outline.
double outline_hit(const Shell& shell, const Vector2& at, int axis, double sign) {
  const int other = 1 - axis;
  double hit = std::numeric_limits<double>::infinity();
  double extent = 0;
  for (std::size_t i = 0; i < shell.outline.size(); ++i) {
    const Vector2 &a = shell.outline[i], &b = shell.outline[(i + 1) % shell.outline.size()];
    extent = std::max(extent, sign * (a[axis] - at[axis]));
    const double low = std::min(a[other], b[other]), high = std::max(a[other], b[other]);
    if (at[other] < low || at[other] > high || low == high) continue;
    const double cross = a[axis] + (at[other] - a[other]) / (b[other] - a[other]) * (b[axis] - a[axis]);
    const double far = sign * (cross - at[axis]);
    if (far > -1e-9) hit = std::min(hit, std::max(far, 0.0));
  }
  return at[axis] + sign * (std::isfinite(hit) ? hit : extent);
}

double half_width_at(const Shell& shell, double z) {
  const auto& sides = shell.sides;
  if (z <= sides.front()[0]) return sides.front()[1];
  for (std::size_t i = 1; i < sides.size(); ++i)
    if (z <= sides[i][0])
      return sides[i - 1][1] +
             (z - sides[i - 1][0]) / (sides[i][0] - sides[i - 1][0]) * (sides[i][1] - sides[i - 1][1]);
  return sides.back()[1];
}

Vector3 end_position(const Shell& shell, const CabinWarp& warp, const TapeEnd& end, const Vector3& through) {
  if (end.wall == Wall::none) return warp(end.point) + end.offset;
  Vector3 at = through;
  const Vector2 side_view(through.x(), through.z());
  switch (end.wall) {
    case Wall::front:
    case Wall::rear:
      at.x() = outline_hit(shell, side_view, 0, end.wall == Wall::front ? -1 : 1);
      break;
    case Wall::floor:
    case Wall::roof:
      at.z() = outline_hit(shell, side_view, 1, end.wall == Wall::floor ? -1 : 1);
      break;
    default:
      at.y() = (end.wall == Wall::left ? -1 : 1) * half_width_at(shell, through.z());
  }
  return at;
}

std::array<Vector3, 2> ends_in(const Shell& shell, const CabinWarp& warp, const TapeLine& tape) {
  Vector3 through = warp(tape.through);
  // A line from a moved point to a wall starts at that point, including its offset.
  if (tape.from.wall == Wall::none && tape.to.wall != Wall::none)
    through = warp(tape.from.point) + tape.from.offset;
  if (tape.to.wall == Wall::none && tape.from.wall != Wall::none)
    through = warp(tape.to.point) + tape.to.offset;
  return {end_position(shell, warp, tape.from, through), end_position(shell, warp, tape.to, through)};
}

/// Rows: one for each used tape, then one for each prior; each divided by its standard deviation.
struct Residuals : Eigen::DenseFunctor<double> {
  const CabinShape& shape;
  const FreePlanes& planes;
  const std::vector<TapeLine>& tapes;
  const std::vector<std::size_t>& used;
  double deviation_m;

  Residuals(const CabinShape& shape_in, const FreePlanes& planes_in, const std::vector<TapeLine>& tapes_in,
            const std::vector<std::size_t>& used_in, double deviation)
      : Eigen::DenseFunctor<double>(static_cast<int>(planes_in.degrees_of_freedom()),
                                    static_cast<int>(used_in.size() + planes_in.degrees_of_freedom() +
                                                     planes_in.half_width.size() - 1)),
        shape(shape_in),
        planes(planes_in),
        tapes(tapes_in),
        used(used_in),
        deviation_m(deviation) {}

  int operator()(const Eigen::VectorXd& stretch, Eigen::VectorXd& row) const {
    const CabinWarp warp(planes, stretch);
    const Shell shell = moved_shell(warp, shape);
    Eigen::Index r = 0, u = 0;
    for (std::size_t index : used) {
      const auto ends = ends_in(shell, warp, tapes[index]);
      row[r++] = ((ends[1] - ends[0]).norm() - tapes[index].length_m) / deviation_m;
    }
    for (std::size_t i = 1; i < planes.x.size(); ++i)
      row[r++] = stretch[u++] * std::sqrt((planes.x[i] - planes.x[i - 1]) / usual_gap_m) / length_deviation;
    for (std::size_t i = 1; i < planes.z.size(); ++i)
      row[r++] = stretch[u++] * std::sqrt((planes.z[i] - planes.z[i - 1]) / usual_gap_m) / height_deviation;
    double mean_width = 0;
    for (std::size_t i = 0; i < planes.half_width.size(); ++i) {
      if (i > 0) row[r++] = (stretch[u] - stretch[u - 1]) / neighbour_width_deviation;
      mean_width += stretch[u] / static_cast<double>(planes.half_width.size());
      row[r++] = stretch[u++] / width_deviation;
    }
    row[r] = (stretch[u] - mean_width) / head_deviation;
    return 0;
  }
};

struct Adjustment {
  Eigen::VectorXd stretch;
  std::vector<double> checked;   // of each used tape
  std::vector<double> residual;  // of each used tape, over the tape's deviation
};

Adjustment adjust(const CabinShape& shape, const FreePlanes& planes, const std::vector<TapeLine>& tapes,
                  const std::vector<std::size_t>& used, double deviation_m, Eigen::VectorXd start) {
  const Residuals residuals(shape, planes, tapes, used, deviation_m);
  Eigen::NumericalDiff<Residuals, Eigen::Central> differences(residuals);
  Eigen::LevenbergMarquardt<Eigen::NumericalDiff<Residuals, Eigen::Central>> solver(differences);
  solver.setMaxfev(400);
  Adjustment result;
  result.stretch = std::move(start);
  solver.minimize(result.stretch);
  Eigen::VectorXd row(residuals.values());
  residuals(result.stretch, row);
  Eigen::MatrixXd slope(residuals.values(), residuals.inputs());
  differences.df(result.stretch, slope);
  const auto count = static_cast<Eigen::Index>(used.size());
  const Eigen::MatrixXd of_tapes = slope.topRows(count);
  const Eigen::MatrixXd spread = (slope.transpose() * slope).ldlt().solve(of_tapes.transpose());
  for (Eigen::Index i = 0; i < count; ++i) {
    result.checked.push_back(std::clamp(1 - of_tapes.row(i).dot(spread.col(i)), 0.0, 1.0));
    result.residual.push_back(row[i]);
  }
  return result;
}

}  // namespace

std::array<Vector3, 2> tape_ends(const CabinWarp& warp, const CabinShape& shape, const TapeLine& tape) {
  return ends_in(moved_shell(warp, shape), warp, tape);
}

TapeFit fit_tapes(const CabinShape& shape, const FreePlanes& planes, const std::vector<TapeLine>& tapes,
                  const TapeFitOptions& options) {
  std::vector<std::size_t> used;
  for (std::size_t i = 0; i < tapes.size(); ++i) used.push_back(i);
  const Eigen::VectorXd none = Eigen::VectorXd::Zero(static_cast<Eigen::Index>(planes.degrees_of_freedom()));
  std::vector<FittedTape> fitted(tapes.size());
  Adjustment best = adjust(shape, planes, tapes, used, options.tape_deviation_m, none);
  const std::size_t most_wrong = options.find_wrong ? tapes.size() / 4 : 0;
  for (std::size_t left_out = 0; left_out < most_wrong; ++left_out) {
    std::size_t worst = 0;
    double largest = 0;
    for (std::size_t i = 0; i < used.size(); ++i) {
      if (best.checked[i] < least_checked) continue;
      const double size = std::abs(best.residual[i]) / std::sqrt(best.checked[i]);
      if (size <= largest) continue;
      largest = size;
      worst = i;
    }
    if (largest < wrong_over) break;
    fitted[used[worst]].wrong = true;
    fitted[used[worst]].checked = best.checked[worst];
    used.erase(used.begin() + static_cast<std::ptrdiff_t>(worst));
    best = adjust(shape, planes, tapes, used, options.tape_deviation_m, none);
  }
  for (std::size_t i = 0; i < used.size(); ++i) fitted[used[i]].checked = best.checked[i];
  TapeFit result{CabinWarp(planes, best.stretch), std::move(fitted)};
  const Shell shell = moved_shell(result.warp, shape);
  for (std::size_t i = 0; i < tapes.size(); ++i) {
    const auto ends = ends_in(shell, result.warp, tapes[i]);
    result.tapes[i].fitted_m = (ends[1] - ends[0]).norm();
    if (result.tapes[i].wrong) result.tapes[i].likely_error_m = tapes[i].length_m - result.tapes[i].fitted_m;
  }
  return result;
}

}  // namespace cabinfield
