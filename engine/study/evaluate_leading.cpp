#include <omp.h>

#include <algorithm>
#include <limits>
#include <optional>

#include "base/parallel.h"
#include "listening/bands.h"
#include "listening/verdict.h"
#include "study/closer_look.h"
#include "study/monte_carlo.h"
#include "study/study_stages.h"

namespace cabinfield {
namespace {

/// Number of no variant.
constexpr std::uint64_t no_variant = std::numeric_limits<std::uint64_t>::max();

/// Monte Carlo samples of each leading variant. [leading][sample]
using SampleTable = std::vector<std::vector<SampleRecord>>;

/// The shape of sample records, with the bands that levels are reported in.
RecordShape sample_shape(const StudyWorkspace& with) {
  RecordShape shape = with.shape;
  shape.bands =
      third_octave_slices(with.present.computation.frequency_hz, reported_range(with.present)).size();
  return shape;
}

/// One sample of each of some variants of one cabin. [scene]
std::vector<SampleRecord> evaluate_sample(StudyWorkspace& with, const TransferFunctionGroup& group,
                                          const StudyWorkspace::Scenes& scenes, std::size_t sample,
                                          CabinShelf& stretched) {
  const auto bands = third_octave_slices(with.present.computation.frequency_hz, reported_range(with.present));
  StudyWorkspace::Scenes sampled(scenes.size());
  for (std::size_t i = 0; i < scenes.size(); ++i)
    sampled[i] =
        std::make_shared<const Scene>(sampled_scene(*scenes[i], with.study.uncertainty, sample, stretched));
  const StudyWorkspace::Sets sets = with.cache.solve_sampled(group, sampled, with.study.preset);
  std::vector<SampleRecord> records(scenes.size());
  parallel_for(sampled.size(), [&](std::size_t i) {
    const auto thread = static_cast<std::size_t>(omp_get_thread_num());
    const VariantSound sound = with.sounds[thread](*sampled[i], *sets[i], with.level_db);
    SampleRecord& record = records[i];
    record.over_seats = with.judges[thread](*sampled[i], sound, *sets[i], with.study.preset).over_seats;
    record.openings_missed = with.study.must_fit_openings ? openings_missed(*scenes[i]) : 0;
    for (std::size_t s = 0; s < with.shape.seats; ++s) {
      const std::vector<double> square = mono_square(sound, s);
      for (const BandSlice& band : bands)
        record.level_db.push_back(sound_level_db(band.weights.mean(square.data())));
    }
  });
  return records;
}

/// All samples of some leading variants (indices) of one cabin.
void evaluate_samples(StudyWorkspace& with, std::size_t samples, const TransferFunctionGroup& group,
                      const std::vector<std::size_t>& leading, const StudyWorkspace::Scenes& scenes,
                      SampleTable& table) {
  const RecordShape shape = sample_shape(with);
  CabinShelf stretched;
  for (std::size_t sample = 0; sample < samples; ++sample) {
    const std::uint64_t number = sample_pieces + (static_cast<std::uint64_t>(leading.front()) << 24) + sample;
    const auto [flat, from_checkpoint] = with.pieces.piece(
        number, [&] { return flattened(evaluate_sample(with, group, scenes, sample, stretched), shape); });
    std::vector<SampleRecord> records = unflattened<SampleRecord>(flat, shape);
    for (std::size_t i = 0; i < leading.size(); ++i) table[leading[i]].push_back(std::move(records[i]));
    with.pieces.advance(leading.size(), from_checkpoint);
  }
}

/// Quantiles over the samples, and in how many a variant is the best or beats the present one.
void summarise_samples(const StudyWorkspace& with, const SampleTable& table, std::uint64_t present,
                       StudyOutcome& outcome) {
  const std::size_t count = outcome.leading.size();
  std::vector<std::vector<Score>> scores(count);
  for (std::size_t i = 0; i < count; ++i)
    for (const SampleRecord& one : table[i])
      scores[i].push_back(score_of(with.judgements, one.over_seats, one.openings_missed));
  std::vector<Score> of_present;
  for (std::size_t i = 0; i < count; ++i)
    if (outcome.leading[i].variant == present) of_present = scores[i];
  SampleVerdict verdict(outcome.samples, of_present);
  for (std::size_t i = 0; i < count; ++i) {
    const std::size_t better = verdict.add(i, scores[i]);
    LeadingVariant& one = outcome.leading[i];
    if (!of_present.empty() && one.variant != present) one.times_better = better;
    // Each number of all samples in turn.
    std::vector<double> values(outcome.samples);
    const auto band_of = [&](const auto& value_in) {
      std::transform(table[i].begin(), table[i].end(), values.begin(), value_in);
      return sample_band(values);
    };
    for (std::size_t m = 0; m < with.shape.measures; ++m)
      one.value.push_back(band_of([&](const SampleRecord& sample) { return sample.over_seats[m]; }));
    const std::size_t bands = one.contributions.bands.size();
    one.band_level_db = Table<double, 3>({with.shape.seats, bands, 3});
    for (std::size_t s = 0; s < with.shape.seats; ++s)
      for (std::size_t b = 0; b < bands; ++b) {
        const SampleBand band =
            band_of([&](const SampleRecord& sample) { return sample.level_db[s * bands + b]; });
        one.band_level_db(s, b, 0) = band.low;
        one.band_level_db(s, b, 1) = band.median;
        one.band_level_db(s, b, 2) = band.high;
      }
  }
  const auto best = verdict.times_best(count);
  for (std::size_t i = 0; i < count; ++i) outcome.leading[i].times_best = best[i];
}

}  // namespace

void evaluate_leading(StudyWorkspace& with, std::size_t leading, StudyOutcome& outcome) {
  const Study& study = with.study;
  // The best variants, and the present one last where it is not among them.
  std::vector<std::uint64_t> chosen;
  for (std::size_t v : outcome.ranking)
    if (chosen.size() < leading) chosen.push_back(v);
  std::uint64_t present = study.present_variant().value_or(no_variant);
  if (present != no_variant && outcome.score[present].broken == impossible_mark) present = no_variant;
  if (present != no_variant && std::find(chosen.begin(), chosen.end(), present) == chosen.end())
    chosen.push_back(present);
  outcome.leading.resize(chosen.size());
  outcome.samples = static_cast<std::size_t>(std::max(0, study.uncertainty.samples));

  // Variants of one cabin are evaluated after each other.
  std::vector<std::size_t> by_cabin(chosen.size());
  for (std::size_t i = 0; i < by_cabin.size(); ++i) by_cabin[i] = i;
  std::stable_sort(by_cabin.begin(), by_cabin.end(), [&](std::size_t a, std::size_t b) {
    return study.cabin_of(chosen[a]) < study.cabin_of(chosen[b]);
  });
  SampleTable table(chosen.size());
  if (outcome.samples > 0) with.pieces.begin_stage("samples", outcome.samples * chosen.size());
  for (std::size_t at = 0; at < by_cabin.size();) {
    const std::uint64_t cabin = study.cabin_of(chosen[by_cabin[at]]);
    std::vector<std::size_t> members;
    StudyWorkspace::Scenes scenes;
    for (; at < by_cabin.size() && study.cabin_of(chosen[by_cabin[at]]) == cabin; ++at) {
      members.push_back(by_cabin[at]);
      scenes.push_back(with.scenes.variant(chosen[by_cabin[at]]).scene);
    }
    // The basis is made for the cabin's own first variant, as it was for the values above.
    std::uint64_t position = 0;
    while (study.cabin_of(with.order.variant_at(position)) != cabin) ++position;
    const auto group = with.group_at(position);
    const StudyWorkspace::Sets sets = with.cache.solve(*group, scenes, study.preset);
    for (std::size_t i = 0; i < members.size(); ++i) {
      const std::uint64_t variant = chosen[members[i]];
      const VariantSound sound = with.sounds.front()(*scenes[i], *sets[i], with.level_db);
      outcome.leading[members[i]] =
          closer_look(study, variant, *scenes[i], sound,
                      {outcome.value.data() + variant * with.shape.measures, with.shape.measures});
    }
    if (outcome.samples > 0) evaluate_samples(with, outcome.samples, *group, members, scenes, table);
  }
  if (outcome.samples > 0) summarise_samples(with, table, present, outcome);
}

}  // namespace cabinfield
