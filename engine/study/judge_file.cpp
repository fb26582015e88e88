#include "study/judge_file.h"

#include <fmt/format.h>

#include <algorithm>
#include <set>
#include <string_view>

#include "base/constants.h"
#include "base/nearest_name.h"
#include "base/quantity.h"
#include "base/quoted.h"
#include "input/keys_values.h"
#include "listening/measures.h"
#include "scene/build_steps.h"

namespace cabinfield {
namespace {

/// A unit of measures, its quantity, and how many of the unit make one SI unit.
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

/// A value of the measure in its own unit; empty if absent or faulty.
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

  void say(std::string_view key, const std::string& words) const {
    faults.add(spec.at(key), owner + ": " + words);
  }

  /// Reports keys that the measure does not take and that MeasureOptions cannot hold.
  void keys_given() const {
    if (!kind.pair && spec.has("pair")) say("pair", "this measure takes no pair");
    if (!kind.target && spec.has("target")) say("target", "this measure takes no target");
  }

  /// Checks the options as a whole, except keys with a fault already reported.
  void options(const MeasureOptions& one, const Scene& scene, const std::set<std::string_view>& known) const {
    MeasureSetting setting{scene.computation.frequency_hz, scene.channels.size(), scene.seats.size(), {}};
    // Any scale will do here; each seat only needs one.
    setting.side_scale.assign(scene.seats.size(), SideAngleScale::of_free_ears(scene.air.sound_speed_m_s));
    for (const MeasureProblem& problem : measure_problems({&one, 1}, setting))
      if (!known.contains(problem.about))
        faults.add(spec.at(spec.has(problem.about) ? problem.about : "measure"),
                   owner + of_this(problem.words) + example_of(problem.about));
  }

 private:
  /// The message without the measure at its start, which the owner's name repeats.
  std::string of_this(const std::string& words) const {
    return words.starts_with(kind.name) ? words.substr(kind.name.size()) : " " + words;
  }
  /// An example of a missing key.
  std::string example_of(std::string_view about) const {
    if (spec.has(about)) return "";
    if (about == "band") return ", such as band: [60 Hz, 500 Hz]";
    if (about == "channels") return ": those whose share is measured";
    if (about == "pair") return ": pair: [left channel, right channel]";
    return "";
  }
};

void weigh_seats(const SeatsChoice& seats, const Scene& scene, MeasureOptions& options, Faults& faults) {
  if (seats.index() == 0) return;
  const auto& list = std::get<1>(seats);
  options.seat_weight.assign(scene.seats.size(), 0);
  if (list.index() == 0) {
    for (const int seat : seat_indices(std::get<0>(list), scene, faults)) options.seat_weight[seat] = 1;
    return;
  }
  for (const Named<double>& one : std::get<1>(list))
    for (const int seat : seat_indices({{one.name, one.location}}, scene, faults))
      options.seat_weight[seat] = one.value;
}

}  // namespace

std::vector<std::string> measure_names() {
  std::vector<std::string> names;
  for (const MeasureDeclaration& one : measure_declarations()) names.emplace_back(one.name);
  names.emplace_back(fits_the_opening);
  return names;
}

std::vector<int> seat_indices(const std::vector<Located<std::string>>& seats, const Scene& scene,
                              Faults& faults) {
  std::vector<int> indices;
  for (const Located<std::string>& seat : seats) {
    const int found = build::position_of(scene.seats, seat.value);
    if (found < 0)
      faults.add(seat.location, build::unknown_name("seat", seat.value, build::names_of(scene.seats)));
    if (found >= 0) indices.push_back(found);
  }
  return indices;
}

std::vector<int> channel_indices(const std::vector<Located<std::string>>& names, const Node& document,
                                 const Scene& scene, Faults& faults) {
  std::vector<int> indices;
  const auto take = [&](const std::string& name) {
    const int found = build::position_of(scene.channels, name);
    if (found >= 0 && std::find(indices.begin(), indices.end(), found) == indices.end())
      indices.push_back(found);
    return found >= 0;
  };
  const Node* groups = document.find("groups");
  for (const Located<std::string>& name : names) {
    if (take(name.value)) continue;
    const Node* group = groups != nullptr ? groups->find(name.value) : nullptr;
    if (group == nullptr) {
      std::vector<std::string> known = build::names_of(scene.channels);
      if (groups != nullptr)
        for (const Entry& entry : groups->entries()) known.push_back(entry.key);
      faults.add(name.location, build::unknown_name("channel or group", name.value, known));
      continue;
    }
    if (const Node* members = group->find("members"))
      for (const Node& member : members->items()) take(member.text());
  }
  return indices;
}

