// Output of an amplifier into a load, from its rating table.
//
// Each rating is a continuous sine: at load R and power P the output is sqrt(P R) volts and sqrt(P/R)
// amperes. The load line, voltage over current, runs straight between these points, continues with the slope
// of the first two toward no load (up to 1.2 times the first voltage), and ends at the current of the lowest
// load, the current limit. Power rated at a high distortion is that of a clipped sine; it is reduced to the
// onset of clipping. Voltages scale with the supply unless the amplifier is regulated. Reactive loads count
// by their modulus; the heat that they cause in a class AB output stage is not modelled.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/vector.h"

namespace cabinfield {

struct AmplifierRating {
  double load_ohm = 0, power_w = 0;
};

enum class AmplifierClass { ab, d };

/// Efficiency at full power and at an eighth of it: class D 80 to 85 % and 60 to 70 %, class AB 55 % and 25
/// to 30 % (common practice, no source).
struct Efficiency {
  double full = 0, eighth = 0;
};
Efficiency usual_efficiency(AmplifierClass kind);

struct Amplifier {
  int channels = 1;
  std::vector<AmplifierRating> ratings;  ///< of one channel, highest load first
  std::vector<AmplifierRating> bridged;  ///< of two channels as one; empty if it cannot be bridged
  double supply_v = 14.4;                ///< at which the ratings hold
  bool regulated = false;
  double distortion = 0.01;                          ///< at which the ratings hold
  double least_load_ohm = 0, least_bridged_ohm = 0;  ///< nominal loads
  double idle_a = 0.5;
  Efficiency efficiency{0.82, 0.65};
};

/// A published nominal load may fall to this part of itself at some frequency (IEC 60268-5, rated impedance;
/// value from memory).
inline constexpr double least_modulus_part = 0.8;

/// What is wrong with a rating table, "" for a valid one: loads must be above 0 and fall, current must rise
/// and voltage not rise with falling load (within 1 %: data sheets round).
std::string rating_error(const std::vector<AmplifierRating>& ratings);

/// Power of a sine clipped to a distortion over that of the largest clean one, 0 <= distortion <= 0.4.
double clipped_power_ratio(double distortion);

enum class OutputLimit { voltage, current };

/// Largest clean sine at the terminals, V RMS, into a load of that modulus, and what limits it.
struct OutputReach {
  double voltage_v = 0;
  OutputLimit limit = OutputLimit::voltage;
};
OutputReach output_reach(const Amplifier& amplifier, bool bridged, double load_ohm, double supply_v);

/// Power into a resistive load, W.
double power_into_w(const Amplifier& amplifier, bool bridged, double load_ohm, double supply_v);

/// Supply power (W) of the whole amplifier at `output_w` of its `full_w`: output, idle current, and losses
/// a sqrt(p) + b p at the part p of full power, fitted to both efficiencies.
double draw_w(const Amplifier& amplifier, double output_w, double full_w, double supply_v);

}  // namespace cabinfield
