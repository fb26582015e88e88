#include "system/branch_curve.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace cabinfield {

double CurvePiece::current_a(double voltage_v) const {
  return constant_a + conductance_s * voltage_v + (power_w == 0 ? 0 : power_w / voltage_v);
}

double CurvePiece::gross_a(double voltage_v) const {
  return std::abs(constant_a) + std::abs(conductance_s * voltage_v) +
         (power_w == 0 ? 0 : std::abs(power_w / voltage_v));
}

std::size_t BranchCurve::index_below(double voltage_v) const {
  std::size_t index = 0;
  while (index + 1 < pieces_.size() && pieces_[index + 1].from_v < voltage_v) ++index;
  return index;
}

double BranchCurve::steepest_secant_s(double voltage_v) const {
  std::size_t index = index_below(voltage_v);
  double high_v = voltage_v, fallen_a = 0, steepest_s = -std::numeric_limits<double>::infinity();
  for (;; --index) {
    const CurvePiece& piece = pieces_[index];
    const double low_v = piece.from_v;
    // Convex pieces are steepest at their upper end: there the tangent, which lies below them, bounds all
    // secants that end on it. Concave ones and straight ones are bounded by their ends.
    if (piece.power_w > 0 || high_v == voltage_v) {
      const double tangent_s = piece.secant_s(high_v, high_v);
      const double to_a = fallen_a + (high_v - low_v) * tangent_s;
      steepest_s = std::max(steepest_s, voltage_v > low_v ? to_a / (voltage_v - low_v) : tangent_s);
      if (high_v == voltage_v) steepest_s = std::max(steepest_s, tangent_s);
    }
    fallen_a += (high_v - low_v) * piece.secant_s(low_v, high_v);
    if (voltage_v > low_v) steepest_s = std::max(steepest_s, fallen_a / (voltage_v - low_v));
    high_v = low_v;
    if (index == 0) return steepest_s;
  }
}

double BranchCurve::least_slope_s(double low_v, double high_v) const {
  double least_s = std::numeric_limits<double>::infinity();
  for (std::size_t index = index_below(low_v); index < pieces_.size(); ++index) {
    const CurvePiece& piece = pieces_[index];
    if (index > index_below(low_v) && piece.from_v > high_v) break;
    const double from_v = std::max(low_v, piece.from_v);
    const double to_v =
        index + 1 < pieces_.size() ? std::min(high_v, pieces_[index + 1].from_v) : std::max(high_v, from_v);
    const double steepest_at_v = piece.power_w > 0 ? from_v : std::max(from_v, to_v);
    least_s = std::min(least_s, piece.secant_s(steepest_at_v, steepest_at_v));
  }
  return least_s;
}

BranchCurve regulated_source(double set_v, double resistance_ohm, double greatest_a) {
  if (!(greatest_a > 0)) return {};
  const double limited_below_v = set_v - resistance_ohm * greatest_a;
  std::vector<CurvePiece> pieces;
  if (limited_below_v > 0) pieces.push_back({0, -greatest_a, 0, 0});
  pieces.push_back({std::max(limited_below_v, 0.0), -set_v / resistance_ohm, 1 / resistance_ohm, 0});
  pieces.push_back({set_v, 0, 0, 0});
  return BranchCurve(std::move(pieces));
}

BranchCurve battery_curve(double emf_v, double resistance_ohm, double charge_resistance_ohm) {
  std::vector<CurvePiece> pieces{{0, -emf_v / resistance_ohm, 1 / resistance_ohm, 0}};
  if (charge_resistance_ohm > 0 && charge_resistance_ohm != resistance_ohm)
    pieces.push_back({emf_v, -emf_v / charge_resistance_ohm, 1 / charge_resistance_ohm, 0});
  return BranchCurve(std::move(pieces));
}

BranchCurve load_curve(double power_w, double least_v, const std::vector<PowerAtVoltage>& points) {
  if (points.size() < 3)
    return BranchCurve({{0, 0, power_w / (least_v * least_v), 0}, {least_v, 0, 0, power_w}});
  std::vector<CurvePiece> pieces{{0, 0, points.front().power_w / (least_v * least_v), 0}};
  for (std::size_t i = 0; i + 2 < points.size(); i += 2) {
    const auto &low = points[i], &middle = points[i + 1], &high = points[i + 2];
    const double first = (middle.power_w - low.power_w) / (middle.voltage_v - low.voltage_v);
    const double then = (high.power_w - middle.power_w) / (high.voltage_v - middle.voltage_v);
    const double bend = (then - first) / (high.voltage_v - low.voltage_v);
    // low + first (v - v0) + bend (v - v0)(v - v1), by powers of v.
    pieces.push_back({low.voltage_v, first - bend * (low.voltage_v + middle.voltage_v), bend,
                      low.power_w - first * low.voltage_v + bend * low.voltage_v * middle.voltage_v});
  }
  pieces.push_back({points.back().voltage_v, 0, 0, points.back().power_w});
  return BranchCurve(std::move(pieces));
}

BranchCurve charger_draw(double wanted_a, double greatest_a, double least_input_v, double coming_up_v,
                         double volts) {
  const double given_a = std::min(wanted_a, greatest_a);
  if (!(given_a > 0)) return {};
  const double rise_s = greatest_a / coming_up_v;
  return BranchCurve({{0, 0, 0, 0},
                      {least_input_v, rise_s * volts, 0, -rise_s * volts * least_input_v},
                      {least_input_v + given_a / rise_s, 0, 0, given_a * volts}});
}

}  // namespace cabinfield
