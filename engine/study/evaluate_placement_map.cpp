#include <algorithm>
#include <cmath>

#include "study/neighbours.h"
#include "study/study_stages.h"

namespace cabinfield {
namespace {

/// Records of the points [from, to).
std::vector<PointRecord> evaluate_piece(StudyWorkspace& with, const RecordShape& shape, std::size_t from,
                                        std::size_t to, std::vector<VariantJudge>& judges) {
  std::vector<PointRecord> records(to - from, PointRecord::without_value(shape));
  StudyWorkspace::Scenes scenes;
  std::vector<std::size_t> at;
  for (std::size_t q = from; q < to; ++q) {
    VariantScene one = with.scenes.placement_map(q);
    if (!one.scene) continue;
    scenes.push_back(std::move(one.scene));
    at.push_back(q - from);
  }
  if (scenes.empty()) return records;
  const auto group = with.group_as_drawn(scenes.front());
  const StudyWorkspace::Sets sets = with.cache.solve(*group, scenes, with.study.preset);
  const std::vector<VariantRecord> judged = with.judged(scenes, sets, judges);
  for (std::size_t i = 0; i < judged.size(); ++i)
    if (judged[i].possible)
      records[at[i]] = {judged[i].measured.over_seats.front(), judged[i].measured.at_seat};
  return records;
}

}  // namespace

void evaluate_placement_map(StudyWorkspace& with, StudyOutcome& outcome) {
  const PlacementMapRequest& request = *with.study.placement_map;
  const std::size_t count = request.points.point.size();
  const RecordShape shape{1, with.shape.seats, 0};
  PlacementMap map;
  map.point_m = request.points.point;
  map.why_not.resize(count);
  map.triangle = neighbour_triangles(map.point_m, request.spacing_m);
  std::vector<VariantJudge> judges;
  for (std::size_t thread = 0; thread < with.sounds.size(); ++thread)
    judges.emplace_back(std::vector<StudyMeasure>{request.judge_by}, with.present);
  with.pieces.begin_stage("points", count);
  for (std::size_t from = 0; from < count; from += variants_a_piece) {
    const std::size_t to = std::min<std::size_t>(count, from + variants_a_piece);
    const auto [flat, from_checkpoint] = with.pieces.piece(point_pieces + from / variants_a_piece, [&] {
      return flattened(evaluate_piece(with, shape, from, to, judges), shape);
    });
    for (const PointRecord& record : unflattened<PointRecord>(flat, shape)) {
      const std::size_t q = map.value.size();
      map.value.push_back(record.value);
      map.at_seat.insert(map.at_seat.end(), record.at_seat.begin(), record.at_seat.end());
      if (!std::isnan(record.value)) continue;
      const VariantScene one = with.scenes.placement_map(q);
      map.why_not[q] = one.scene ? "no value" : first_message(one.faults);
    }
    with.pieces.advance(to - from, from_checkpoint);
  }
  outcome.placement_map = std::move(map);
}

}  // namespace cabinfield
