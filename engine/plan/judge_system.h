// The rules of the plan around the sound, and its tables. Each file of this folder judges one part.
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

/// All parts, in the order of the functions below. Channels without an assigned amplifier are judged as
/// proposed.
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
/// Clean amplifier power against coil rating and cone travel, in the loudest preset.
void judge_power(const Scene& scene, const SystemReport& report, std::vector<Check>& checks);
/// Batteries: in parallel, vented, held down; leads of chargers.
void judge_batteries(const Scene& scene, std::vector<Check>& checks);
/// One cable of the supply before its fuses.
struct FusedCable {
  const PlannedCable& cable;
  CableReach reach;
  double limit_a = 0;      ///< continuous, by its insulation
  double music_a = 0;      ///< continuous
  double asked_a = 0;      ///< that a fuse must carry continuously: music, and full bass at its own rating
  double best_fuse_a = 0;  ///< that protects it and carries its load, 0 where none does
};
void judge_fuses(const FusedCable& fused, std::vector<Check>& checks);
void judge_load_space(const Scene& scene, SystemReport& report, std::vector<Check>& checks);
/// Never a violation.
void add_cautions(const Scene& scene, std::vector<Check>& checks);

/// Below this margin a plan is worth a second look: two hand measurements agree no better (common
/// practice, no source).
inline constexpr double tight_m = 0.005;

/// A rule whose margin is a length: violated below 0, a caution below `least_m`.
Check length_check(Rule rule, std::string subject, double margin_m, double least_m, std::string words);
/// A rule with another margin, or none.
Check value_check(Rule rule, std::string subject, bool holds, std::optional<Margin> margin,
                  std::string words);

/// Whether an output drives a load whose modulus falls to `least_ohm`: 0.8 of the nominal load at least.
bool drives(const Amplifier& amplifier, bool bridged, double least_ohm);

}  // namespace cabinfield
