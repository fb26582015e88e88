#include "plan/judge_system.h"

#include <utility>

namespace cabinfield {
namespace {

/// Whole millimetres are not exact in binary.
constexpr double rounding_m = 1e-9;

}  // namespace

Check length_check(Rule rule, std::string subject, double margin_m, double least_m, std::string words) {
  const Outcome outcome = margin_m < -rounding_m            ? Outcome::violated
                          : margin_m < least_m - rounding_m ? Outcome::caution
                                                            : Outcome::met;
  return {rule, std::move(subject), outcome, Margin{margin_m, MarginUnit::metre}, std::move(words)};
}

Check value_check(Rule rule, std::string subject, bool holds, std::optional<Margin> margin,
                  std::string words) {
  return {rule, std::move(subject), holds ? Outcome::met : Outcome::violated, margin, std::move(words)};
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
  judge_power(scene, judged.report, judged.checks);
  judge_supply(scene, loads, judged.report, judged.checks);
  judge_batteries(scene, judged.checks);
  judge_load_space(scene, judged.report, judged.checks);
  add_cautions(scene, judged.checks);
  return judged;
}

}  // namespace cabinfield
