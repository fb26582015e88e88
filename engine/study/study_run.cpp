#include "study/study_run.h"

#include <fmt/format.h>
#include <omp.h>
#define XXH_INLINE_ALL
#include <xxhash.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <limits>
#include <optional>
#include <set>

#include "base/fault.h"
#include "base/parallel.h"
#include "listening/bands.h"
#include "listening/verdict.h"
#include "study/checkpoint.h"
#include "study/closer_look.h"
#include "study/judged_variants.h"
#include "study/monte_carlo.h"
#include "study/neighbours.h"
#include "study/transfer_function_cache.h"
#include "study/variant_scenes.h"
#include "study/variant_sound.h"

namespace cabinfield {
namespace {

namespace fs = std::filesystem;

constexpr double none = std::numeric_limits<double>::quiet_NaN();
/// Variants that are worked out at once and kept together.
constexpr std::uint64_t variants_at_once = 256;
/// Impossible variants that a fault names.
constexpr std::size_t most_named = 20;

/// The group of the scene as drawn, where it is no variant.
constexpr std::uint64_t scene_group = std::numeric_limits<std::uint64_t>::max();

/// Where records of each part begin in the journal.
constexpr std::uint64_t variant_records = 0, paint_records = 1ull << 48, draw_records = 1ull << 49;

using Scenes = std::vector<std::shared_ptr<const Scene>>;
using Sites = std::vector<std::shared_ptr<const Site>>;
using Clock = std::chrono::steady_clock;

std::vector<Judgement> judgements(const std::vector<StudyMeasure>& measures) {
  std::vector<Judgement> list;
  for (const StudyMeasure& measure : measures) list.push_back(measure.judgement);
  return list;
}

std::string first_words(const std::vector<Fault>& faults) {
  return faults.empty() ? "" : faults.front().message;
}

class Runner {
 public:
  Runner(const Study& study, const StudyOptions& options, Checkpoint* checkpoint,
         const Communicator& communicator, const std::function<void(const StudyProgress&)>& progress)
      : study_(study),
        options_(options),
        checkpoint_(checkpoint),
        communicator_(communicator),
        progress_(progress),
        scenes_(study),
        order_(study),
        measures_(study.judge),
        judgements_(judgements(measures_)),
        present_(*study.present.scene),
        seats_(present_.seats.size()) {
    std::vector<double> before;
    if (communicator_.first())
      for (std::uint64_t number : checkpoint_->numbers()) before.push_back(static_cast<double>(number));
    communicator_.share_first(before);
    for (double number : before) before_.insert(static_cast<std::uint64_t>(number));
    for (int t = 0; t < omp_get_max_threads(); ++t) {
      sounds_.emplace_back(study.preset, study.before_judging);
      judges_.emplace_back(measures_, present_);
    }
  }

  StudyOutcome run() {
    check_choices();
    find_level_to_share();
    StudyOutcome outcome;
    work_out_variants(outcome);
    if (study_.placement_map) placement_map(outcome);
    rank(outcome);
    look_closely(outcome);
    outcome.cabins_solved = bank_.cabins_solved();
    return outcome;
  }

 private:
  std::size_t width() const { return measures_.size() * (1 + 2 * seats_) + 2; }

  /// Every choice alone, so that what cannot be is known before the work, and all of it at once.
  void check_choices() {
    if (study_.skip_impossible) return;
    std::vector<Fault> faults;
    for (std::size_t a = 0; a < study_.axes.size(); ++a)
      for (std::size_t c = 0; c < study_.axes[a].count() && faults.size() < most_named; ++c) {
        // Points of a grid were chosen where a driver can be.
        if (study_.axes[a].points && c > 0) break;
        for (const Fault& fault : scenes_.choice(a, c).faults)
          faults.push_back({fault.location, fmt::format("{} {}: {}", study_.axes[a].name,
                                                        study_.axes[a].label(c), fault.message)});
      }
    if (!faults.empty()) throw InputError(std::move(faults));
  }

  /// Values of a piece, and whether a run before had them: read back, or worked out by whoever's turn it is.
  template <typename Work>
  std::pair<std::vector<double>, bool> piece(std::uint64_t number, const Work& work) {
    if (before_.contains(number)) {
      std::vector<double> values;
      if (communicator_.first()) values = checkpoint_->read(number);
      communicator_.share_first(values);
      return {std::move(values), true};
    }
    const std::uint64_t order = worked_out_++;
    std::vector<double> values;
    if (communicator_.mine(order)) values = work();
    communicator_.share(order, values);
    if (communicator_.first()) checkpoint_->add(number, values);
    return {std::move(values), false};
  }

