#include "study/judge_file.h"

#include <fmt/format.h>

#include <algorithm>

#include "base/constants.h"
#include "base/nearest_name.h"
#include "base/quantity.h"
#include "base/quoted.h"
#include "input/keys_values.h"
#include "scene/build_steps.h"

namespace cabinfield {
namespace {

/// The quantity that a unit of measures stands for, and how many of that unit its SI value has.
struct MeasureUnit {
  const char* unit;
  Quantity quantity;
  double per_si;
};
constexpr MeasureUnit units[] = {{"dB", Quantity::level, 1},
                                 {"mm", Quantity::length, 1e3},
                                 {"ms", Quantity::time, 1e3},
                                 {"deg", Quantity::angle, 180 / pi},
                                 {"%", Quantity::fraction, 100}};

/// A value of the measure in its own unit; empty where none is given or it is at fault.
std::optional<double> in_unit(const Node& node, const MeasureDeclaration& kind, const std::string& owner,
                              Faults& faults) {
  if (node.kind() == NodeKind::null) return std::nullopt;
  const auto unit = std::find_if(std::begin(units), std::end(units),
                                 [&](const MeasureUnit& one) { return one.unit == kind.unit; });
  if (unit == std::end(units)) return std::nullopt;
  Reading reading{faults, 1.0, owner};
  const std::optional<double> value = quantity(unit->quantity).read(node, reading);
  if (!value) return std::nullopt;
  return *value * unit->per_si;
}

struct Check {
  const JudgeSpec& spec;
  const MeasureDeclaration& kind;
  const std::string owner;
  Faults& faults;

  void say(const char* key, const std::string& words) const {
    faults.add(spec.at(key), owner + ": " + words);
  }

