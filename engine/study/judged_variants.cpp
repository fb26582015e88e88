#include "study/judged_variants.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "plan/judge_system.h"
#include "predict/loudest.h"
#include "predict/prediction.h"
#include "predict/source_outputs.h"
#include "predict/two_ears.h"

namespace cabinfield {
namespace {

std::vector<std::string> channel_names(const Scene& scene) {
  std::vector<std::string> names;
  for (const Channel& channel : scene.channels) names.push_back(channel.name);
  return names;
}

/// Plans remembered: one for each sampled temperature that recurs.
constexpr std::size_t max_plans = 64;

/// The same scales as judge_two_ears uses.
std::vector<SideAngleScale> side_scales(const Scene& scene) {
  std::vector<SideAngleScale> scales;
  for (const Seat& seat : scene.seats) {
    std::optional<SideAngleScale> scale =
        side_scale(seat, scene.air.sound_speed_m_s, scene.computation.frequency_hz);
    // Without usable frequencies the side angle has no value on any scale.
    if (!scale) scale = SideAngleScale::of_free_ears(scene.air.sound_speed_m_s);
    scales.push_back(std::move(*scale));
  }
  return scales;
}

bool measures_sides(const std::vector<StudyMeasure>& measures) {
  return std::any_of(measures.begin(), measures.end(),
                     [](const StudyMeasure& one) { return one.options.kind == MeasureKind::side_angle; });
}

}  // namespace

VariantJudge::VariantJudge(std::vector<StudyMeasure> measures, const Scene& present)
    : measures_(std::move(measures)), present_(present), sides_(measures_sides(measures_)) {}

VariantJudge::PlanKey VariantJudge::key_of(const Scene& scene) const {
  PlanKey key{channel_names(scene), 0, {}};
  if (!sides_) return key;
  key.sound_speed_m_s = scene.air.sound_speed_m_s;
  for (const Seat& seat : scene.seats)
    key.heads.emplace_back((seat.ear[1] - seat.ear[0]).norm(), seat.sphere);
  return key;
}

VariantJudge::Prepared& VariantJudge::prepared(const Scene& scene) {
  const PlanKey key = key_of(scene);
  const auto before = plans_.find(key);
  if (before != plans_.end()) return before->second;
  if (plans_.size() >= max_plans) plans_.clear();

  const std::vector<std::string>& names = key.channels;
  const auto here = [&](int channel) {
    const auto found =
        std::find(names.begin(), names.end(), present_.channels[static_cast<std::size_t>(channel)].name);
    return found == names.end() ? -1 : static_cast<int>(found - names.begin());
  };
  std::vector<MeasureOptions> options;
  std::vector<std::size_t> indices;
  for (std::size_t m = 0; m < measures_.size(); ++m) {
    MeasureOptions one = measures_[m].options;
    bool whole = true;
    const bool named = !one.channels.empty();
    for (int& channel : one.channels) channel = here(channel);
    std::erase(one.channels, -1);
    if (named && one.channels.empty()) whole = false;
    for (int* of_pair : {&one.left_channel, &one.right_channel})
      if (*of_pair >= 0) whole = (*of_pair = here(*of_pair)) >= 0 && whole;
    if (!whole) continue;
    options.push_back(std::move(one));
    indices.push_back(m);
  }
  MeasurePlan plan(std::move(options), {scene.computation.frequency_hz, names.size(), scene.seats.size(),
                                        sides_ ? side_scales(scene) : std::vector<SideAngleScale>()});
  MeasureWorkspace work = plan.workspace();
  return plans_.emplace(key, Prepared{std::move(plan), std::move(work), std::move(indices)}).first->second;
}

Measured VariantJudge::operator()(const Scene& scene, const VariantSound& sound,
                                  const TransferFunctionSet& transfer, int preset) {
  Prepared& with = prepared(scene);
  Measured found;
  with.plan.evaluate(sound.heard(), with.work, found);
  const std::size_t seats = scene.seats.size();
  constexpr double nothing = std::numeric_limits<double>::quiet_NaN();
  Measured all{std::vector<double>(measures_.size(), nothing),
               std::vector<double>(measures_.size() * seats, nothing),
               std::vector<double>(measures_.size() * seats, nothing)};
  for (std::size_t w = 0; w < with.options.size(); ++w) {
    const std::size_t m = with.options[w];
    all.over_seats[m] = found.over_seats[w];
    for (std::size_t s = 0; s < seats; ++s) {
      all.at_seat[m * seats + s] = found.at_seat[w * seats + s];
      all.detail[m * seats + s] = found.detail[w * seats + s];
    }
    const MeasureOptions& options = measures_[m].options;
    if (options.kind != MeasureKind::loudest) continue;
    const std::vector<double> levels = loudest_db(scene, transfer, preset, options.band);
    double sum = 0, weights = 0, worst = std::numeric_limits<double>::infinity();
    for (std::size_t s = 0; s < seats; ++s) {
      const double weight = options.seat_weight.empty() ? 1 : options.seat_weight[s];
      if (weight == 0) continue;
      all.at_seat[m * seats + s] = levels[s];
      sum += weight * levels[s];
      weights += weight;
      worst = std::min(worst, levels[s]);
    }
    all.over_seats[m] = options.over == OverSeats::worst ? worst : sum / weights;
  }
  return all;
}

std::vector<double> loudest_db(const Scene& scene, const TransferFunctionSet& transfer, int preset,
                               FrequencyRange band) {
  // Loads, the channels that play the bass and the supply voltage are those of the first preset, the scene as
  // drawn, whichever preset is heard. Only the state of the heard preset is solved: all presets are set to
  // it, and nothing is read of the others.
  const auto row = static_cast<std::size_t>(preset);
  Scene heard = scene;
  const int state = scene.presets[row].state;
  for (Preset& one : heard.presets) one.state = state;
  Results results = predict_without_field(heard);
  FieldSolution fields;
  fields.transfer_pa_s_m3.resize(std::max<std::size_t>(1, scene.states.size()));
  fields.transfer_pa_s_m3[static_cast<std::size_t>(state)] = transfer_at(transfer, heard, state);
  const SourceOutputs outputs = source_outputs(heard);
  std::vector<ChannelDrive> drives;
  for (const Channel& channel : heard.channels) drives.push_back(drive_of(channel, outputs));
  find_loudest(heard, drives, fields, results);
  std::vector<double> levels(scene.seats.size(), std::numeric_limits<double>::quiet_NaN());
  const LimitReport& report = results.limits;
  if (report.system_music_kind.empty() || report.system_music_kind[row] == 0) return levels;
  for (std::size_t s = 0; s < levels.size(); ++s) {
    double power = 0;
    for (std::size_t b = 0; b < report.third_octave_hz.size(); ++b)
      if (report.third_octave_hz[b] >= band.low_hz && report.third_octave_hz[b] <= band.high_hz)
        power += std::pow(10, report.system_music_db(row, s, b) / 10);
    levels[s] = 10 * std::log10(power);
  }
  return levels;
}

bool is_missed_opening(const Check& check) {
  return check.outcome == Outcome::violated && check.rule != Rule::lowest_highpass;
}

std::size_t openings_missed(const Scene& scene) {
  const std::vector<Check> checks = check_plan(scene);
  return static_cast<std::size_t>(std::count_if(checks.begin(), checks.end(), is_missed_opening));
}

}  // namespace cabinfield