  void begin(const char* doing, std::uint64_t of) {
    now_ = {doing, 0, of, 0, 0};
    begun_ = Clock::now();
  }
  void tell(std::uint64_t done, bool before) {
    now_.done += done;
    if (before) now_.done_before += done;
    now_.seconds = std::chrono::duration<double>(Clock::now() - begun_).count();
    if (progress_) progress_(now_);
  }

  void find_level_to_share() {
    if (!study_.before_judging.level || study_.before_judging.level->level_db) return;
    const VariantScene as_drawn = scenes_.as_drawn();
    if (!as_drawn.scene) throw InputError(as_drawn.faults);
    bank_.enter(scene_group);
    BeforeJudging before = study_.before_judging;
    SoundOfVariants plain(study_.preset, {before.line_up_seat, std::nullopt});
    const Sites sites = bank_.solve({as_drawn.scene}, study_.preset);
    const VariantSound sound = plain(*as_drawn.scene, *sites.front(), 0);
    level_db_ = SoundOfVariants(study_.preset, before).level_to_share_db(sound, *as_drawn.scene);
  }

  /// Rows of values for scenes that stand: measures, seats, details, points' place for the score.
  std::vector<std::vector<double>> judged(const Scenes& scenes, const Sites& sites,
                                          std::vector<VariantJudge>& judges, std::size_t measures) {
    std::vector<std::vector<double>> rows(scenes.size());
    parallel_for(scenes.size(), [&](std::size_t i) {
      const auto thread = static_cast<std::size_t>(omp_get_thread_num());
      const VariantSound sound = sounds_[thread](*scenes[i], *sites[i], level_db_);
      const Measured found = judges[thread](*scenes[i], sound, *sites[i], study_.preset);
      std::vector<double>& row = rows[i];
      row.reserve(measures * (1 + 2 * seats_) + 2);
      row.insert(row.end(), found.over_seats.begin(), found.over_seats.end());
      row.insert(row.end(), found.at_seat.begin(), found.at_seat.end());
      row.insert(row.end(), found.detail.begin(), found.detail.end());
      row.push_back(static_cast<double>(study_.must_fit_openings ? openings_missed(*scenes[i]) : 0));
      row.push_back(sound.unheard.empty() ? 1 : 0);
    });
    return rows;
  }

  /// Goes to the group that a variant belongs to; its cabin is solved for the group's first possible variant,
  /// wherever this run came in.
  void enter_group(std::uint64_t position) {
    const std::uint64_t group = study_.cabin_of(order_.variant_at(position));
    if (bank_.enter(group)) return;
    std::uint64_t first = position;
    while (first > 0 && study_.cabin_of(order_.variant_at(first - 1)) == group) --first;
    for (; first < order_.count() && study_.cabin_of(order_.variant_at(first)) == group; ++first) {
      const VariantScene one = scenes_.variant(order_.variant_at(first));
      if (!one.scene) continue;
      bank_.solve({one.scene}, study_.preset);
      return;
    }
  }

  /// Values of a piece of the variants, one row each; an impossible one has an empty row.
  std::vector<double> piece_of_variants(std::uint64_t from, std::uint64_t to,
                                        std::vector<ImpossibleVariant>& impossible) {
    std::vector<double> all((to - from) * width(), none);
    std::uint64_t at = from;
    while (at < to) {
      const std::uint64_t group = study_.cabin_of(order_.variant_at(at));
      std::uint64_t end = at;
      Scenes scenes;
      std::vector<std::uint64_t> positions;
      for (; end < to && study_.cabin_of(order_.variant_at(end)) == group; ++end) {
        VariantScene one = scenes_.variant(order_.variant_at(end));
        if (one.scene) {
          scenes.push_back(std::move(one.scene));
          positions.push_back(end);
        } else {
          impossible.push_back({order_.variant_at(end), first_words(one.faults)});
        }
      }
      if (!scenes.empty()) {
        try {
          enter_group(at);
          const Sites sites = bank_.solve(scenes, study_.preset);
          const auto rows = judged(scenes, sites, judges_, measures_.size());
          for (std::size_t i = 0; i < rows.size(); ++i) {
            std::copy(rows[i].begin(), rows[i].end(), all.begin() + (positions[i] - from) * width());
            if (rows[i].back() == 0) {
              std::fill_n(all.begin() + (positions[i] - from) * width(), width(), none);
              impossible.push_back({order_.variant_at(positions[i]),
                                    "no sound gets from a driver to a seat: solid blocks, or partitions that "
                                    "pass nothing, cut the cabin in two between them"});
            }
          }
        } catch (const InputError& error) {
          // The cabin itself cannot be solved: none of the group can.
          for (std::uint64_t position : positions)
            impossible.push_back({order_.variant_at(position), first_words(error.faults())});
        }
      }
      at = end;
    }
    return all;
  }

