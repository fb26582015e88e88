// A study: one scene and all its variants, enumerated lazily, never stored.
//
// A variant is a choice on each axis. Its number counts from 0; in a grid the last axis runs fastest.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "input/scene_file.h"
#include "scene/scene.h"
#include "study/edits.h"
#include "study/judge_file.h"
#include "study/uncertainty.h"

namespace cabinfield {

/// The scene of a choice or variant: edited, and without the tape measurements between objects that moved.
Node variant_document(const Node& scene, const std::vector<Edit>& edits, Faults& faults);

/// One choice on an axis and its edits of the scene.
struct Choice {
  std::string label;
  std::vector<Edit> edits;  ///< none: as drawn
};

/// Positions of one driver; everything else stays the same.
struct DriverPoints {
  std::string driver;
  std::string surface;         ///< "": that of the scene
  std::vector<Vector3> point;  ///< m
  std::vector<Edit> with;      ///< further edits with each point
  double length_unit_m = 1;    ///< of the scene's file
  SourceLocation location;     ///< in the study
};
/// "(0.320, -0.040, 0.785)" in metres.
std::string point_label(const Vector3& point);
std::vector<Edit> edits_to(const DriverPoints& points, std::size_t point);
/// Why a driver cannot be at a point of the scene's cabin, on that surface or ("") on none; "" where it can
/// be, and where the cabin has no such surface.
std::string position_problem(const Scene& scene, const Vector3& point, const std::string& surface);

/// One thing that a study moves or varies: either listed choices or points.
struct StudyAxis {
  std::string name;
  SourceLocation location;
  std::vector<Choice> choices;
  std::optional<DriverPoints> points;
  std::optional<std::size_t> present;  ///< the choice that leaves the scene as drawn

  std::size_t count() const { return points ? points->point.size() : choices.size(); }
  std::string label(std::size_t choice) const;
  std::vector<Edit> edits(std::size_t choice) const;
  /// Whether a choice may change the cabin or the ears, so that the wave field has to be solved again.
  bool changes_the_cabin() const;
};

/// Alignment and level matching of each variant before it is judged, so that positions are compared rather
/// than lucky delays and gains.
struct BeforeJudging {
  struct CommonLevel {
    FrequencyRange band;
    std::optional<double> level_db;  ///< empty: the level of the scene as drawn
    std::vector<int> seats;          ///< empty: all
  };
  std::optional<int> line_up_seat;
  std::optional<CommonLevel> level;
};

/// A measure with the driver at each point of a surface.
struct PlacementMapRequest {
  DriverPoints points;
  std::string surface;
  double spacing_m = 0;
  StudyMeasure judge_by;
};

struct Study {
  std::string path, title;
  std::string scene_path;
  std::vector<std::string> model_folders;
  Node scene;         ///< as drawn
  SceneFile present;  ///< the same, built
  int preset = 0;     ///< index into Scene::presets, the preset that is judged
  std::vector<StudyAxis> axes;
  bool listed = false;  ///< variants are `combinations`; else all combinations of choices
  std::vector<std::vector<std::size_t>> combinations;  ///< [variant][axis]
  BeforeJudging before_judging;
  std::vector<StudyMeasure> judge;
  bool must_fit_openings = false;
  Uncertainty uncertainty;
  std::optional<PlacementMapRequest> placement_map;
  bool skip_impossible = false;
  std::uint64_t most_variants = 20000;
  std::string source;  ///< the study file as read

  /// Limited to the largest number of the type.
  std::uint64_t variant_count() const;
  bool over_the_limit() const { return variant_count() > most_variants; }
  /// Which choice on each axis.
  std::vector<std::size_t> choices(std::uint64_t variant) const;
  /// A short label for each choice: "kick, 2 kHz".
  std::string label(std::uint64_t variant) const;
  std::vector<Edit> edits(std::uint64_t variant) const;
  /// The scene of a variant; conflicting edits (one axis removes what another sets) add faults.
  Node document(std::uint64_t variant, Faults& faults) const;
  /// The same, read and built: its faults say why a variant is impossible.
  SceneFile scene_file(std::uint64_t variant) const;
  /// The variant that equals the scene as drawn, if any.
  std::optional<std::uint64_t> present_variant() const;
  /// Variants with the same number have the same cabin and ears: the number counts the choices on the axes
  /// that change them.
  std::uint64_t cabin_of(std::uint64_t variant) const;
};

}  // namespace cabinfield
