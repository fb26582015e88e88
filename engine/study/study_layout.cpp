#include "study/study_layout.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <numeric>

#include "storage/hdf5_file.h"
#include "storage/utc_now.h"
#include "storage/whole_file.h"
#include "study/placement_map_order.h"

namespace cabinfield {
namespace {

using Shape = std::vector<std::size_t>;
using Names = std::vector<std::string>;

constexpr double none = std::numeric_limits<double>::quiet_NaN();

/// Collects datasets without checks: inconsistent axes are found in writing.
class Collection {
 public:
  void text(const std::string& path, Names axes, const std::string& long_name, Names values) {
    Shape shape = axes.empty() ? Shape{} : Shape{values.size()};
    add({path, std::move(axes), "", long_name, {std::move(shape), std::move(values)}});
  }
  void whole(const std::string& path, Names axes, Shape shape, const std::string& long_name,
             std::vector<int> values) {
    add({path, std::move(axes), "1", long_name, {std::move(shape), std::move(values)}});
  }
  void real(const std::string& path, Names axes, Shape shape, const std::string& units,
            const std::string& long_name, std::vector<double> values) {
    add({path, std::move(axes), units, long_name, {std::move(shape), std::move(values)}});
  }
  std::vector<StudyDataset> list;

 private:
  void add(StudyDataset one) {
    if (one.values.size() > 0) list.push_back(std::move(one));
  }
};

std::vector<int> counted(std::size_t count) {
  std::vector<int> numbers(count);
  std::iota(numbers.begin(), numbers.end(), 0);
  return numbers;
}

void add_variants(const Study& study, const StudyOutcome& outcome, Collection& to) {
  const std::size_t variants = outcome.score.size(), measures = study.judge.size(), axes = study.axes.size(),
                    seats = study.present.scene->seats.size();
  Names labels;
  std::vector<int> choice, broken, possible, rank(variants, -1);
  std::vector<double> points;
  std::vector<int> as_drawn(variants, 0);
  if (const auto present = study.present_variant()) as_drawn[*present] = 1;
  for (std::size_t v = 0; v < variants; ++v) {
    labels.push_back(study.label(v));
    for (std::size_t chosen : study.choices(v)) choice.push_back(static_cast<int>(chosen));
    points.push_back(outcome.score[v].points);
  }
  for (std::size_t r = 0; r < outcome.ranking.size(); ++r) rank[outcome.ranking[r]] = static_cast<int>(r);
  for (std::size_t v = 0; v < variants; ++v) {
    possible.push_back(rank[v] >= 0 ? 1 : 0);
    broken.push_back(rank[v] >= 0 ? static_cast<int>(outcome.score[v].broken) : 0);
  }
  to.whole("/variant", {"variant"}, {variants}, "number of the variant, as --write-scene takes it",
           counted(variants));
  to.text("/variants/label", {"variant"}, "label of the choices", labels);
  to.whole("/variants/choice", {"variant", "axis"}, {variants, axes},
           "choice on each axis, from 0 in the order of the study", choice);
  to.whole("/variants/possible", {"variant"}, {variants}, "1 where the variant could be judged", possible);
  to.whole("/variants/rank", {"variant"}, {variants}, "0 is the best; -1 where it is impossible", rank);
  to.whole("/variants/as_drawn", {"variant"}, {variants}, "1 for the variant that is the scene as drawn",
           as_drawn);
  to.real("/variants/points", {"variant"}, {variants}, "1", "score, higher is better; NaN without a score",
          points);
  to.whole("/variants/broken_limits", {"variant"}, {variants}, "hard limits that the variant breaks", broken);
  to.real("/variants/value", {"variant", "measure"}, {variants, measures}, "1",
          "each measure over its seats, in the unit of /measures/unit; NaN without a value", outcome.value);
  to.real("/variants/value_at_seat", {"variant", "measure", "seat"}, {variants, measures, seats}, "1",
          "each measure at each seat, in the unit of /measures/unit; NaN without a value", outcome.at_seat);
  to.real("/variants/notch_frequency", {"variant", "measure", "seat"}, {variants, measures, seats}, "Hz",
          "frequency of the deepest notch; NaN for other measures and without a notch", outcome.detail);
}

/// Index of each of the file's channels among a variant's own; -1 for a channel that it lacks.
std::vector<int> positions(const Names& all, const Names& own) {
  std::vector<int> at;
  for (const std::string& name : all) {
    const auto found = std::find(own.begin(), own.end(), name);
    at.push_back(found == own.end() ? -1 : static_cast<int>(found - own.begin()));
  }
  return at;
}

void add_leading(const Study& study, const StudyOutcome& outcome, Collection& to) {
  if (outcome.leading.empty()) return;
  const std::size_t leading = outcome.leading.size(), seats = study.present.scene->seats.size(),
                    measures = study.judge.size(), bands = outcome.leading.front().contributions.bands.size();
  const auto& frequency_hz = study.present.scene->computation.frequency_hz;
  // Step 1: axes. Channels are the union over the leading variants.
  Names channels, band_names, labels, broken;
  std::vector<int> variant, times_best, times_better;
  std::vector<double> response, sum, without, own, delay, gain, low, median, high, level_low, level_median,
      level_high, band_hz;
  for (const LeadingVariant& one : outcome.leading)
    for (const std::string& name : one.channel)
      if (std::find(channels.begin(), channels.end(), name) == channels.end()) channels.push_back(name);
  for (const BandSlice& band : outcome.leading.front().contributions.bands) {
    band_names.push_back(band.label);
    band_hz.push_back(band.middle_hz);
  }
  // Step 2: collect the values of each leading variant; NaN for channels that it lacks.
  for (const LeadingVariant& one : outcome.leading) {
    variant.push_back(static_cast<int>(one.variant));
    labels.push_back(one.label);
    std::string words;
    for (const std::string& limit : one.broken) words += (words.empty() ? "" : "; ") + limit;
    broken.push_back(words);
    response.insert(response.end(), one.response_db.values().begin(), one.response_db.values().end());
    sum.insert(sum.end(), one.contributions.sum_db.values().begin(), one.contributions.sum_db.values().end());
    for (int c : positions(channels, one.channel)) {
      delay.push_back(c < 0 ? none : one.added_delay_s[static_cast<std::size_t>(c)]);
      gain.push_back(c < 0 ? none : one.added_gain_db[static_cast<std::size_t>(c)]);
      for (std::size_t s = 0; s < seats; ++s)
        for (std::size_t b = 0; b < bands; ++b) {
          without.push_back(c < 0 ? none : one.contributions.without_db(static_cast<std::size_t>(c), s, b));
          own.push_back(c < 0 ? none : one.contributions.own_db(static_cast<std::size_t>(c), s, b));
        }
    }
    if (outcome.samples == 0) continue;
    times_best.push_back(static_cast<int>(one.times_best));
    times_better.push_back(one.times_better ? static_cast<int>(*one.times_better) : -1);
    for (const SampleBand& band : one.value) {
      low.push_back(band.low);
      median.push_back(band.median);
      high.push_back(band.high);
    }
    for (std::size_t s = 0; s < seats; ++s)
      for (std::size_t b = 0; b < bands; ++b) {
        level_low.push_back(one.band_level_db(s, b, 0));
        level_median.push_back(one.band_level_db(s, b, 1));
        level_high.push_back(one.band_level_db(s, b, 2));
      }
  }
  // Step 3: datasets.
  to.text("/channel", {"channel"}, "channels of the leading variants", channels);
  to.text("/band", {"band"}, "third octaves", band_names);
  to.whole("/leading_index", {"leading_index"}, {leading},
           "the leading variants, best first, and the present variant", counted(leading));
  const Names per{"leading_index"}, per_measure{"leading_index", "measure"},
      per_band{"leading_index", "seat", "band"}, per_channel{"leading_index", "channel"},
      per_channel_band{"leading_index", "channel", "seat", "band"};
  to.real("/leading/band_middle", {"band"}, {bands}, "Hz", "centre frequency of each third octave", band_hz);
  to.whole("/leading/variant", per, {leading}, "number of the variant", variant);
  to.text("/leading/label", per, "label of the choices", labels);
  to.text("/leading/broken", per, "hard limits that it breaks, as text", broken);
  to.real("/leading/response", {"leading_index", "seat", "frequency"}, {leading, seats, frequency_hz.size()},
          "dB",
          "level of the mono sum re 20 uPa, mean power of both ears, after the adjustments of before_judging",
          response);
  to.real("/leading/added_delay", per_channel, {leading, channels.size()}, "s",
          "delay added before judging; NaN for a channel that the variant lacks", delay);
  to.real("/leading/added_gain", per_channel, {leading, channels.size()}, "dB",
          "gain added before judging; NaN for a channel that the variant lacks", gain);
  to.real("/contribution/sum", per_band, {leading, seats, bands}, "dB", "level of all channels together",
          sum);
  to.real("/contribution/without", per_channel_band, {leading, channels.size(), seats, bands}, "dB",
          "level of all channels but this one; NaN for a channel that the variant lacks", without);
  to.real("/contribution/alone", per_channel_band, {leading, channels.size(), seats, bands}, "dB",
          "level of this channel alone; NaN for a channel that the variant lacks", own);
  to.whole("/draws/times_best", per, {leading}, "draws in which it is the best of the leading variants",
           times_best);
  to.whole("/draws/times_better", per, {leading},
           "draws in which it beats the present variant; -1 for the present variant and without one",
           times_better);
  for (const auto& [name, words, values] :
       {std::tuple("low", "10 %", &low), std::tuple("median", "50 %", &median),
        std::tuple("high", "90 %", &high)})
    to.real(std::string("/draws/value_") + name, per_measure, {leading, measures}, "1",
            std::string(words) + " quantile of the measure over the draws", *values);
  for (const auto& [name, words, values] :
       {std::tuple("low", "10 %", &level_low), std::tuple("median", "50 %", &level_median),
        std::tuple("high", "90 %", &level_high)})
    to.real(std::string("/draws/level_") + name, per_band, {leading, seats, bands}, "dB",
            std::string(words) + " quantile of the level of the sum over the draws", *values);
}

void add_placement_map(const PlacementMapRequest& request, const PlacementMap& placement_map,
                       std::size_t seats, Collection& to) {
  const std::size_t points = placement_map.point_m.size();
  std::vector<double> position;
  std::vector<int> corners, rank(points, -1);
  const std::vector<std::size_t> order = best_points_first(request, placement_map);
  for (std::size_t r = 0; r < order.size(); ++r) rank[order[r]] = static_cast<int>(r);
  for (const Vector3& point : placement_map.point_m)
    position.insert(position.end(), point.begin(), point.end());
  for (const auto& triangle : placement_map.triangle)
    corners.insert(corners.end(), triangle.begin(), triangle.end());
  to.whole("/point_index", {"point_index"}, {points}, "points of the placement map", counted(points));
  to.whole("/triangle_index", {"triangle_index"}, {placement_map.triangle.size()},
           "triangles of the placement map", counted(placement_map.triangle.size()));
  if (!placement_map.triangle.empty())
    to.whole("/corner_index", {"corner_index"}, {3}, "corners of a triangle", counted(3));
  to.real("/paint/position", {"point_index", "xyz"}, {points, 3}, "m", "position of the driver", position);
  to.real("/paint/value", {"point_index"}, {points}, "1",
          "the measure with the driver there, in its unit; NaN where it cannot be mounted",
          placement_map.value);
  to.real("/paint/value_at_seat", {"point_index", "seat"}, {points, seats}, "1",
          "the same at each seat; NaN without a value", placement_map.at_seat);
  to.whole("/paint/rank", {"point_index"}, {points},
           "0 is the best point; -1 where a driver cannot be mounted", rank);
  to.text("/paint/why_not", {"point_index"}, "why a driver cannot be mounted there, or nothing",
          placement_map.why_not);
  to.whole("/paint/triangle", {"triangle_index", "corner_index"}, {placement_map.triangle.size(), 3},
           "points at the corners of each triangle of the surface", corners);
}

}  // namespace

std::vector<StudyDataset> study_datasets(const Study& study, const StudyOutcome& outcome) {
  Collection to;
  const Scene& present = *study.present.scene;
  to.text("/study/source", {}, "the study file as read", {study.source});
  to.text("/study/scene", {}, "the scene file as read", {study.present.source});
  Names seats, measures, units, kinds, axes;
  std::vector<double> weight;
  for (const Seat& seat : present.seats) seats.push_back(seat.name);
  for (const StudyMeasure& measure : study.judge) {
    measures.push_back(measure.name);
    kinds.emplace_back(declaration_of(measure.options.kind).name);
    units.emplace_back(declaration_of(measure.options.kind).unit);
    weight.push_back(measure.judgement.weight);
  }
  for (const StudyAxis& axis : study.axes) axes.push_back(axis.name);
  to.text("/seat", {"seat"}, "seats", seats);
  to.text("/measure", {"measure"}, "measures of the variants", measures);
  to.text("/axis", {"axis"}, "axes of the study: what is moved or varied", axes);
  to.text("/xyz", {"xyz"}, "axes of the car: rearward, to the right, up", {"x", "y", "z"});
  to.real("/frequency", {"frequency"}, {present.computation.frequency_hz.size()}, "Hz", "frequency",
          present.computation.frequency_hz);
  to.text("/measures/kind", {"measure"}, "kind of the measure", kinds);
  to.text("/measures/unit", {"measure"}, "unit of its values", units);
  to.real("/measures/weight", {"measure"}, {measures.size()}, "1", "points per unit", weight);
  add_variants(study, outcome, to);
  std::vector<int> impossible;
  Names why;
  for (const ImpossibleVariant& one : outcome.impossible) {
    impossible.push_back(static_cast<int>(one.variant));
    why.push_back(one.why);
  }
  to.whole("/impossible_index", {"impossible_index"}, {impossible.size()},
           "variants that could not be judged, the first thousand", counted(impossible.size()));
  to.whole("/impossible/variant", {"impossible_index"}, {impossible.size()}, "number of the variant",
           impossible);
  to.text("/impossible/why", {"impossible_index"}, "why", why);
  add_leading(study, outcome, to);
  if (outcome.samples > 0)
    to.whole("/draws/count", {}, {}, "number of draws (Monte Carlo samples) of the uncertain inputs",
             {static_cast<int>(outcome.samples)});
  if (outcome.placement_map) {
    to.text("/paint/judged_by", {}, "measure of the placement map", {study.placement_map->judge_by.name});
    to.text("/paint/unit", {}, "unit of the placement map",
            {std::string(declaration_of(study.placement_map->judge_by.options.kind).unit)});
    to.text("/paint/surface", {}, "surface of the placement map", {study.placement_map->surface});
    add_placement_map(*study.placement_map, *outcome.placement_map, seats.size(), to);
  }
  return std::move(to.list);
}

void write_study(const Study& study, const StudyOutcome& outcome, const std::string& path) {
  Hdf5File file;
  file.attribute("file_format", "cabinfield-study");
  file.attribute("format_version", std::array{1, 0});
  file.attribute("program_version", CABINFIELD_VERSION);
  file.attribute("created", utc_now());
  file.attribute("title", study.title);
  std::map<std::string, Hdf5Dataset> axes;
  for (const StudyDataset& one : study_datasets(study, outcome)) {
    Hdf5Dataset dataset = std::visit(
        [&](const auto& data) {
          return file.write(one.path, one.values.shape, std::span(data.data(), data.size()));
        },
        one.values.data);
    if (!one.units.empty()) dataset.attribute("units", one.units);
    dataset.attribute("long_name", one.long_name);
    if (one.is_axis()) {
      dataset.become_axis(one.axes.front());
      axes.emplace(one.axes.front(), std::move(dataset));
    } else {
      for (std::size_t dimension = 0; dimension < one.axes.size(); ++dimension)
        dataset.attach(dimension, axes.at(one.axes[dimension]));
    }
  }
  axes.clear();
  write_whole_file(path, file.bytes());
}

}  // namespace cabinfield