  void work_out_variants(StudyOutcome& outcome) {
    const std::uint64_t count = order_.count();
    const std::size_t m = measures_.size();
    outcome.value.assign(count * m, none);
    outcome.at_seat.assign(count * m * seats_, none);
    outcome.detail.assign(count * m * seats_, none);
    outcome.score.assign(count, {none, 0});
    begin("variants", count);
    std::vector<Fault> faults;
    for (std::uint64_t from = 0; from < count; from += variants_at_once) {
      const std::uint64_t to = std::min(count, from + variants_at_once),
                          number = variant_records + from / variants_at_once;
      const auto [rows, before] = piece(number, [&] {
        std::vector<ImpossibleVariant> impossible;
        std::vector<double> found = piece_of_variants(from, to, impossible);
        if (!impossible.empty() && !study_.skip_impossible) fail_for(impossible);
        return found;
      });
      for (std::uint64_t p = from; p < to; ++p) take_row(rows.data() + (p - from) * width(), p, outcome);
      tell(to - from, before);
    }
    // Why is said again, not kept: reading a scene costs little.
    for (std::uint64_t p = 0; p < count && outcome.impossible.size() < 1000; ++p) {
      const std::uint64_t v = order_.variant_at(p);
      if (!std::isnan(outcome.score[v].points) || outcome.score[v].broken != impossible_mark) continue;
      const VariantScene one = scenes_.variant(v);
      outcome.impossible.push_back({v, one.scene
                                           ? "its cabin cannot be solved, or a seat does not hear a driver"
                                           : first_words(one.faults)});
    }
    std::sort(outcome.impossible.begin(), outcome.impossible.end(),
              [](const auto& a, const auto& b) { return a.variant < b.variant; });
  }

  void take_row(const double* row, std::uint64_t position, StudyOutcome& outcome) const {
    const std::uint64_t v = order_.variant_at(position);
    const std::size_t m = measures_.size();
    if (!(row[width() - 1] == 1)) {
      outcome.score[v] = {none, impossible_mark};
      return;
    }
    std::copy_n(row, m, outcome.value.begin() + v * m);
    std::copy_n(row + m, m * seats_, outcome.at_seat.begin() + v * m * seats_);
    std::copy_n(row + m * (1 + seats_), m * seats_, outcome.detail.begin() + v * m * seats_);
    outcome.score[v] = score_of(judgements_, {row, m}, static_cast<std::size_t>(row[width() - 2]));
  }

  [[noreturn]] void fail_for(const std::vector<ImpossibleVariant>& impossible) const {
    std::vector<Fault> faults;
    for (const ImpossibleVariant& one : impossible) {
      if (faults.size() == most_named) {
        faults.push_back({{study_.path, 0, 0}, fmt::format("and {} more", impossible.size() - most_named)});
        break;
      }
      faults.push_back({{study_.path, 0, 0},
                        fmt::format("variant {} ({}) is impossible: {}. `skip_impossible: true` goes on "
                                    "with the rest",
                                    one.variant, study_.label(one.variant), one.why)});
    }
    throw InputError(std::move(faults));
  }

