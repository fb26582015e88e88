// The cabin cache restores a solved cabin to the last bit and rejects every other file.
#include "predict/cabin_cache.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cstring>
#include <fstream>
#include <functional>
#include <map>
#include <random>
#include <set>

#include "base/fault.h"
#include "command/program.h"
#include "geometry/shape_members.h"
#include "predict/field_solution.h"
#include "scene/scene_text.h"
#include "storage/hdf5_file.h"
#include "storage/hdf5_reader.h"
#include "storage/whole_file.h"

namespace cabinfield::test {
namespace {

namespace fs = std::filesystem;
using testing::HasSubstr;

/// Small and of low top frequency, so that it is solved quickly.
struct Told {
  std::string walls = "all: glass, floor: carpet";
  std::string driver = "[0.3, -0.2, 0.4]";
  std::string rest;
  std::string top = "120 Hz";
  std::string head = "[1.3, -0.3, 0.9]";
};

Scene small_car(const Told& told = {}) {
  return scene_of("cabin:\n  box: {length: 2 m, width: 1.4 m, height: 1.1 m}\n  materials: {" + told.walls +
                  "}\n"
                  "  blocks:\n"
                  "    - {name: cushion, profile: [[1, 0], [1.5, 0], [1.5, 0.3], [1, 0.3]], y: [-0.6, -0.1], "
                  "filling: seat_foam}\n"
                  "  partitions:\n"
                  "    - {name: plate, line: [[1.7, 0], [1.7, 0.6]], y: [-0.7, 0.7], passes: {panel: "
                  "{surface_density: 8 kg/m2, resonance: 45 Hz, loss_factor: 0.2}}}\n"
                  "seats: {driver: {head: " +
                  told.head +
                  "}}\n"
                  "drivers: {sub: {model: sub_250_single, position: " +
                  told.driver +
                  "}}\n"
                  "compute: {field: wave, wave_top: " +
                  told.top + ", frequencies: {from: 10 Hz, to: 100 Hz, per_octave: 6}}\n" + told.rest);
}

class CabinCache : public testing::Test {
 protected:
  FieldSolution kept(const Scene& scene) const {
    PredictionOptions options;
    options.cabin_cache_folder = folder_.path().string();
    return solve_fields(scene, options);
  }
  /// The one file in the folder.
  std::string file() const {
    const auto names = folder_.names();
    EXPECT_THAT(names, testing::ElementsAre(testing::StartsWith("cabin-")));
    return names.empty() ? "" : folder_.file(names.front());
  }
  void replace(const std::string& path, const std::string& bytes) const {
    std::ofstream(path, std::ios::binary) << bytes;
  }
  /// The file is rejected with this message and replaced by a valid one.
  void expect_refused(const std::string& words) const {
    const FieldSolution solution = kept(small_car());
    EXPECT_THAT(solution.warnings,
                testing::Contains(testing::AllOf(
                    HasSubstr(words), HasSubstr("the cabin was solved again and the file replaced"))));
    const FieldSolution again = kept(small_car());
    EXPECT_TRUE(again.warnings.empty());
    EXPECT_THAT(again.notes, testing::Contains(HasSubstr("solved cabin read from")));
    file();
  }