std::optional<FrequencyRange> study_band(const std::vector<double>& band_hz, const SourceLocation& location,
                                         const std::string& owner, const Scene& scene, Faults& faults) {
  if (band_hz.size() != 2) return std::nullopt;
  const FrequencyRange band{band_hz[0], band_hz[1]};
  const auto problem = band_problem(scene.computation.frequency_hz, band);
  if (!problem) return band;
  faults.add(location, owner + ": " + *problem);
  return std::nullopt;
}

std::optional<StudyMeasure> study_measure(const JudgeSpec& spec, const Node& document, const Scene& scene,
                                          Faults& faults) {
  const MeasureDeclaration* kind = find_measure(spec.measure);
  if (kind == nullptr) return std::nullopt;
  const std::size_t before = faults.times_added();
  StudyMeasure measure;
  measure.name = spec.name.empty() ? spec.measure : spec.name;
  measure.location = spec.location;
  const Check check{spec, *kind, "measure " + quoted(measure.name), faults};
  if (!kind->not_yet.empty()) {
    check.say("measure", "is not supported yet: it needs " + std::string(kind->not_yet));
    return std::nullopt;
  }
  check.keys_given();

  MeasureOptions& options = measure.options;
  std::set<std::string_view> known_at_fault;
  const auto find = [&](std::string_view key, const auto& step) {
    const std::size_t found = faults.times_added();
    step();
    if (faults.times_added() > found) known_at_fault.insert(key);
  };
  options.kind = kind->kind;
  if (spec.band_hz.size() == 2) options.band = {spec.band_hz[0], spec.band_hz[1]};
  if (spec.seats) {
    find("seats", [&] { weigh_seats(*spec.seats, scene, options, faults); });
  } else if (!scene.brief.listen.empty()) {
    options.seat_weight.assign(scene.seats.size(), 0);
    for (const std::string& seat : scene.brief.listen)
      options.seat_weight[static_cast<std::size_t>(build::position_of(scene.seats, seat))] = 1;
  }
  options.over = spec.worst_seat ? OverSeats::worst : OverSeats::mean;
  find("channels", [&] { options.channels = channel_indices(spec.channels, document, scene, faults); });
  options.signal = spec.signal;
  if (kind->pair && spec.pair.size() == 2)
    find("pair", [&] {
      for (std::size_t side : {0, 1}) {
        const std::vector<int> one = channel_indices({spec.pair[side]}, document, scene, faults);
        if (one.size() > 1)
          faults.add(spec.pair[side].location,
                     check.owner + ": a pair needs two channels, and this is a group");
        if (!one.empty()) (side == 0 ? options.left_channel : options.right_channel) = one.front();
      }
    });
  if (spec.target) {
    options.target.tilt_db_per_octave = spec.target->tilt_db_per_octave;
    auto levels = spec.target->levels;
    std::sort(levels.begin(), levels.end());
    for (const auto& [hz, level_db] : levels) {
      options.target.frequency_hz.push_back(hz);
      options.target.level_db.push_back(level_db);
    }
  }

  check.options(options, scene, known_at_fault);
  // Over several seats the value is a mean of magnitudes, or the worst: neither measures distance from an
  // aim.
  const auto asked = options.seat_weight.empty()
                         ? static_cast<std::ptrdiff_t>(scene.seats.size())
                         : std::count_if(options.seat_weight.begin(), options.seat_weight.end(),
                                         [](double weight) { return weight != 0; });
  if (spec.has("aim") && kind->of_one_seat && asked > 1 &&
      (kind->better == Better::near_zero || options.over == OverSeats::worst))
    check.say("aim", "an aim needs a single seat: give each seat a measure of its own");

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