  void placement_map(StudyOutcome& outcome) {
    const std::size_t count = study_.placement_map->points.point.size(), wide = 1 + seats_;
    PlacementMap placement_map;
    placement_map.point_m = study_.placement_map->points.point;
    placement_map.value.assign(count, none);
    placement_map.at_seat.assign(count * seats_, none);
    placement_map.why_not.resize(count);
    placement_map.triangle = neighbour_triangles(placement_map.point_m, study_.placement_map->spacing_m);
    std::vector<VariantJudge> judges;
    for (std::size_t t = 0; t < sounds_.size(); ++t)
      judges.emplace_back(std::vector<StudyMeasure>{study_.placement_map->judge_by}, present_);
    begin("points", count);
    for (std::size_t from = 0; from < count; from += variants_at_once) {
      const std::size_t to = std::min<std::size_t>(count, from + variants_at_once);
      const std::uint64_t number = paint_records + from / variants_at_once;
      const auto [rows, before] = piece(number, [&] {
        std::vector<double> found;
        found.assign((to - from) * wide, none);
        Scenes scenes;
        std::vector<std::size_t> at;
        for (std::size_t q = from; q < to; ++q) {
          VariantScene one = scenes_.placement_map(q);
          if (!one.scene) continue;
          scenes.push_back(std::move(one.scene));
          at.push_back(q - from);
        }
        if (!scenes.empty()) {
          if (!bank_.enter(scene_group)) {
            const VariantScene as_drawn = scenes_.as_drawn();
            bank_.solve({as_drawn.scene ? as_drawn.scene : scenes.front()}, study_.preset);
          }
          const Sites sites = bank_.solve(scenes, study_.preset);
          const auto judged_points = judged(scenes, sites, judges, 1);
          for (std::size_t i = 0; i < judged_points.size(); ++i)
            if (judged_points[i].back() == 1)
              std::copy_n(judged_points[i].begin(), wide, found.begin() + at[i] * wide);
        }
        return found;
      });
      for (std::size_t q = from; q < to; ++q) {
        placement_map.value[q] = rows[(q - from) * wide];
        std::copy_n(rows.begin() + (q - from) * wide + 1, seats_, placement_map.at_seat.begin() + q * seats_);
        if (std::isnan(placement_map.value[q])) {
          const VariantScene one = scenes_.placement_map(q);
          placement_map.why_not[q] = one.scene ? "no value" : first_words(one.faults);
        }
      }
      tell(to - from, before);
    }
    outcome.placement_map = std::move(placement_map);
  }

  void rank(StudyOutcome& outcome) const {
    for (std::size_t v : ranking(outcome.score))
      if (outcome.score[v].broken != impossible_mark) outcome.ranking.push_back(v);
  }

  /// The leading variants and the present one: responses, what channels add, and draws.
  void look_closely(StudyOutcome& outcome) {
    std::vector<std::uint64_t> chosen;
    for (std::size_t v : outcome.ranking)
      if (chosen.size() < options_.leading) chosen.push_back(v);
    const auto present = study_.present_variant();
    const bool present_stands = present && outcome.score[*present].broken != impossible_mark;
    if (present_stands && std::find(chosen.begin(), chosen.end(), *present) == chosen.end())
      chosen.push_back(*present);
    outcome.leading.resize(chosen.size());
    outcome.samples = static_cast<std::size_t>(std::max(0, study_.uncertainty.samples));

    // Those of one cabin after each other.
    std::vector<std::size_t> by_cabin(chosen.size());
    for (std::size_t i = 0; i < by_cabin.size(); ++i) by_cabin[i] = i;
    std::stable_sort(by_cabin.begin(), by_cabin.end(), [&](std::size_t a, std::size_t b) {
      return study_.cabin_of(chosen[a]) < study_.cabin_of(chosen[b]);
    });
    std::vector<std::vector<double>> values(chosen.size());  // [draws,M] of each
    std::vector<std::vector<Score>> scores(chosen.size());
    std::vector<std::vector<double>> levels(chosen.size());  // [draws,S,B] of each
    if (outcome.samples > 0) begin("draws", outcome.samples * chosen.size());
    for (std::size_t at = 0; at < by_cabin.size();) {
      const std::uint64_t cabin = study_.cabin_of(chosen[by_cabin[at]]);
      std::vector<std::size_t> group;
      Scenes scenes;
      for (; at < by_cabin.size() && study_.cabin_of(chosen[by_cabin[at]]) == cabin; ++at) {
        group.push_back(by_cabin[at]);
        scenes.push_back(scenes_.variant(chosen[by_cabin[at]]).scene);
      }
      // Enter by the group's own first variant, as the values above did.
      std::uint64_t position = 0;
      while (study_.cabin_of(order_.variant_at(position)) != cabin) ++position;
      enter_group(position);
      const Sites sites = bank_.solve(scenes, study_.preset);
      for (std::size_t i = 0; i < group.size(); ++i)
        outcome.leading[group[i]] = closer_look(
            study_, chosen[group[i]], *scenes[i], sounds_.front()(*scenes[i], *sites[i], level_db_),
            {outcome.value.data() + chosen[group[i]] * measures_.size(), measures_.size()});
      if (outcome.samples > 0) sample(outcome.samples, group, scenes, values, scores, levels);
    }
    if (outcome.samples > 0)
      tell_draws(outcome, present_stands ? present : std::nullopt, values, scores, levels);
  }

