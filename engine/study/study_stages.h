// The stages of a study run, in their order: all variants, the placement map, the leading variants.
#pragma once

#include "study/study_outcome.h"
#include "study/study_workspace.h"

namespace cabinfield {

/// Measures and scores of all variants, and why some are impossible. Throws InputError where the study does
/// not skip impossible variants.
void evaluate_variants(StudyWorkspace& with, StudyOutcome& outcome);

/// The measure at each point of the placement map that the study asks for.
void evaluate_placement_map(StudyWorkspace& with, StudyOutcome& outcome);

/// Details of the `leading` best variants and of the present one: response, contributions of the channels,
/// and the spread over Monte Carlo samples. Needs the ranking of the outcome.
void evaluate_leading(StudyWorkspace& with, std::size_t leading, StudyOutcome& outcome);

/// Numbers of the first piece of each stage in the checkpoint.
inline constexpr std::uint64_t variant_pieces = 0, point_pieces = 1ull << 48, sample_pieces = 1ull << 49;

}  // namespace cabinfield