  TemporaryFolder folder_;
};

void expect_same_bits(const FieldSolution& one, const FieldSolution& other) {
  const auto &a = one.transfer_pa_s_m3.front().values(), &b = other.transfer_pa_s_m3.front().values();
  ASSERT_EQ(a.size(), b.size());
  ASSERT_FALSE(a.empty());
  EXPECT_EQ(std::memcmp(a.data(), b.data(), a.size() * sizeof a[0]), 0);
}

double largest_difference(const FieldSolution& one, const FieldSolution& other) {
  const auto &a = one.transfer_pa_s_m3.front().values(), &b = other.transfer_pa_s_m3.front().values();
  double largest = 0;
  for (std::size_t i = 0; i < a.size(); ++i)
    largest = std::max(largest, std::abs(a[i] - b[i]) / std::abs(b[i]));
  return largest;
}

TEST_F(CabinCache, GivesTheSameBits) {
  const Scene scene = small_car();
  const FieldSolution plain = solve_fields(scene, {}), first = kept(scene);
  EXPECT_THAT(first.notes, testing::Contains(HasSubstr("solved cabin written to " + file())));
  const FieldSolution second = kept(scene);
  EXPECT_THAT(second.notes, testing::Contains("solved cabin read from " + file()));
  expect_same_bits(first, plain);
  expect_same_bits(second, plain);
  EXPECT_EQ(second.waves.front().basis_vectors, plain.waves.front().basis_vectors);
  EXPECT_EQ(second.waves.front().error_estimate, plain.waves.front().error_estimate);
  ASSERT_EQ(second.waves.front().modes.size(), plain.waves.front().modes.size());
  EXPECT_FALSE(plain.waves.front().modes.empty());
  for (std::size_t m = 0; m < plain.waves.front().modes.size(); ++m) {
    EXPECT_EQ(second.waves.front().modes[m].q, plain.waves.front().modes[m].q);
    EXPECT_EQ(second.waves.front().modes[m].ear_level, plain.waves.front().modes[m].ear_level);
  }
}

TEST_F(CabinCache, NotesWhatWasMovedToMeshIt) {
  const Scene scene = small_car();
  const WaveField field(*scene.cabin,
                        {scene.air, scene.materials, scene.fillings, scene.transfer_impedances, {}},
                        {scene.seats[0].ear[0], scene.seats[0].ear[1]}, {120});
  WaveCabin solved = field.solved();
  Mesh mesh = solved.space->mesh();
  mesh.notes = {"block 'cushion' moved by 1 mm"};
  solved.space = std::make_shared<FiniteElementSpace>(mesh);
  const std::string path = folder_.file("cabin.h5");
  write_cached_cabin(path, "key", solved);
  const auto again = read_cached_cabin(path, "key", *scene.cabin);
  ASSERT_TRUE(again);
  EXPECT_EQ(again->space->mesh().notes, mesh.notes);
}

TEST_F(CabinCache, WorksForOtherDriversChannelsAndPresets) {
  kept(small_car());
  Told told;
  told.driver = "[0.5, 0.3, 0.2]";
  told.rest =
      "channels: {bass: {drives: [sub], lowpass: {order: 4, frequency: 80 Hz}}}\n"
      "presets: {loud: {channels: {bass: {gain: 6 dB}}}}\n";
  const FieldSolution solution = kept(small_car(told));
  EXPECT_THAT(solution.notes, testing::Contains(HasSubstr("solved cabin read from " + file())));
  expect_same_bits(solution, solve_fields(small_car(told), {}));
}

TEST_F(CabinCache, WorksForOtherMaterialsAndNotesWhetherTheBasisSufficed) {
  kept(small_car());
  // Almost the same materials: the basis suffices. The estimate is under the tolerance of 1.5 %; a basis made
  // for these walls must be within 2.5 %.
  Told shade;
  shade.walls = "all: glass, floor: rubber_mat";
  const FieldSolution held = kept(small_car(shade));
  EXPECT_THAT(held.notes, testing::Contains("solved cabin read from " + file()));
  EXPECT_LT(largest_difference(held, solve_fields(small_car(shade), {})), 0.025);

  const std::string before = bytes_of(file());
  Told soft;
  soft.walls = "all: {specific_impedance: 3}";
  const FieldSolution more = kept(small_car(soft));
  EXPECT_THAT(more.notes, testing::Contains(testing::ContainsRegex(
                              "solved cabin read from .*; its materials differ, so it was "
                              "solved at [1-4] more frequencies")));
  EXPECT_LT(largest_difference(more, solve_fields(small_car(soft), {})), 0.025);
  // The enriched basis is stored too.
  EXPECT_NE(bytes_of(file()), before);
  EXPECT_THAT(kept(small_car(soft)).notes, testing::Contains("solved cabin read from " + file()));
}

TEST_F(CabinCache, HasOneFileForEachShapeEarAndTopFrequency) {
  kept(small_car());
  Told lower, moved;
  lower.top = "110 Hz";
  moved.head = "[1.31, -0.3, 0.9]";
  for (const Told& other : {lower, moved})
    EXPECT_THAT(kept(small_car(other)).notes, testing::Contains(HasSubstr("solved cabin written to")));
  EXPECT_EQ(folder_.names().size(), 3u);
}

TEST_F(CabinCache, DamagedFileIsRejected) {
  kept(small_car());
  const std::string path = file(), whole = bytes_of(path);
  replace(path, whole.substr(0, whole.size() / 2));
  expect_refused(path + ": ");
  replace(path, "");
  expect_refused(path + ": is damaged, or is not a solved cabin");
  replace(path, "no HDF5 file at all, but of some length");
  expect_refused(path + ": is damaged, or is not a solved cabin");
  std::string flipped = whole;
  flipped[whole.size() / 2] ^= 0x10;
  replace(path, flipped);
  expect_refused(path + ": ");
}

TEST_F(CabinCache, ForeignFileIsRejected) {
  kept(small_car());
  const std::string path = file();
  {
    Hdf5File foreign;
    foreign.attribute("file_format", "cabinfield-results");
    const double value = 1;
    foreign.write("/mesh/node", {1}, std::span(&value, 1));
    write_whole_file(path, foreign.bytes());
  }
  expect_refused(path + ": is damaged, or is not a solved cabin");
  // The key includes the version of the program.
  const Scene scene = small_car();
  const WaveField field(*scene.cabin,
                        {scene.air, scene.materials, scene.fillings, scene.transfer_impedances, {}},
                        {scene.seats[0].ear[0], scene.seats[0].ear[1]}, {60});
  write_cached_cabin(path, "0123456789abcdef0123456789abcdef", field.solved());
  expect_refused(path + ": belongs to another cabin or another version of the program");
  // A valid file of another cabin under this cabin's name.
  Told other;
  other.top = "110 Hz";
  const TemporaryFolder elsewhere;
  PredictionOptions options;
  options.cabin_cache_folder = elsewhere.path().string();
  solve_fields(small_car(other), options);
  replace(path, bytes_of(elsewhere.file(elsewhere.names().front())));
  expect_refused(path + ": belongs to another cabin or another version of the program");
}

TEST_F(CabinCache, FileWithAnyByteFlippedIsRejectedOrTheSame) {
  const Scene scene = small_car();
  const WaveField field(*scene.cabin,
                        {scene.air, scene.materials, scene.fillings, scene.transfer_impedances, {}},
                        {scene.seats[0].ear[0], scene.seats[0].ear[1]}, {60});
  const std::string path = folder_.file("cabin.h5");
  write_cached_cabin(path, "key", field.solved());
  const std::string whole = bytes_of(path);
  // Metadata, which lies scattered among the data, is a small part: look for what is not the same.
  std::mt19937 random(7);
  std::vector<std::size_t> location;
  for (std::size_t i = 0; i < 96; ++i) location.push_back(i);
  for (int i = 0; i < 200; ++i) location.push_back(random() % whole.size());
  for (const char* mark : {"TREE", "SNOD", "HEAP", "OHDR", "GCOL"})
    for (std::size_t at = whole.find(mark), n = 0; at != std::string::npos && n < 4;
         at = whole.find(mark, at + 4), ++n)
      for (int i = 0; i < 12; ++i) location.push_back(std::min(at + random() % 64, whole.size() - 1));
  int refused = 0;
  for (std::size_t at : location) {
    std::string damaged = whole;
    damaged[at] ^= static_cast<char>(1 << random() % 8);
    replace(path, damaged);
    try {
      const auto solved = read_cached_cabin(path, "key", *scene.cabin);
      ASSERT_TRUE(solved);
      EXPECT_EQ(solved->reduced.basis, field.solved().reduced.basis) << "byte " << at;
      EXPECT_EQ(solved->reduced.projected, field.solved().reduced.projected) << "byte " << at;
    } catch (const UnreadableFile&) {
      ++refused;
    }
  }
  EXPECT_GT(refused, 150) << "of " << location.size();
}

TEST_F(CabinCache, FolderInsteadOfAFileIsReported) {
  kept(small_car());
  const std::string path = file();
  fs::remove(path);
  fs::create_directory(path);
  try {
    kept(small_car());
    ADD_FAILURE() << "wrote into a folder";
  } catch (const MachineError& error) {
    EXPECT_THAT(error.what(), HasSubstr(path + ": cannot be written: it is a folder"));
  }
  EXPECT_TRUE(fs::is_empty(path));
}

TEST_F(CabinCache, UnwritableFileIsReportedBeforeSolving) {
  PredictionOptions options;
  options.cabin_cache_folder = folder_.file("missing");
  double furthest = 0;
  try {
    solve_fields(small_car(), options, [&](double done) { furthest = std::max(furthest, done); });
    ADD_FAILURE() << "wrote into a folder that is not there";
  } catch (const MachineError& error) {
    EXPECT_THAT(error.what(), HasSubstr("cannot be written: its folder does not exist"));
  }
  EXPECT_EQ(furthest, 0);

  // Permissions do not bind the superuser, so a process becomes nobody (65534 on Linux by common practice).
  chmod(folder_.path().c_str(), 0555);
  const ProgramRun run = run_program(
      {"predict", CABINFIELD_SOURCE_DIR "/scenes/box.yaml", "-o", folder_.file("R.h5"), "--keep-cabin"}, [] {
        if (geteuid() == 0 && (setgid(65534) != 0 || setuid(65534) != 0)) _exit(77);
      });
  chmod(folder_.path().c_str(), 0755);
  // Some machines do not let the superuser become another user, so that nothing is refused.
  if (run.status == 77) GTEST_SKIP() << "not possible on this machine";
  EXPECT_THAT(run.err, HasSubstr("no permission to write there"));
  EXPECT_NE(run.status, 0);
}

/// One of everything in a shape.
CabinShape shape_of_everything() {
  CabinShape shape;
  shape.outline = {{{0, 0}, "floor", 0}, {{2, 0}, "tail", 0}, {{2, 1}, "roof", 0}, {{0, 1}, "front", 0}};
  shape.sides = {{0, 0.6, "door", 0}, {0.5, 0.7, "glass", 0}, {1, 0.5, "", 0}};
  SurfacePatch patch;
  patch.surface = "roof";
  patch.name = "hatch";
  patch.range[0] = {0.2, 0.6};
  Block block;
  block.name = "seat";
  block.corner = {{{0.8, 0}, "front"}, {{1.2, 0}, ""}, {{1.2, 0.3}, ""}, {{0.8, 0.3}, ""}};
  block.range = {-0.3, 0.2};
  Partition partition;
  partition.name = "plate";
  partition.line = {Vector2(1.6, 0), Vector2(1.6, 0.6)};
  partition.range = {-0.5, 0.4};
  partition.openings = {{"slot", {1.6, 0, 0.3}, 0.2, 0.1, true}};
  shape.patches = {patch};
  shape.blocks = {block};
  shape.partitions = {partition};
  return shape;
}

TEST(CabinKey, DiffersForEveryOtherShape) {
  using Change = std::function<void(CabinShape&)>;
  const std::vector<std::pair<const char*, Change>> changes{
      {"corner of the outline", [](CabinShape& s) { s.outline[1].point.x() = 2.01; }},
      {"height in the outline", [](CabinShape& s) { s.outline[2].point.y() = 1.004; }},
      {"name in the outline", [](CabinShape& s) { s.outline[0].surface = "sill"; }},
      {"height of a side", [](CabinShape& s) { s.sides[1].z = 0.51; }},
      {"half width of a side", [](CabinShape& s) { s.sides[1].half_width = 0.71; }},
      {"name of a side", [](CabinShape& s) { s.sides[0].surface = "sill"; }},
      {"surface of a patch", [](CabinShape& s) { s.patches[0].surface = "floor"; }},
      {"name of a patch", [](CabinShape& s) { s.patches[0].name = "window"; }},
      {"end of a patch",
       [](CabinShape& s) {
         s.patches[0].range[0] = {0.2, 0.61};
       }},
      {"axis of a patch",
       [](CabinShape& s) {
         s.patches[0].range = {std::nullopt, std::array{0.2, 0.6}, {}};
       }},
      {"name of a block", [](CabinShape& s) { s.blocks[0].name = "box"; }},
      {"sweep of a block", [](CabinShape& s) { s.blocks[0].sweep = Sweep::up; }},
      {"corner of a block", [](CabinShape& s) { s.blocks[0].corner[2].point.x() = 1.21; }},
      {"face of a block", [](CabinShape& s) { s.blocks[0].corner[0].face = "shin"; }},
      {"range of a block", [](CabinShape& s) { s.blocks[0].range[1] = 0.21; }},
      {"cut", [](CabinShape& s) { s.blocks[0].cut = true; }},
      {"filled block", [](CabinShape& s) { s.blocks[0].filling = 0; }},
      {"one block fewer", [](CabinShape& s) { s.blocks.clear(); }},
      {"name of a partition", [](CabinShape& s) { s.partitions[0].name = "sheet"; }},
      {"line of a partition", [](CabinShape& s) { s.partitions[0].line[1].y() = 0.61; }},
      {"range of a partition", [](CabinShape& s) { s.partitions[0].range[0] = -0.51; }},
      {"place of an opening", [](CabinShape& s) { s.partitions[0].openings[0].centre.y() = 0.01; }},
      {"width of an opening", [](CabinShape& s) { s.partitions[0].openings[0].width_m = 0.21; }},
      {"height of an opening", [](CabinShape& s) { s.partitions[0].openings[0].height_m = 0.11; }},
      {"opening that is shut", [](CabinShape& s) { s.partitions[0].openings[0].open = false; }},
  };
  const std::vector<Vector3> ears{{0.5, -0.3, 0.8}, {0.5, -0.1, 0.8}};
  auto key = [&](const CabinShape& shape) {
    std::vector<ShapeProblem> problems;
    const Cabin cabin = Cabin::build(shape, problems);
    for (const ShapeProblem& problem : problems) ADD_FAILURE() << problem.message;
    return cabin_key(cabin, ears, {});
  };
  const CabinShape drawn = shape_of_everything();
  std::map<std::string, const char*> seen{{key(drawn), "none"}};
  for (const auto& [name, change] : changes) {
    CabinShape changed = drawn;
    change(changed);
    const auto [found, is_new] = seen.try_emplace(key(changed), name);
    EXPECT_TRUE(is_new) << name << " has the key of: " << found->second;
  }
  // Materials are not part of the shape: mesh and modes are the same.
  CabinShape other = drawn;
  for (OutlineCorner& corner : other.outline) corner.material = 1;
  other.blocks[0].material = other.sides[0].material = other.patches[0].material = 1;
  EXPECT_EQ(seen.count(key(other)), 1u);

  std::vector<ShapeProblem> problems;
  const Cabin cabin = Cabin::build(drawn, problems);
  const std::vector<Vector3> swapped{ears[1], ears[0]};
  for (const std::string& one : {cabin_key(cabin, swapped, {}), cabin_key(cabin, ears, {.top_hz = 390}),
                                 cabin_key(cabin, ears, {.refinement = 1.1})})
    EXPECT_TRUE(seen.try_emplace(one, "wish").second);
}

/// Adds a tenth of a millimetre to one number of a shape.
struct OneNumberChanged {
  int wanted = 0, next = 0;
  void coordinate(GeometryRole, double& value) { value += next++ == wanted ? 1e-4 : 0; }
  void size(double& value) { coordinate(GeometryRole::size, value); }
  void derived(GeometryRole, double&) {}
  void name(const std::string&) {}
  void topology(int) {}
  void material(int) {}
};

TEST_F(CabinCache, TheKeyDependsOnEveryNumberOfTheShape) {
  const std::vector<Vector3> ears{{0.5, -0.3, 0.8}};
  std::set<std::string> seen;
  int numbers = 1;
  for (int wanted = -1; wanted < numbers; ++wanted) {
    CabinShape shape = shape_of_everything();
    OneNumberChanged change{wanted};
    visit_members(shape, change);
    numbers = change.next;
    std::vector<ShapeProblem> problems;
    const Cabin cabin = Cabin::build(shape, problems);
    EXPECT_TRUE(seen.insert(cabin_key(cabin, ears, {})).second) << "number " << wanted;
  }
  EXPECT_GT(numbers, 30);
}

TEST_F(CabinCache, RestoresTheWholeReducedOrderModel) {
  const Scene scene = small_car();
  const WaveField field(*scene.cabin,
                        {scene.air, scene.materials, scene.fillings, scene.transfer_impedances, {}},
                        {scene.seats[0].ear[0], scene.seats[0].ear[1]}, {60});
  WaveCabin solved = field.solved();
  solved.reduced.effectivity = 77;
  solved.reduced.estimate = {0.0125, 41};
  const std::string path = folder_.file("cabin.h5");
  write_cached_cabin(path, "key", solved);
  const auto again = read_cached_cabin(path, "key", *scene.cabin);
  ASSERT_TRUE(again);
  EXPECT_EQ(again->ears, solved.ears);
  EXPECT_EQ(again->reduced.effectivity, 77);
  EXPECT_EQ(again->reduced.estimate.error, 0.0125);
  EXPECT_EQ(again->reduced.estimate.frequency_hz, 41);
  EXPECT_EQ(again->reduced.shift_hz, solved.reduced.shift_hz);
  EXPECT_EQ(again->reduced.mode_wavenumber_per_m, solved.reduced.mode_wavenumber_per_m);
  EXPECT_EQ(again->reduced.mode, solved.reduced.mode);
  EXPECT_EQ(again->reduced.ear, solved.reduced.ear);
}

}  // namespace
}  // namespace cabinfield::test