  /// Values, scores and levels in bands of every draw, for the variants of one cabin.
  void sample(std::size_t samples, const std::vector<std::size_t>& group, const Scenes& scenes,
              std::vector<std::vector<double>>& values, std::vector<std::vector<Score>>& scores,
              std::vector<std::vector<double>>& levels) {
    const auto bands = third_octave_slices(present_.computation.frequency_hz, told_range(present_));
    const std::size_t m = measures_.size(), of_levels = seats_ * bands.size(), wide = m + 1 + of_levels;
    CabinShelf stretched;
    for (std::size_t d = 0; d < samples; ++d) {
      const std::uint64_t number = draw_records + (static_cast<std::uint64_t>(group.front()) << 24) + d;
      const auto [rows, before] = piece(number, [&] {
        std::vector<double> found(group.size() * wide, none);
        Scenes sampled(scenes.size());
        for (std::size_t i = 0; i < scenes.size(); ++i)
          sampled[i] =
              std::make_shared<const Scene>(sampled_scene(*scenes[i], study_.uncertainty, d, stretched));
        const Sites sites = bank_.solve_sampled(sampled, study_.preset);
        parallel_for(sampled.size(), [&](std::size_t i) {
          const auto thread = static_cast<std::size_t>(omp_get_thread_num());
          const VariantSound sound = sounds_[thread](*sampled[i], *sites[i], level_db_);
          const Measured measured = judges_[thread](*sampled[i], sound, *sites[i], study_.preset);
          double* const row = found.data() + i * wide;
          std::copy(measured.over_seats.begin(), measured.over_seats.end(), row);
          row[m] = static_cast<double>(study_.must_fit_openings ? openings_missed(*scenes[i]) : 0);
          for (std::size_t s = 0; s < seats_; ++s) {
            const std::vector<double> square = mono_square(sound, s);
            for (std::size_t b = 0; b < bands.size(); ++b)
              row[m + 1 + s * bands.size() + b] = sound_level_db(bands[b].weights.mean(square.data()));
          }
        });
        return found;
      });
      for (std::size_t i = 0; i < group.size(); ++i) {
        const double* const row = rows.data() + i * wide;
        values[group[i]].insert(values[group[i]].end(), row, row + m);
        scores[group[i]].push_back(score_of(judgements_, {row, m}, static_cast<std::size_t>(row[m])));
        levels[group[i]].insert(levels[group[i]].end(), row + m + 1, row + wide);
      }
      tell(group.size(), before);
    }
  }

  void tell_draws(StudyOutcome& outcome, std::optional<std::uint64_t> present,
                  const std::vector<std::vector<double>>& values,
                  const std::vector<std::vector<Score>>& scores,
                  const std::vector<std::vector<double>>& levels) const {
    const std::size_t samples = outcome.samples, m = measures_.size(), count = outcome.leading.size();
    std::vector<Score> of_present;
    for (std::size_t i = 0; i < count; ++i)
      if (present && outcome.leading[i].variant == *present) of_present = scores[i];
    SampleVerdict verdict(samples, of_present);
    for (std::size_t i = 0; i < count; ++i) {
      const std::size_t better = verdict.add(i, scores[i]);
      LeadingVariant& one = outcome.leading[i];
      if (!of_present.empty() && one.variant != *present) one.times_better = better;
      std::vector<double> column(samples);
      for (std::size_t k = 0; k < m; ++k) {
        for (std::size_t d = 0; d < samples; ++d) column[d] = values[i][d * m + k];
        one.value.push_back(sample_band(column));
      }
      const std::size_t bands = one.contributions.bands.size(), wide = seats_ * bands;
      one.band_level_db = Table<double, 3>({seats_, bands, 3});
      for (std::size_t s = 0; s < seats_; ++s)
        for (std::size_t b = 0; b < bands; ++b) {
          for (std::size_t d = 0; d < samples; ++d) column[d] = levels[i][d * wide + s * bands + b];
          const SampleBand band = sample_band(column);
          one.band_level_db(s, b, 0) = band.low;
          one.band_level_db(s, b, 1) = band.median;
          one.band_level_db(s, b, 2) = band.high;
        }
    }
    const auto best = verdict.times_best(count);
    for (std::size_t i = 0; i < count; ++i) outcome.leading[i].times_best = best[i];
  }

