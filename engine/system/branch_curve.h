// Current over voltage of what is joined to one node of a supply, in pieces of a constant, a conductance and
// a constant power: d(v) = a + g v + p / v, continuous, for 0 <= v.
#pragma once

#include <cstddef>
#include <vector>

namespace cabinfield {

struct CurvePiece {
  double from_v = 0;  ///< up to where the next piece begins
  double constant_a = 0, conductance_s = 0, power_w = 0;

  double current_a(double voltage_v) const;
  /// Sum of the magnitudes of its parts, which rounding goes by.
  double gross_a(double voltage_v) const;
  /// (d(high) - d(low)) / (high - low) without cancellation; the slope where both are the same.
  double secant_s(double low_v, double high_v) const {
    return conductance_s - (power_w == 0 ? 0 : power_w / (low_v * high_v));
  }
};

/// Current drawn from the node, A.
class BranchCurve {
 public:
  BranchCurve() = default;
  /// Pieces in rising order, the first from 0 V and without power.
  explicit BranchCurve(std::vector<CurvePiece> pieces) : pieces_(std::move(pieces)) {}

  double current_a(double voltage_v) const { return piece_below(voltage_v).current_a(voltage_v); }
  double gross_a(double voltage_v) const { return piece_below(voltage_v).gross_a(voltage_v); }
  /// Of the piece below a corner: solutions are approached from above.
  double slope_s(double voltage_v) const { return piece_below(voltage_v).secant_s(voltage_v, voltage_v); }
  /// No secant from this voltage to any lower one is steeper.
  double steepest_secant_s(double voltage_v) const;
  /// No slope between two voltages is less.
  double least_slope_s(double low_v, double high_v) const;

 private:
  std::size_t index_below(double voltage_v) const;
  const CurvePiece& piece_below(double voltage_v) const { return pieces_[index_below(voltage_v)]; }

  std::vector<CurvePiece> pieces_{CurvePiece{}};
};

/// A source that holds a voltage behind a resistance, gives no more than a current and takes nothing back.
BranchCurve regulated_source(double set_v, double resistance_ohm, double greatest_a);

/// A voltage behind a resistance, another one while current flows in; the same where that is 0.
BranchCurve battery_curve(double emf_v, double resistance_ohm, double charge_resistance_ohm);

struct PowerAtVoltage {
  double voltage_v = 0, power_w = 0;
};
/// A load of constant power down to `least_v`, below that the resistance that it was there. With `points`
/// (an odd number, rising from `least_v`) its power follows parabolas through three of them at a time, and is
/// constant above the last.
BranchCurve load_curve(double power_w, double least_v, const std::vector<PowerAtVoltage>& points = {});

/// What a charger draws for an output current: it gives `wanted_a` at most, and what its input voltage lets
/// it, which comes up from 0 at `least_input_v` to `greatest_a` over `coming_up_v`; each ampere takes
/// `volts` of input power.
BranchCurve charger_draw(double wanted_a, double greatest_a, double least_input_v, double coming_up_v,
                         double volts);

}  // namespace cabinfield
