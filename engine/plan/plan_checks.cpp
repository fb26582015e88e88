#include <fmt/format.h>

#include <cmath>

#include "plan/highpass.h"
#include "plan/judge_system.h"

namespace cabinfield {
namespace {

void check_room(std::vector<Check>& checks, Rule rule, const MountedDriver& driver, double offered_m,
                double needed_m, const std::string& detail) {
  const double margin_m = offered_m - needed_m;
  checks.push_back(length_check(rule, driver.name, margin_m, tight_m,
                                margin_m < 0
                                    ? fmt::format("{}: {} is {:.0f} mm short ({})", driver.name,
                                                  name_of(rule), -margin_m * 1000, detail)
                                    : fmt::format("{}: {} fits with {:.0f} mm to spare ({})", driver.name,
                                                  name_of(rule), margin_m * 1000, detail)));
}

}  // namespace

std::vector<Check> check_plan(const Scene& scene) {
  std::vector<Check> checks;
  for (const MountedDriver& driver : scene.drivers) {
    if (driver.opening_cutout_m && driver.cutout_m)
      check_room(checks, Rule::hole, driver, *driver.opening_cutout_m, *driver.cutout_m,
                 fmt::format("needs {:.0f} mm across, {:.0f} mm can be cut", *driver.cutout_m * 1000,
                             *driver.opening_cutout_m * 1000));
    if (driver.opening_depth_m && driver.depth_m)
      check_room(checks, Rule::mounting_depth, driver,
                 *driver.opening_depth_m - driver.source.setback_m + driver.opening.spacer_m.value_or(0),
                 *driver.depth_m,
                 fmt::format("needs {:.0f} mm, {:.0f} mm lie behind the surface{}{}", *driver.depth_m * 1000,
                             *driver.opening_depth_m * 1000,
                             driver.source.setback_m > 0
                                 ? fmt::format(" less {:.0f} mm of setback", driver.source.setback_m * 1000)
                                 : "",
                             driver.opening.spacer_m
                                 ? fmt::format(" and {:.0f} mm of spacer", *driver.opening.spacer_m * 1000)
                                 : ""));
  }
  for (std::size_t c = 0; c < scene.channels.size(); ++c)
    for (int d : scene.channels[c].drivers) {
      const MountedDriver& driver = scene.drivers[d];
      if (!driver.lowest_highpass_hz) continue;
      Check check{Rule::lowest_highpass, driver.name, Outcome::met, {}, ""};
      check.words = fmt::format("{}: high-pass at or above {:.0f} Hz in every preset", driver.name,
                                *driver.lowest_highpass_hz);
      for (const Preset& preset : scene.presets) {
        const ChannelSettings& settings = preset.channels[c];
        if (settings.mute) continue;
        if (settings.highpass && settings.highpass->frequency_hz >= *driver.lowest_highpass_hz * (1 - 1e-9)) {
          const auto weak =
              weak_highpass(settings, scene.computation.sample_rate_hz, *driver.lowest_highpass_hz);
          if (!weak) continue;
          check.outcome = Outcome::violated;
          check.words = fmt::format(
              "{}: its model needs a second-order high-pass at {:.0f} Hz or above; preset {} of channel {} "
              "{}: "
              "take a steeper filter or a higher corner, and less equaliser there",
              driver.name, *driver.lowest_highpass_hz, preset.name, scene.channels[c].name,
              weak_highpass_words(*weak));
          break;
        }
        check.outcome = Outcome::violated;
        check.words = fmt::format(
            "{}: its model needs a high-pass at {:.0f} Hz or above; preset {} of channel {} has {}",
            driver.name, *driver.lowest_highpass_hz, preset.name, scene.channels[c].name,
            settings.highpass ? fmt::format("one at {:.0f} Hz", settings.highpass->frequency_hz) : "none");
        break;
      }
      checks.push_back(std::move(check));
    }
  return checks;
}

}  // namespace cabinfield