  static constexpr std::size_t impossible_mark = std::numeric_limits<std::size_t>::max();

  const Study& study_;
  const StudyOptions& options_;
  Checkpoint* checkpoint_;  // of the first of the crew alone
  const Communicator& communicator_;
  std::set<std::uint64_t> before_;  // pieces that a run before had worked out
  std::uint64_t worked_out_ = 0;
  const std::function<void(const StudyProgress&)>& progress_;
  VariantScenes scenes_;
  VariantOrder order_;
  std::vector<StudyMeasure> measures_;
  std::vector<Judgement> judgements_;
  const Scene& present_;
  std::size_t seats_;
  TransferFunctionCache bank_;
  std::vector<SoundOfVariants> sounds_;  // one for each thread
  std::vector<VariantJudge> judges_;
  double level_db_ = 0;
  StudyProgress now_;
  Clock::time_point begun_;
};

/// Names and contents of the files within a folder, in the order of their names; of what cannot be read,
/// none.
std::string texts_within(const std::string& folder) {
  std::error_code failed;
  std::vector<fs::path> files;
  for (fs::recursive_directory_iterator it(folder, failed), end; !failed && it != end; it.increment(failed))
    if (it->path().extension() == ".yaml") files.push_back(it->path());
  std::sort(files.begin(), files.end());
  std::string texts;
  for (const fs::path& file : files) {
    std::ifstream stream(file, std::ios::binary);
    texts += file.lexically_relative(folder).string() + "\n" +
             std::string(std::istreambuf_iterator<char>(stream), {}) + "\n";
  }
  return texts;
}

}  // namespace

std::string study_key(const Study& study) {
  std::string text = fmt::format("{}\n{}\n{}\n{}", CABINFIELD_VERSION, study.source, study.present.source,
                                 study.present.resolved);
  // Variants may name any of the models there.
  text += texts_within((fs::path(study.scene_path).parent_path() / "models").string());
  for (const std::string& folder : study.model_folders) text += texts_within(folder);
  const XXH128_hash_t hash = XXH3_128bits(text.data(), text.size());
  std::error_code kept_as_it_is;
  const fs::path path = fs::weakly_canonical(study.path, kept_as_it_is);
  return fmt::format("{} {} {:016x}{:016x}", kept_as_it_is ? study.path : path.string(), CABINFIELD_VERSION,
                     hash.high64, hash.low64);
}

StudyOutcome run_study(const Study& study, const StudyOptions& options, const Communicator& communicator,
                       const std::function<void(const StudyProgress&)>& progress) {
  std::optional<Checkpoint> checkpoint;
  if (communicator.first()) {
    checkpoint.emplace(options.checkpoint);
    const std::string key = study_key(study) + fmt::format(" {}", options.leading);
    switch (checkpoint->found(key)) {
      case Checkpoint::Found::same_work:
        checkpoint->take_up();
        break;
      case Checkpoint::Found::other_work:
        if (!options.start_over)
          throw OtherWork(
              fmt::format("{} holds what another study, scene or version of the program had begun: remove "
                          "it, or throw it away with --start-over",
                          options.checkpoint));
        checkpoint->start(key);
        break;
      case Checkpoint::Found::foreign:
        throw OtherWork(
            fmt::format("{} is in the way, and no study wrote it: give it another name", options.checkpoint));
      case Checkpoint::Found::nothing:
        checkpoint->start(key);
    }
  }
  return Runner(study, options, checkpoint ? &*checkpoint : nullptr, communicator, progress).run();
}

}  // namespace cabinfield
