// What every stage of a study run works with: scenes of variants, their transfer functions, sound and
// judgement.
#pragma once

#include <cstdint>
#include <limits>
#include <memory>
#include <string>
#include <vector>

#include "study/judged_variants.h"
#include "study/study.h"
#include "study/study_pieces.h"
#include "study/study_records.h"
#include "study/transfer_function_cache.h"
#include "study/variant_scenes.h"
#include "study/variant_sound.h"

namespace cabinfield {

/// Variants or points that are computed at once and stored as one piece.
inline constexpr std::uint64_t variants_a_piece = 256;

/// Score::broken of an impossible variant.
inline constexpr std::size_t impossible_mark = std::numeric_limits<std::size_t>::max();

struct StudyWorkspace {
  using Scenes = TransferFunctionCache::Scenes;
  using Sets = TransferFunctionCache::Sets;

  /// The study must outlive it.
  StudyWorkspace(const Study& of, StudyPieces& with);

  const Study& study;
  StudyPieces& pieces;
  const Scene& present;  ///< the scene as drawn
  std::vector<Judgement> judgements;
  RecordShape shape;  ///< bands left 0
  VariantScenes scenes;
  VariantOrder order;
  TransferFunctionCache cache;
  std::vector<VariantSounds> sounds;  ///< [thread]
  std::vector<VariantJudge> judges;   ///< [thread]
  double level_db = 0;                ///< level that all variants are set to, where the study wants one

  /// Finds level_db where it is that of the scene as drawn. Throws InputError.
  void find_common_level();

  /// The group of the variant at a position of the order. Its basis is made for the group's first possible
  /// variant, whichever variant of the group this run starts with.
  std::shared_ptr<TransferFunctionGroup> group_at(std::uint64_t position);
  /// The group of the scene as drawn; its basis is made for that scene, or for `otherwise` where the scene as
  /// drawn is impossible.
  std::shared_ptr<TransferFunctionGroup> group_as_drawn(const std::shared_ptr<const Scene>& otherwise);

  /// Judges each scene; `by` has a judge for each thread. A scene in which a seat hears nothing of a driver
  /// comes back as impossible. [scene]
  std::vector<VariantRecord> judged(const Scenes& variants, const Sets& sets, std::vector<VariantJudge>& by);
};

/// Message of the first fault, "" without any.
std::string first_message(const std::vector<Fault>& faults);

}  // namespace cabinfield
