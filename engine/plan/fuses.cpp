// Whether the fuses of a plan protect a cable and carry its load. Each end is judged by what can feed it: the
// rest of the plan through its fuses, then the cable's own fuse at that end.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "plan/judge_system.h"
#include "system/fuse.h"

namespace cabinfield {
namespace {

struct CableEnd {
  const std::string& node;
  std::optional<double> fuse_a;
  double reach_a = 0;

  double passes_a() const { return passes_fuse_a(reach_a, fuse_a); }
  /// Its own fuse, not one before it, limits the current here.
  bool own_limits() const { return fuse_a && *fuse_a <= reach_a; }
};

}  // namespace

void judge_fuses(const FusedCable& fused, std::vector<Check>& checks) {
  const PlannedCable& cable = fused.cable;
  const std::string name = cable.from + " to " + cable.to, &copper = cable.run.conductor.name;
  const double limit_a = fused.limit_a;
  const std::array<CableEnd, 2> ends{CableEnd{cable.from, cable.fuse_start_a, fused.reach.start_a},
                                     CableEnd{cable.to, cable.fuse_end_a, fused.reach.end_a}};
  const double most_a = std::max(ends[0].passes_a(), ends[1].passes_a());
  auto add = [&](bool holds, std::optional<double> margin_a, std::string words) {
    std::optional<Margin> margin;
    if (margin_a) margin = Margin{*margin_a, MarginUnit::ampere};
    checks.push_back(value_check(Rule::fuse, name, holds, margin, std::move(words)));
  };
  const std::string advice = fused.best_fuse_a > 0 ? fmt::format("{:g} A does both", fused.best_fuse_a)
                                                   : std::string("no fuse does both: use a thicker cable");
  bool unfused = false, protects = false;
  for (const CableEnd& end : ends) {
    if (!std::isinf(end.passes_a())) continue;
    unfused = true;
    add(false, {},
        fmt::format("{}: no fuse limits what a short draws from {}: fit one within 450 mm of the battery{}",
                    name, end.node,
                    fused.best_fuse_a > 0 ? fmt::format(", of {:g} A", fused.best_fuse_a) : std::string()));
  }
  for (const CableEnd& end : ends) {
    const double passes_a = end.passes_a();
    const bool over = std::isfinite(passes_a) && passes_a > limit_a;
    if (over && !end.own_limits())
      add(false, limit_a - passes_a,
          fmt::format("{}: up to {:g} A can flow into it at {}, {} carries {:.0f} A: {}", name, passes_a,
                      end.node, copper, limit_a,
                      fused.best_fuse_a > 0
                          ? fmt::format("fit a fuse of {:g} A at {}", fused.best_fuse_a, end.node)
                          : "no fuse protects it and carries its load: use a thicker cable"));
    if (!end.fuse_a) continue;
    const double fuse_a = *end.fuse_a, carries_a = fuse_continuous_part * fuse_a;
    if (fuse_a > limit_a && ((over && end.own_limits()) || unfused)) {
      add(false, limit_a - fuse_a,
          fmt::format("{}: the fuse of {:g} A at {} does not protect {}, which carries {:.0f} A; {}", name,
                      fuse_a, end.node, copper, limit_a, advice));
      continue;
    }
    const bool carries = carries_a >= fused.asked_a;
    const bool guards = end.reach_a > 0 && fuse_a <= limit_a && most_a <= limit_a;
    protects = protects || guards;
    add(carries, carries_a - fused.asked_a,
        !carries
            ? fmt::format("{}: the fuse of {:g} A at {} carries {:.0f} A continuously, music and full bass "
                          "need {:.0f} A; {}",
                          name, fuse_a, end.node, carries_a, fused.asked_a, advice)
        : guards ? fmt::format("{}: the fuse of {:g} A at {} protects {} ({:.0f} A) and carries {:.0f} A of "
                               "music",
                               name, fuse_a, end.node, copper, limit_a, fused.music_a)
                 : fmt::format("{}: the fuse of {:g} A at {} carries {:.0f} A of music", name, fuse_a,
                               end.node, fused.music_a));
  }
  if (!protects && most_a > 0 && most_a <= limit_a)
    add(true, limit_a - most_a,
        fmt::format("{}: up to {:g} A can flow into it, {} carries {:.0f} A", name, most_a, copper, limit_a));
}

}  // namespace cabinfield
