// A study as read: plain values with their source locations. Positions without a unit are in the scene's
// length unit in the file and in metres here, except within nodes, which are copied into the scene unchanged.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <utility>
#include <variant>
#include <vector>

#include "base/vector.h"
#include "input/document.h"
#include "scene/specs.h"

namespace cabinfield {

enum class AsDrawn { as_drawn };

/// Changes of the scene that are made together.
struct ChangesSpec : Given {
  Node set;  ///< a mapping from paths to values
  Node add;  ///< a mapping from paths to entries
  std::vector<Located<std::string>> remove;
  Node add_blocks;
  std::vector<Located<std::string>> remove_blocks, mute;
};
using ChangesChoice = std::variant<AsDrawn, ChangesSpec>;

/// A position of a driver with everything that changes with it; keys left out stay as in the scene.
struct PlaceSpec : Given {
  DriverSpec driver;
  ChangesSpec changes;
  std::vector<Located<std::string>> without;  ///< keys of the driver
  Node node;                                  ///< the mapping as read
};
using PlaceChoice = std::variant<AsDrawn, PlaceSpec>;

struct SurfaceGridSpec : Given {
  Located<std::string> over;
  double spacing_m = 0;
  std::optional<double> margin_m;
};
struct LineSpec : Given {
  Vector3 from = Vector3::Zero(), to = Vector3::Zero();
  std::optional<int> count;
  std::optional<double> spacing_m;
  Located<std::string> surface;
};
struct ShiftSpec : Given {
  std::vector<Located<std::string>> blocks, seats, drivers, boxes;
};
/// Alternatives: a list, or values by name.
using ListedNodes = std::variant<std::vector<Node>, std::vector<Named<Node>>>;

struct MoveSpec : Given {
  std::string name;
  Located<std::string> driver, pair, box;
  std::vector<Named<PlaceChoice>> places;
  std::optional<SurfaceGridSpec> grid;
  std::optional<LineSpec> line;
  std::optional<PlaceSpec> with;
  std::vector<Named<Node>> aims, loadings;
  std::optional<ShiftSpec> shift;
  std::optional<ListedNodes> by;
};

struct VarySpec : Given {
  std::string name;
  std::optional<std::variant<Located<std::string>, std::vector<Located<std::string>>>> set;
  std::optional<ListedNodes> to;
  std::vector<Located<std::string>> mute;
  std::vector<Named<ChangesChoice>> choices;
};

struct CommonLevelSpec : Given {
  std::optional<double> level_db;
  std::vector<double> band_hz;
  std::vector<Located<std::string>> seats;
};
enum class DoNothing { nothing };
struct BeforeJudgingSpec : Given {
  Located<std::string> line_up_arrivals;
  std::optional<CommonLevelSpec> set_levels;
};

struct TargetSpec : Given {
  double tilt_db_per_octave = 0;
  std::vector<std::pair<double, double>> levels;
};
using SeatsChoice =
    std::variant<SeatsWord, std::variant<std::vector<Located<std::string>>, std::vector<Named<double>>>>;
struct JudgeSpec : Given {
  std::string measure, name;
  std::optional<SeatsChoice> seats;
  bool worst_seat = false;
  std::vector<double> band_hz;
  std::vector<Located<std::string>> channels, pair;
  int signal = 2;
  std::optional<TargetSpec> target;
  double weight = 1;
  Node aim, at_least, at_most;
};

/// The defaults are in uncertainty.h.
struct EarsUncertaintySpec : Given {
  std::optional<double> along_m, across_m, up_m;
};
struct UncertaintySpec : Given {
  std::optional<int> samples, seed;
  std::optional<double> tape_m, cabin_size_m;
  std::optional<EarsUncertaintySpec> ears;
  std::optional<double> driver_resonance, driver_q, driver_vas, driver_level_db, box_volume;
  std::optional<double> material_impedance;
  std::vector<double> temperature_k;
};

struct PlacementMapSpec : Given {
  Located<std::string> driver;
  SurfaceGridSpec grid;
  std::optional<PlaceSpec> with;
  std::optional<std::variant<Located<std::string>, JudgeSpec>> judge_by;
};

enum class Combine { grid, listed };

struct StudySpec : Given {
  int version = 0;
  std::string title, scene;
  Located<std::string> preset;
  std::vector<MoveSpec> move;
  std::vector<VarySpec> vary;
  Combine combine = Combine::grid;
  std::vector<Node> combinations;
  std::optional<std::variant<DoNothing, BeforeJudgingSpec>> before_judging;
  std::vector<JudgeSpec> judge;
  std::optional<UncertaintySpec> uncertainty;
  std::optional<PlacementMapSpec> placement_map;
  bool skip_impossible = false;
  int most_variants = 20000;
};

}  // namespace cabinfield
