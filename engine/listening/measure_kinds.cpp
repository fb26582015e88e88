#include "listening/measure_kinds.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace cabinfield {
namespace {

using enum Stated;

constexpr std::array<MeasureDeclaration, 11> declarations{{
    {.kind = MeasureKind::level,
     .name = "level",
     .unit = "dB",
     .better = Better::large,
     .of_one_seat = true,
     .band = must,
     .channels = never,
     .pair = false,
     .target = false,
     .pressures = true,
     .arrivals = false,
     .lengths = false,
     .help = "mean sound pressure level in the band, both ears, every octave alike",
     .not_yet = ""},
    {.kind = MeasureKind::response_deviation,
     .name = "evenness",
     .unit = "dB",
     .better = Better::small,
     .of_one_seat = true,
     .band = must,
     .channels = never,
     .pair = false,
     .target = true,
     .pressures = true,
     .arrivals = false,
     .lengths = false,
     .help = "standard deviation of the third-octave levels in the band about the target",
     .not_yet = ""},
    {.kind = MeasureKind::deepest_notch,
     .name = "deepest_notch",
     .unit = "dB",
     .better = Better::small,
     .of_one_seat = true,
     .band = must,
     .channels = never,
     .pair = false,
     .target = false,
     .pressures = true,
     .arrivals = false,
     .lengths = false,
     .help = "how far the deepest notch in the band lies below the mean of the octave about it",
     .not_yet = ""},
    {.kind = MeasureKind::seat_spread,
     .name = "seat_spread",
     .unit = "dB",
     .better = Better::small,
     .of_one_seat = false,
     .band = must,
     .channels = never,
     .pair = false,
     .target = false,
     .pressures = true,
     .arrivals = false,
     .lengths = false,
     .help = "loudest seat less quietest in each third octave, mean over the band",
     .not_yet = ""},
    {.kind = MeasureKind::cancellation_loss,
     .name = "cancellation_loss",
     .unit = "dB",
     .better = Better::small,
     .of_one_seat = true,
     .band = must,
     .channels = never,
     .pair = false,
     .target = false,
     .pressures = true,
     .arrivals = false,
     .lengths = false,
     .help = "how much louder the band would be if all channels arrived in phase",
     .not_yet = ""},
    {.kind = MeasureKind::path_difference,
     .name = "path_difference",
     .unit = "mm",
     .better = Better::near_zero,
     .of_one_seat = true,
     .band = never,
     .channels = never,
     .pair = true,
     .target = false,
     .pressures = false,
     .arrivals = false,
     .lengths = true,
     .help = "way from the right channel of a pair less that from the left one",
     .not_yet = ""},
    {.kind = MeasureKind::arrival_spread,
     .name = "arrival_spread",
     .unit = "ms",
     .better = Better::small,
     .of_one_seat = true,
     .band = never,
     .channels = may,
     .pair = false,
     .target = false,
     .pressures = false,
     .arrivals = true,
     .lengths = false,
     .help = "last channel's first sound less the first one's, delays counted",
     .not_yet = ""},
    {.kind = MeasureKind::side_angle,
     .name = "side_angle",
     .unit = "deg",
     .better = Better::near_zero,
     .of_one_seat = true,
     .band = never,
     .channels = never,
     .pair = false,
     .target = false,
     .pressures = true,
     .arrivals = false,
     .lengths = false,
     .help = "side from which mono appears to come, right positive, by the ears' time difference",
     .not_yet = ""},
    {.kind = MeasureKind::power_share,
     .name = "power_share",
     .unit = "%",
     .better = Better::large,
     .of_one_seat = true,
     .band = must,
     .channels = must,
     .pair = false,
     .target = false,
     .pressures = true,
     .arrivals = false,
     .lengths = false,
     .help = "power of the named channels over the power of all, each by itself",
     .not_yet = ""},
    {.kind = MeasureKind::sum_share,
     .name = "sum_share",
     .unit = "%",
     .better = Better::large,
     .of_one_seat = true,
     .band = must,
     .channels = must,
     .pair = false,
     .target = false,
     .pressures = true,
     .arrivals = false,
     .lengths = false,
     .help = "part of the sum that is the named channels' doing, phase counted; below 0 they take away",
     .not_yet = ""},
    {.kind = MeasureKind::loudest,
     .name = "loudest",
     .unit = "dB",
     .better = Better::large,
     .of_one_seat = true,
     .band = must,
     .channels = never,
     .pair = false,
     .target = false,
     .pressures = true,
     .arrivals = false,
     .lengths = false,
     .help = "level in the band of the whole system with music when its first limit is reached",
     .not_yet = ""},
}};

constexpr bool in_order() {
  for (std::size_t k = 0; k < declarations.size(); ++k)
    if (declarations[k].kind != static_cast<MeasureKind>(k)) return false;
  return true;
}
static_assert(in_order());

}  // namespace

std::span<const MeasureDeclaration> measure_declarations() { return declarations; }

const MeasureDeclaration& declaration_of(MeasureKind kind) {
  return declarations[static_cast<std::size_t>(kind)];
}

const MeasureDeclaration* find_measure(std::string_view name) {
  const auto found = std::find_if(declarations.begin(), declarations.end(),
                                  [&](const MeasureDeclaration& one) { return one.name == name; });
  return found == declarations.end() ? nullptr : &*found;
}

double TargetCurve::level_at(double hz) const {
  const double tilt_db = tilt_db_per_octave * std::log2(hz / 1000);
  if (frequency_hz.empty()) return tilt_db;
  const auto above = std::upper_bound(frequency_hz.begin(), frequency_hz.end(), hz);
  if (above == frequency_hz.begin()) return tilt_db + level_db.front();
  if (above == frequency_hz.end()) return tilt_db + level_db.back();
  const std::size_t i = static_cast<std::size_t>(above - frequency_hz.begin());
  const double along = std::log(hz / frequency_hz[i - 1]) / std::log(frequency_hz[i] / frequency_hz[i - 1]);
  return tilt_db + level_db[i - 1] + along * (level_db[i] - level_db[i - 1]);
}

}  // namespace cabinfield
