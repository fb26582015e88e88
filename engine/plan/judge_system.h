// The rules of the plan around the sound, and the tables beside them. Each file of this folder judges one
// part.
#pragma once

#include <vector>

#include "plan/channel_load.h"
#include "plan/check.h"
#include "plan/system_report.h"
#include "scene/scene.h"
#include "system/fuse_reach.h"

namespace cabinfield {

/// The rules of the plan that can be checked without solving: hole, mounting depth, lowest high-pass of each
/// driver.
std::vector<Check> check_plan(const Scene& scene);

/// All parts, in the order of the functions below. Channels whose amplifier the scene leaves open are judged
/// as proposed.
struct SystemJudgement {
  SystemReport report;
  std::vector<Check> checks;
};
SystemJudgement judge_system(const Scene& scene);

/// Rules of one part are added to `checks`.
void judge_fit(const Scene& scene, std::vector<Check>& checks);
void judge_signal(const Scene& scene, std::vector<Check>& checks);
void judge_channels(const Scene& scene, const std::vector<ChannelLoad>& loads, SystemReport& report,
                    std::vector<Check>& checks);
void judge_wiring(const Scene& scene, const std::vector<ChannelLoad>& loads, SystemReport& report,
                  std::vector<Check>& checks);
void judge_supply(const Scene& scene, const std::vector<ChannelLoad>& loads, SystemReport& report,
                  std::vector<Check>& checks);
/// What charges the batteries of a supply whose load cases are in the report, and whether the alternator can.
void judge_charging(const SupplyPlan& plan, const SystemReport& report, std::vector<Check>& checks);
/// One cable of the supply before its fuses.
struct FusedCable {
  const PlannedCable& cable;
  CableReach reach;
  double limit_a = 0;      ///< that its insulation stands
  double music_a = 0;      ///< that flows for good
  double asked_a = 0;      ///< that a fuse must carry for good
  double best_fuse_a = 0;  ///< that protects it and carries its load, 0 where none does
};
void judge_fuses(const FusedCable& fused, std::vector<Check>& checks);
void judge_load_space(const Scene& scene, SystemReport& report, std::vector<Check>& checks);
/// Never a violation; each once, next to what it concerns.
void add_cautions(const Scene& scene, std::vector<Check>& checks);

/// Under this much room a plan is worth a second look: two hand measurements agree no better (common
/// practice, no source).
inline constexpr double tight_m = 0.005;

/// A rule whose margin is a length: violated below 0, a caution below `least_m`.
Check length_check(Rule rule, std::string subject, double margin_m, double least_m, std::string words);
/// A rule with another margin, or none.
Check value_check(Rule rule, std::string subject, bool holds, std::optional<Margin> margin,
                  std::string words);

/// Least 0.8 of a nominal load: whether an output drives a channel.
bool drives(const Amplifier& amplifier, bool bridged, double least_ohm);

}  // namespace cabinfield
