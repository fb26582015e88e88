#include "plan/judge_system.h"

#include <limits>

namespace cabinfield {
namespace {

/// Whole millimetres as typed are not whole in binary.
constexpr double rounding_m = 1e-9;

}  // namespace

Check length_check(std::string rule, std::string subject, double margin_m, double least_m,
                   std::string words) {
  Check check;
  check.rule = std::move(rule);
  check.subject = std::move(subject);
  check.margin_m = margin_m;
  check.outcome = margin_m < -rounding_m ? "violated" : margin_m < least_m - rounding_m ? "caution" : "met";
  check.words = std::move(words);
  return check;
}

Check value_check(std::string rule, std::string subject, bool holds, double margin, std::string unit,
                  std::string words) {
  Check check;
  check.rule = std::move(rule);
  check.subject = std::move(subject);
  check.margin_m = std::numeric_limits<double>::quiet_NaN();
  check.margin = margin;
  check.margin_unit = std::move(unit);
  check.outcome = holds ? "met" : "violated";
  check.words = std::move(words);
  return check;
}

bool drives(const Amplifier& amplifier, bool bridged, double least_ohm) {
  const double nominal = bridged ? amplifier.least_bridged_ohm : amplifier.least_load_ohm;
  return nominal > 0 && least_ohm >= least_modulus_part * nominal * (1 - 1e-9);
}

SystemJudgement judge_system(const Scene& scene) {
  SystemJudgement judged;
  const std::vector<ChannelLoad> loads = channel_loads(scene);
  for (const PlannedAmplifier& amplifier : scene.system.amplifiers)
    judged.report.amplifier.push_back(amplifier.name);
  judge_fit(scene, judged.checks);
  judge_signal(scene, judged.checks);
  judge_channels(scene, loads, judged.report, judged.checks);
  judge_wiring(scene, loads, judged.report, judged.checks);
  judge_supply(scene, loads, judged.report, judged.checks);
  judge_load_space(scene, judged.report, judged.checks);
  add_cautions(scene, judged.checks);
  return judged;
}

}  // namespace cabinfield
