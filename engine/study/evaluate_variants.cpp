#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/fault.h"
#include "listening/judge.h"
#include "study/study_stages.h"

namespace cabinfield {
namespace {

constexpr double none = std::numeric_limits<double>::quiet_NaN();
/// Impossible variants that a fault names.
constexpr std::size_t max_named = 20;
/// Impossible variants that the outcome lists.
constexpr std::size_t max_listed = 1000;

/// Records of the variants at positions [from, to) of the order; those of impossible variants say so.
std::vector<VariantRecord> evaluate_piece(StudyWorkspace& with, std::uint64_t from, std::uint64_t to,
                                          std::vector<ImpossibleVariant>& impossible) {
  const Study& study = with.study;
  std::vector<VariantRecord> records(to - from);
  for (std::uint64_t at = from, end = from; at < to; at = end) {
    // Build the scenes of one cabin, which follow each other.
    const std::uint64_t cabin = study.cabin_of(with.order.variant_at(at));
    StudyWorkspace::Scenes scenes;
    std::vector<std::uint64_t> positions;
    for (; end < to && study.cabin_of(with.order.variant_at(end)) == cabin; ++end) {
      VariantScene one = with.scenes.variant(with.order.variant_at(end));
      if (one.scene) {
        scenes.push_back(std::move(one.scene));
        positions.push_back(end);
      } else {
        impossible.push_back({with.order.variant_at(end), first_message(one.faults)});
      }
    }
    if (scenes.empty()) continue;
    try {
      // Solve and judge them together.
      const auto group = with.group_at(at);
      const StudyWorkspace::Sets sets = with.cache.solve(*group, scenes, study.preset);
      std::vector<VariantRecord> judged = with.judged(scenes, sets, with.judges);
      for (std::size_t i = 0; i < judged.size(); ++i) {
        if (!judged[i].possible)
          impossible.push_back({with.order.variant_at(positions[i]),
                                "no sound path from a driver to a seat: solid blocks, or partitions that "
                                "transmit nothing, separate them"});
        records[positions[i] - from] = std::move(judged[i]);
      }
    } catch (const InputError& error) {
      // The cabin itself cannot be solved, so none of its variants can.
      for (std::uint64_t position : positions)
        impossible.push_back({with.order.variant_at(position), first_message(error.faults())});
    }
  }
  return records;
}

[[noreturn]] void fail_for(const Study& study, const std::vector<ImpossibleVariant>& impossible) {
  std::vector<Fault> faults;
  for (const ImpossibleVariant& one : impossible) {
    if (faults.size() == max_named) {
      faults.push_back({{study.path, 0, 0}, fmt::format("and {} more", impossible.size() - max_named)});
      break;
    }
    faults.push_back({{study.path, 0, 0},
                      fmt::format("variant {} ({}) is impossible: {}. `skip_impossible: true` continues "
                                  "with the rest",
                                  one.variant, study.label(one.variant), one.why)});
  }
  throw InputError(std::move(faults));
}

void store(const StudyWorkspace& with, const VariantRecord& record, std::uint64_t variant,
           StudyOutcome& outcome) {
  if (!record.possible) {
    outcome.score[variant] = {none, impossible_mark};
    return;
  }
  const std::size_t m = with.shape.measures, at_seats = m * with.shape.seats;
  const Measured& measured = record.measured;
  std::copy_n(measured.over_seats.begin(), m, outcome.value.begin() + variant * m);
  std::copy_n(measured.at_seat.begin(), at_seats, outcome.at_seat.begin() + variant * at_seats);
  std::copy_n(measured.detail.begin(), at_seats, outcome.detail.begin() + variant * at_seats);
  outcome.score[variant] = score_of(with.judgements, measured.over_seats, record.openings_missed);
}

/// Reasons are found again rather than stored: reading a scene costs little.
void list_impossible(StudyWorkspace& with, StudyOutcome& outcome) {
  for (std::uint64_t p = 0; p < with.order.count() && outcome.impossible.size() < max_listed; ++p) {
    const std::uint64_t v = with.order.variant_at(p);
    if (!std::isnan(outcome.score[v].points) || outcome.score[v].broken != impossible_mark) continue;
    const VariantScene one = with.scenes.variant(v);
    outcome.impossible.push_back({v, one.scene
                                         ? "its cabin cannot be solved, or a seat hears nothing of a driver"
                                         : first_message(one.faults)});
  }
  std::sort(outcome.impossible.begin(), outcome.impossible.end(),
            [](const auto& a, const auto& b) { return a.variant < b.variant; });
}

}  // namespace

void evaluate_variants(StudyWorkspace& with, StudyOutcome& outcome) {
  const std::uint64_t count = with.order.count();
  const std::size_t m = with.shape.measures, seats = with.shape.seats;
  outcome.value.assign(count * m, none);
  outcome.at_seat.assign(count * m * seats, none);
  outcome.detail.assign(count * m * seats, none);
  outcome.score.assign(count, {none, 0});
  with.pieces.begin_stage("variants", count);
  for (std::uint64_t from = 0; from < count; from += variants_a_piece) {
    const std::uint64_t to = std::min(count, from + variants_a_piece);
    const auto [flat, from_checkpoint] = with.pieces.piece(variant_pieces + from / variants_a_piece, [&] {
      std::vector<ImpossibleVariant> impossible;
      const std::vector<VariantRecord> records = evaluate_piece(with, from, to, impossible);
      if (!impossible.empty() && !with.study.skip_impossible) fail_for(with.study, impossible);
      return flattened(records, with.shape);
    });
    const auto records = unflattened<VariantRecord>(flat, with.shape);
    for (std::uint64_t p = from; p < to; ++p)
      store(with, records[p - from], with.order.variant_at(p), outcome);
    with.pieces.advance(to - from, from_checkpoint);
  }
  list_impossible(with, outcome);
}

}  // namespace cabinfield
