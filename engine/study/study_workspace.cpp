#include "study/study_workspace.h"

#include <omp.h>

#include "base/fault.h"
#include "base/parallel.h"

namespace cabinfield {
namespace {

/// Number of the group of the scene as drawn, which is no variant.
constexpr std::uint64_t as_drawn_group = std::numeric_limits<std::uint64_t>::max();

std::vector<Judgement> judgements_of(const std::vector<StudyMeasure>& measures) {
  std::vector<Judgement> list;
  for (const StudyMeasure& measure : measures) list.push_back(measure.judgement);
  return list;
}

}  // namespace

std::string first_message(const std::vector<Fault>& faults) {
  return faults.empty() ? "" : faults.front().message;
}

StudyWorkspace::StudyWorkspace(const Study& of, StudyPieces& with)
    : study(of),
      pieces(with),
      present(*of.present.scene),
      judgements(judgements_of(of.judge)),
      shape{of.judge.size(), present.seats.size(), 0},
      scenes(of),
      order(of) {
  for (int thread = 0; thread < omp_get_max_threads(); ++thread) {
    sounds.emplace_back(of.preset, of.before_judging);
    judges.emplace_back(of.judge, present);
  }
}

void StudyWorkspace::find_common_level() {
  if (!study.before_judging.level || study.before_judging.level->level_db) return;
  const VariantScene as_drawn = scenes.as_drawn();
  if (!as_drawn.scene) throw InputError(as_drawn.faults);
  const BeforeJudging& before = study.before_judging;
  VariantSounds unscaled(study.preset, {before.line_up_seat, std::nullopt});
  const Sets sets = cache.solve(*cache.group(as_drawn_group), {as_drawn.scene}, study.preset);
  const VariantSound sound = unscaled(*as_drawn.scene, *sets.front(), 0);
  level_db = VariantSounds(study.preset, before).common_level_db(sound, *as_drawn.scene);
}

std::shared_ptr<TransferFunctionGroup> StudyWorkspace::group_at(std::uint64_t position) {
  const std::uint64_t number = study.cabin_of(order.variant_at(position));
  auto group = cache.group(number);
  if (!group->empty()) return group;
  std::uint64_t first = position;
  while (first > 0 && study.cabin_of(order.variant_at(first - 1)) == number) --first;
  for (; first < order.count() && study.cabin_of(order.variant_at(first)) == number; ++first) {
    const VariantScene one = scenes.variant(order.variant_at(first));
    if (!one.scene) continue;
    cache.solve(*group, {one.scene}, study.preset);
    break;
  }
  return group;
}

std::shared_ptr<TransferFunctionGroup> StudyWorkspace::group_as_drawn(
    const std::shared_ptr<const Scene>& otherwise) {
  auto group = cache.group(as_drawn_group);
  if (!group->empty()) return group;
  const VariantScene as_drawn = scenes.as_drawn();
  cache.solve(*group, {as_drawn.scene ? as_drawn.scene : otherwise}, study.preset);
  return group;
}

std::vector<VariantRecord> StudyWorkspace::judged(const Scenes& variants, const Sets& sets,
                                                  std::vector<VariantJudge>& by) {
  std::vector<VariantRecord> records(variants.size());
  parallel_for(variants.size(), [&](std::size_t i) {
    const auto thread = static_cast<std::size_t>(omp_get_thread_num());
    const VariantSound sound = sounds[thread](*variants[i], *sets[i], level_db);
    VariantRecord& record = records[i];
    record.measured = by[thread](*variants[i], sound, *sets[i], study.preset);
    record.openings_missed = study.must_fit_openings ? openings_missed(*variants[i]) : 0;
    record.possible = sound.unheard.empty();
  });
  return records;
}

}  // namespace cabinfield