  void band_and_channels() const {
    if (kind.band == Stated::must && !spec.has("band"))
      say("measure", "key 'band' is missing: [from, to] such as [60 Hz, 500 Hz]");
    if (kind.band == Stated::never && spec.has("band")) say("band", "it has no band");
    if (kind.channels == Stated::must && !spec.has("channels"))
      say("measure", "key 'channels' is missing: whose share is asked for");
    if (kind.channels == Stated::never && spec.has("channels")) say("channels", "it is of all channels");
    if (kind.pair && !spec.has("pair"))
      say("measure", "key 'pair' is missing: [left channel, right channel]");
    if (!kind.pair && spec.has("pair")) say("pair", "it is not of a pair");
    if (!kind.target && spec.has("target")) say("target", "it has no target");
  }
};

void weigh_seats(const SeatsChoice& seats, const Scene& scene, MeasureWish& wish, Faults& faults) {
  if (seats.index() == 0) return;
  const auto& list = std::get<1>(seats);
  wish.seat_weight.assign(scene.seats.size(), 0);
  if (list.index() == 0) {
    for (const int seat : seat_indices(std::get<0>(list), scene, faults)) wish.seat_weight[seat] = 1;
    return;
  }
  for (const Named<double>& one : std::get<1>(list))
    for (const int seat : seat_indices({{one.name, one.place}}, scene, faults))
      wish.seat_weight[seat] = one.value;
}

}  // namespace

std::vector<std::string> measure_names() {
  std::vector<std::string> names;
  for (const MeasureDeclaration& one : measure_declarations()) names.emplace_back(one.name);
  names.emplace_back(fits_the_opening);
  return names;
}

std::vector<int> seat_indices(const std::vector<Placed<std::string>>& seats, const Scene& scene,
                              Faults& faults) {
  std::vector<int> indices;
  for (const Placed<std::string>& seat : seats) {
    const int found = build::position_of(scene.seats, seat.value);
    if (found < 0)
      faults.add(seat.place, build::unknown_name("seat", seat.value, build::names_of(scene.seats)));
    if (found >= 0) indices.push_back(found);
  }
  return indices;
}

std::vector<int> channel_indices(const std::vector<Placed<std::string>>& names, const Node& document,
                                 const Scene& scene, Faults& faults) {
  std::vector<int> indices;
  const auto take = [&](const std::string& name) {
    const int found = build::position_of(scene.channels, name);
    if (found >= 0 && std::find(indices.begin(), indices.end(), found) == indices.end())
      indices.push_back(found);
    return found >= 0;
  };
  const Node* groups = document.find("groups");
  for (const Placed<std::string>& name : names) {
    if (take(name.value)) continue;
    const Node* group = groups != nullptr ? groups->find(name.value) : nullptr;
    if (group == nullptr) {
      std::vector<std::string> known = build::names_of(scene.channels);
      if (groups != nullptr)
        for (const Entry& entry : groups->entries()) known.push_back(entry.key);
      faults.add(name.place, build::unknown_name("channel or group", name.value, known));
      continue;
    }
    if (const Node* members = group->find("members"))
      for (const Node& member : members->items()) take(member.text());
  }
  return indices;
}

std::optional<FrequencyRange> study_band(const std::vector<double>& band_hz, const Place& place,
                                         const std::string& owner, const Scene& scene, Faults& faults) {
  if (band_hz.size() != 2) return std::nullopt;
  const double low = band_hz[0], high = band_hz[1];
  if (!(low < high)) {
    faults.add(place, fmt::format("{}: the band runs from {} to {}: give the lower frequency first", owner,
                                  readable_quantity(low, Quantity::frequency),
                                  readable_quantity(high, Quantity::frequency)));
    return std::nullopt;
  }
  const std::vector<double>& all = scene.computation.frequency_hz;
  if (std::any_of(all.begin(), all.end(), [&](double hz) { return hz >= low && hz <= high; }))
    return FrequencyRange{low, high};
  faults.add(place, fmt::format(
                        "{}: the scene has no frequency from {}: its compute has {} of them, from {}", owner,
                        readable_range(low, high, Quantity::frequency), all.size(),
                        all.empty() ? "none" : readable_range(all.front(), all.back(), Quantity::frequency)));
  return std::nullopt;
}

std::optional<StudyMeasure> study_measure(const JudgeSpec& spec, const Node& document, const Scene& scene,
                                          Faults& faults) {
  const MeasureDeclaration* kind = find_measure(spec.measure);
  if (kind == nullptr) return std::nullopt;
  const std::size_t before = faults.times_added();
  StudyMeasure measure;
  measure.name = spec.name.empty() ? spec.measure : spec.name;
  measure.place = spec.place;
  const Check check{spec, *kind, "measure " + quoted(measure.name), faults};
  if (!kind->not_yet.empty()) {
    check.say("measure", "is not supported yet: it waits for " + std::string(kind->not_yet));
    return std::nullopt;
  }
  check.band_and_channels();

  MeasureWish& wish = measure.wish;
  wish.kind = kind->kind;
  if (spec.has("band") && kind->band != Stated::never)
    if (const auto band = study_band(spec.band_hz, spec.at("band"), check.owner, scene, faults))
      wish.band = *band;
  if (spec.seats) {
    weigh_seats(*spec.seats, scene, wish, faults);
  } else if (!scene.brief.listen.empty()) {
    wish.seat_weight.assign(scene.seats.size(), 0);
    for (const std::string& seat : scene.brief.listen)
      wish.seat_weight[static_cast<std::size_t>(build::position_of(scene.seats, seat))] = 1;
  }
  const auto asked = wish.seat_weight.empty()
                         ? static_cast<std::ptrdiff_t>(scene.seats.size())
                         : std::count_if(wish.seat_weight.begin(), wish.seat_weight.end(),
                                         [](double weight) { return weight > 0; });
  if (!kind->of_one_seat && asked < 2) check.say("seats", "it compares seats: name at least two");
  if (kind->of_one_seat && asked < 1) check.say("seats", "no seat is asked for");

  wish.over = spec.worst_seat ? OverSeats::worst : OverSeats::mean;
  wish.channels = channel_indices(spec.channels, document, scene, faults);
  wish.signal = spec.signal;
  if (spec.pair.size() == 2) {
    for (std::size_t side : {0, 1}) {
      const std::vector<int> one = channel_indices({spec.pair[side]}, document, scene, faults);
      if (one.size() > 1)
        faults.add(spec.pair[side].place, check.owner + ": a pair is of two channels, this is a group");
      if (!one.empty()) (side == 0 ? wish.left_channel : wish.right_channel) = one.front();
    }
  }
  if (spec.target) {
    wish.target.tilt_db_per_octave = spec.target->tilt_db_per_octave;
    auto levels = spec.target->levels;
    std::sort(levels.begin(), levels.end());
    for (const auto& [hz, level_db] : levels) {
      wish.target.frequency_hz.push_back(hz);
      wish.target.level_db.push_back(level_db);
    }
  }

  measure.judgement = judgement_of(kind->kind);
  measure.judgement.weight = spec.weight;
  measure.judgement.aim = in_unit(spec.aim, *kind, check.owner + ": aim", faults);
  measure.judgement.at_least = in_unit(spec.at_least, *kind, check.owner + ": at_least", faults);
  measure.judgement.at_most = in_unit(spec.at_most, *kind, check.owner + ": at_most", faults);
  if (faults.times_added() > before) return std::nullopt;
  if (const auto problem = judgement_problem(measure.judgement)) {
    check.say("measure", *problem);
    return std::nullopt;
  }
  return measure;
}

}  // namespace cabinfield
