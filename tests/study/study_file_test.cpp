// Study files: moves, varies, counting and building of variants, measures; and the studies that come with the
// project.
#include "study/study_file.h"

#include <gtest/gtest.h>

#include <chrono>
#include <filesystem>
#include <set>

#include "study/study_text.h"

namespace cabinfield::test {
namespace {

namespace fs = std::filesystem;

std::string text_at(const Node& scene, const std::string& path) {
  const Node node = setting_at(scene, path);
  return node.kind() == NodeKind::scalar ? node.text() : document_text(node);
}

Node document_of(const Study& study, std::uint64_t variant) {
  Faults faults;
  const Node node = study.document(variant, faults);
  for (const Fault& fault : faults.faults()) ADD_FAILURE() << to_string(fault);
  return node;
}

const std::string kick = R"(move:
  - driver: mid_left
    name: midbass
    places:
      door: as_drawn
      kick:
        position: [0.3, -0.55, 0.2]
        surface: wedge_left.baffle
        loading: {sealed: 8 L}
        opening: {cutout: 152 mm, depth: 85 mm}
        without: [setback]
        add_blocks:
          - {name: wedge_left, plan: [[0.1, -0.8], [0.5, -0.8], {x: 0.5, y: -0.7, face: baffle}, [0.1, -0.4]], z: [0, 0.4]}
          - {name: wedge_right, mirror_of: wedge_left}
        set: {channels.sub.gain: 2 dB}
        mute: [sub]
)";

TEST_F(SmallStudy, APlaceIncludesEverythingThatChangesWithIt) {
  const Study study = sound(kick);
  ASSERT_EQ(study.variant_count(), 2U);
  EXPECT_EQ(study.label(0), "door");
  EXPECT_EQ(study.label(1), "kick");
  EXPECT_EQ(study.present_variant(), 0U);
  EXPECT_TRUE(study.edits(0).empty());
  EXPECT_NE(study.cabin_of(0), study.cabin_of(1));

  const Node node = document_of(study, 1);
  EXPECT_EQ(text_at(node, "drivers.mid_left.position"), "[0.3, -0.55, 0.2]\n");
  EXPECT_EQ(text_at(node, "drivers.mid_left.model"), "midbass_165");
  EXPECT_EQ(text_at(node, "drivers.mid_right.surface"), "wedge_right.baffle");
  EXPECT_EQ(text_at(node, "drivers.mid_right.loading.sealed"), "0.008 m3");
  EXPECT_EQ(setting_at(node, "drivers.mid_left.setback").kind(), NodeKind::null);
  EXPECT_EQ(text_at(node, "channels.sub.gain"), "2 dB");
  EXPECT_EQ(text_at(node, "channels.sub.mute"), "yes");
  // The tape to the driver applies to its old position; the tape between the seats still holds.
  EXPECT_EQ(node.find("tape")->items().size(), 1U);
  EXPECT_EQ(study.scene.find("tape")->items().size(), 2U);

  const SceneFile file = study.scene_file(1);
  ASSERT_TRUE(file.scene) << to_string(file.faults.sorted().front());
  EXPECT_EQ(file.scene->cabin->shape().blocks.size(), study.present.scene->cabin->shape().blocks.size() + 2);
  EXPECT_LT((file.scene->drivers[0].source.position - Vector3(0.3, -0.55, 0.2)).norm(), 0.02);
}

TEST_F(SmallStudy, AWrittenVariantIsTheSameScene) {
  const Study study = sound(kick);
  const SceneFile direct = study.scene_file(1);
  const SceneFile again = read_scene_text(direct.source, folder_.file("variant.yaml"));
  ASSERT_TRUE(again.scene);
  EXPECT_EQ(again.resolved, direct.resolved);
  const ProgramRun run = run_program({"check", folder_.write("variant.yaml", direct.source), "--quiet"});
  EXPECT_EQ(run.status, 0) << run.err;
}

TEST_F(SmallStudy, AnIndependentPairMirrorsHere) {
  std::string text = small_scene;
  const std::string mirror = "mid_right: {mirror_of: mid_left}";
  text.replace(
      text.find(mirror), mirror.size(),
      "mid_right: {model: midbass_165, position: [0.8, 0.7, 0.3], surface: right, loading: infinite_baffle}");
  folder_.write("scene.yaml", text);
  const Study study = sound(
      "move: [{driver: mid_left, pair: mid_right, places: {here: as_drawn, there: {position: [0.5, -0.7, "
      "0.2]}}}]\n");
  EXPECT_EQ(text_at(document_of(study, 0), "drivers.mid_right.position"), "[0.8, 0.7, 0.3]\n");
  EXPECT_EQ(text_at(document_of(study, 1), "drivers.mid_right.position"), "[0.5, 0.7, 0.2]\n");
  EXPECT_EQ(text_at(document_of(study, 1), "drivers.mid_right.loading.door.volume"), "0.02 m3");
}

TEST_F(SmallStudy, AGridOverASurfaceAndALine) {
  const Study grid = sound(
      "move: [{driver: mid_left, grid: {over: left, spacing: 100 mm, margin: 150 mm}, with: {without: "
      "[aim]}}]\n");
  // Without points that the dash covers or is close to: 5 along the car, 6 up.
  EXPECT_EQ(grid.variant_count(), 17U * 8U - 5U * 6U);
  const Node last = document_of(grid, grid.variant_count() - 1);
  EXPECT_EQ(text_at(last, "drivers.mid_left.position"), "[1.8, -0.7, 0.9]\n");
  EXPECT_EQ(text_at(last, "drivers.mid_left.surface"), "left");
  EXPECT_EQ(setting_at(last, "drivers.mid_left.aim").kind(), NodeKind::null);
  EXPECT_EQ(grid.label(0), "(0.200, -0.700, 0.200)");
  EXPECT_FALSE(grid.present_variant());
  EXPECT_EQ(grid.cabin_of(0), grid.cabin_of(7));
  // Half the spacing includes all of them.
  const Study fine =
      sound("move: [{driver: mid_left, grid: {over: left, spacing: 50 mm, margin: 150 mm}}]\n");
  std::set<std::string> labels;
  for (std::uint64_t i = 0; i < fine.variant_count(); ++i) labels.insert(fine.label(i));
  for (std::uint64_t i = 0; i < grid.variant_count(); ++i) EXPECT_TRUE(labels.contains(grid.label(i)));
  // Default margin: the cone's radius.
  EXPECT_LT(sound("move: [{driver: mid_left, grid: {over: left, spacing: 20 mm}}]\n").variant_count(),
            sound("move: [{driver: mid_left, grid: {over: left, spacing: 20 mm, margin: 0 mm}}]\n")
                .variant_count());

  const Study count =
      sound("move: [{driver: mid_left, line: {from: [0.4, -0.7, 0.3], to: [0.8, -0.7, 0.3], count: 5}}]\n");
  ASSERT_EQ(count.variant_count(), 5U);
  EXPECT_EQ(text_at(document_of(count, 1), "drivers.mid_left.position"), "[0.5, -0.7, 0.3]\n");
  EXPECT_EQ(text_at(document_of(count, 4), "drivers.mid_left.position"), "[0.8, -0.7, 0.3]\n");
  const Study spacing = sound(
      "move: [{driver: mid_left, line: {from: [0.4, -0.7, 0.3], to: [0.8, -0.7, 0.3], spacing: 150 mm, "
      "surface: left}}]\n");
  ASSERT_EQ(spacing.variant_count(), 3U);
  EXPECT_EQ(text_at(document_of(spacing, 2), "drivers.mid_left.position"), "[0.7, -0.7, 0.3]\n");
}

TEST_F(SmallStudy, PositionsWithoutUnitAreInTheSceneSUnit) {
  std::string text = small_scene;
  text.replace(text.find("cabin:\n"), 0, "units: {length: cm}\n");
  for (const auto& [from, to] :
       {std::pair{
            "profile: [{x: -0.1, z: 0.7, face: top}, {x: 0.5, z: 0.7, face: brow}, [0.5, 0.4], [-0.1, 0.4]]",
            "profile: [{x: -10, z: 70, face: top}, {x: 50, z: 70, face: brow}, [50, 40], [-10, 40]]"},
        {"[-0.8, 0.8]", "[-80, 80]"},
        {"[[1.2, 0.2], [1.2, 0.5], [1.4, 0.5], [1.4, 0.2]], y: [-0.6, -0.2]",
         "[[120, 20], [120, 50], [140, 50], [140, 20]], y: [-60, -20]"},
        {"[1.1, -0.4, 0.9]", "[110, -40, 90]"},
        {"[0.7, -0.7, 0.3]", "[70, -70, 30]"},
        {"[1.1, 0.1, 0.9]", "[110, 10, 90]"},
        {"[1.75, 0, 0.3]", "[175, 0, 30]"},
        {"at: [1.75, 0, 0], size: [0.4, 0.5, 0.3]", "at: [175, 0, 0], size: [40, 50, 30]"}})
    text.replace(text.find(from), std::string(from).size(), to);
  folder_.write("scene.yaml", text);
  const Study study = sound(
      "move:\n"
      "  - {driver: mid_left, grid: {over: left, spacing: 100 mm, margin: 150 mm}}\n"
      "  - {name: box, shift: {boxes: [tub], drivers: [sub]}, by: [[0, 0, 0], [0, 20, 0]]}\n");
  const Node node = document_of(study, study.variant_count() - 1);
  EXPECT_EQ(text_at(node, "drivers.mid_left.position"), "[180, -70, 90]\n");
  EXPECT_EQ(text_at(node, "drivers.sub.position"), "[175, 20, 30]\n");
  EXPECT_TRUE(study.scene_file(study.variant_count() - 1).scene);
}

TEST_F(SmallStudy, AimsLoadingsAndShifts) {
  const Study study = sound(R"(move:
  - {driver: mid_left, aims: {middle: as_drawn, along: {direction: [1, 0, 0]}, near: {seat: driver}}}
  - {driver: mid_left, loadings: {door: as_drawn, open: infinite_baffle, tight: {sealed: 10 L}}}
  - {box: tub, loadings: {tight: as_drawn, small: {sealed: 20 L}, ported: {vented: {volume: 30 L, tuning: 35 Hz}}}}
  - name: seat_back
    shift: {blocks: [seat_left], seats: [driver]}
    by: {no: [0, 0, 0], by_60: [0.06, 0, 0]}
)");
  ASSERT_EQ(study.variant_count(), 54U);
  EXPECT_EQ(study.present_variant(), 0U);
  EXPECT_EQ(study.axes[0].name, "mid_left aim");
  EXPECT_EQ(study.axes[1].name, "mid_left loading");
  EXPECT_EQ(study.axes[2].name, "tub loading");
  EXPECT_EQ(study.label(53), "near, tight, ported, by_60");
  const Node node = document_of(study, 53);
  EXPECT_EQ(text_at(node, "drivers.mid_left.aim"), "seat: driver\n");
  EXPECT_EQ(text_at(node, "drivers.mid_left.loading"), "sealed: 10 L\n");
  EXPECT_EQ(text_at(node, "boxes.tub.vented.tuning"), "35 Hz");
  EXPECT_EQ(setting_at(node, "boxes.tub.sealed").kind(), NodeKind::null);
  EXPECT_EQ(text_at(node, "seats.driver.head"), "[1.16, -0.4, 0.9]\n");
  EXPECT_EQ(text_at(node, "seats.passenger.head"), "[1.16, 0.4, 0.9]\n");
  EXPECT_TRUE(node.find("tape")->items().empty()) << "both ends of both tapes have moved";
  EXPECT_TRUE(study.scene_file(53).scene);
  EXPECT_FALSE(study.axes[0].changes_the_cabin());
  EXPECT_TRUE(study.axes[3].changes_the_cabin()) << "and the ears in it";
}

TEST_F(SmallStudy, SettingsVary) {
  const Study study = sound(R"(vary:
  - {set: channels.left.lowpass.frequency, to: [2 kHz, 3 kHz]}
  - {name: both, set: [channels.left.polarity, channels.sub.polarity], to: {same: normal, other: inverted}}
  - {mute: [fronts, sub]}
  - name: what
    choices:
      nothing: as_drawn
      much:
        set: {channels.right.lowpass.order: 2, cabin.materials.floor: rigid}
        add: {groups.lone: {members: [sub], gain: 3 dB}}
        remove: [channels.left.equaliser]
        remove_blocks: [dash]
)");
  ASSERT_EQ(study.variant_count(), 16U);
  EXPECT_EQ(study.axes[0].name, "channels.left.lowpass.frequency");
  EXPECT_EQ(study.present_variant(), 0U);
  EXPECT_EQ(study.label(15), "3 kHz, other, without fronts, sub, much");
  const Node node = document_of(study, 15);
  EXPECT_EQ(text_at(node, "channels.left.lowpass.frequency"), "3 kHz");
  EXPECT_EQ(text_at(node, "channels.left.polarity"), "inverted");
  EXPECT_EQ(text_at(node, "channels.sub.polarity"), "inverted");
  EXPECT_EQ(text_at(node, "groups.fronts.mute"), "yes");
  EXPECT_EQ(text_at(node, "channels.sub.mute"), "yes");
  // The right channel inherits the changed value from the left.
  EXPECT_EQ(text_at(node, "channels.right.lowpass"), "family: bessel\norder: 2\nfrequency: 3000 Hz\n");
  EXPECT_EQ(text_at(node, "cabin.materials.floor"), "rigid");
  EXPECT_EQ(text_at(node, "groups.lone.gain"), "3 dB");
  EXPECT_EQ(node.find("cabin")->find("blocks")->items().size(), 2U);
  EXPECT_TRUE(study.scene_file(15).scene);
  EXPECT_FALSE(study.axes[2].changes_the_cabin());
  EXPECT_TRUE(study.axes[3].changes_the_cabin());
}

TEST_F(SmallStudy, AMutedChannelIsMutedInTheJudgedPreset) {
  const Study study = sound("preset: two\nvary: [{mute: [left]}]\n");
  EXPECT_EQ(study.preset, 2);
  EXPECT_EQ(text_at(document_of(study, 1), "presets.two.channels.left.mute"), "yes");
  EXPECT_EQ(text_at(document_of(study, 1), "presets.two.channels.left.delay"), "1 ms");
  EXPECT_EQ(setting_at(document_of(study, 1), "presets.one.channels.left.mute").kind(), NodeKind::null);
  const SceneFile file = study.scene_file(1);
  ASSERT_TRUE(file.scene);
  EXPECT_TRUE(file.scene->presets[2].channels[0].mute);
  // The right channel is like the left, but still plays.
  EXPECT_EQ(text_at(document_of(study, 1), "channels.right.mute"), "no");
  EXPECT_FALSE(file.scene->presets[2].channels[1].mute);
  EXPECT_FALSE(file.scene->presets[0].channels[1].mute);
  EXPECT_TRUE(sound("vary: [{mute: [left, right]}]\n").scene_file(1).scene->presets[0].channels[1].mute);
}

TEST_F(SmallStudy, TheLastAxisChangesFastestInAGrid) {
  const Study study = sound(R"(vary:
  - {set: channels.left.gain, to: [0 dB, 1 dB]}
  - {set: channels.sub.gain, to: [0 dB, 1 dB, 2 dB]}
)");
  std::vector<std::string> labels;
  for (std::uint64_t i = 0; i < study.variant_count(); ++i) labels.push_back(study.label(i));
  EXPECT_EQ(labels, (std::vector<std::string>{"0 dB, 0 dB", "0 dB, 1 dB", "0 dB, 2 dB", "1 dB, 0 dB",
                                              "1 dB, 1 dB", "1 dB, 2 dB"}));
  EXPECT_EQ(study.choices(5), (std::vector<std::size_t>{1, 2}));
}

TEST_F(SmallStudy, ListedCombinationsByNameAndByNumber) {
  const Study study = sound(R"(vary:
  - {name: low, set: channels.left.lowpass.frequency, to: [2 kHz, 3 kHz, 4 kHz]}
  - {set: channels.sub.gain, to: {soft: 0 dB, loud: 6 dB}}
combine: listed
combinations:
  - {low: 3 kHz, channels.sub.gain: loud}
  - {low: 3}
  - {}
)");
  ASSERT_EQ(study.variant_count(), 3U);
  EXPECT_EQ(study.label(0), "3 kHz, loud");
  EXPECT_EQ(study.label(1), "4 kHz, soft");
  EXPECT_EQ(study.label(2), "2 kHz, soft");
  EXPECT_EQ(study.present_variant(), 2U);
  EXPECT_EQ(text_at(document_of(study, 0), "channels.sub.gain"), "6 dB");
}

TEST_F(SmallStudy, AMillionVariantsAreCountedAndNotListed) {
  std::string values;
  for (int i = 0; i < 100; ++i) values += (i > 0 ? ", " : "") + std::to_string(i) + " ms";
  std::string text = "vary:\n";
  for (const char* channel : {"left", "right", "sub"})
    text += std::string("  - {set: channels.") + channel + ".delay, to: [" + values + "]}\n";
  const Study study = sound(text + "most_variants: 1000\n");
  EXPECT_EQ(study.variant_count(), 1000000U);
  EXPECT_TRUE(study.over_the_limit());
  EXPECT_EQ(study.label(987654), "98 ms, 76 ms, 54 ms");
  const auto start = std::chrono::steady_clock::now();
  for (std::uint64_t i = 0; i < 1000000; i += 10) ASSERT_EQ(study.choices(i).size(), 3U);
  EXPECT_LT(std::chrono::steady_clock::now() - start, std::chrono::seconds(2));
  EXPECT_EQ(sound(text).most_variants, 20000U);

  // Counts beyond the largest integer are clamped to it.
  text = "vary:\n";
  for (int axis = 0; axis < 12; ++axis)
    text += "  - {name: axis" + std::to_string(axis) + ", set: channels.sub.delay, to: [" + values + "]}\n";
  EXPECT_EQ(sound(text).variant_count(), UINT64_MAX);
}

TEST_F(SmallStudy, BeforeJudgingAndMeasures) {
  // side_angle needs more frequencies than the small scene has.
  std::string scene = small_scene;
  const std::string list = "{list: [50 Hz, 100 Hz, 200 Hz, 400 Hz]}";
  folder_.write("scene.yaml",
                scene.replace(scene.find(list), list.size(), "{from: 50 Hz, to: 1.6 kHz, per_octave: 6}"));
  const StudyFile file = read(R"(title: All of it
preset: one
vary: [{set: channels.sub.gain, to: [0 dB]}]
before_judging: {line_up_arrivals: passenger, set_levels: {band: [60 Hz, 300 Hz], level: 90 dB, seats: [driver]}}
judge:
  - {measure: level, seats: all, band: [60 Hz, 300 Hz], over_seats: worst, at_least: 85 dB, weight: 0.5, signal: left}
  - {measure: evenness, seats: {driver: 2, passenger: 1}, band: [50 Hz, 400 Hz], target: {tilt: -1 dB, levels: {60 Hz: 6 dB, 100 Hz: 0 dB}}}
  - {measure: path_difference, seats: [driver], pair: [left, right], at_most: 30 cm, aim: 0.1 m}
  - {measure: arrival_spread, seats: [driver], at_most: 2 ms}
  - {measure: side_angle, seats: [driver], at_most: 10 deg}
  - {name: rear, measure: power_share, seats: [driver], band: [50 Hz, 100 Hz], channels: [fronts, left], at_most: 50 %}
  - {measure: fits_the_opening}
skip_impossible: yes
)");
  for (const Fault& fault : file.faults.sorted()) ADD_FAILURE() << to_string(fault);
  ASSERT_TRUE(file.study);
  const Study& study = *file.study;
  EXPECT_EQ(study.title, "All of it");
  EXPECT_EQ(study.preset, 1);
  EXPECT_TRUE(study.skip_impossible);
  EXPECT_TRUE(study.must_fit_openings);
  EXPECT_EQ(study.before_judging.line_up_seat, 1);
  ASSERT_TRUE(study.before_judging.level);
  EXPECT_EQ(study.before_judging.level->level_db, 90);
  EXPECT_EQ(study.before_judging.level->seats, std::vector<int>{0});
  EXPECT_EQ(study.before_judging.level->band.high_hz, 300);
  ASSERT_EQ(study.judge.size(), 6U);
  const StudyMeasure& level = study.judge[0];
  EXPECT_EQ(level.options.kind, MeasureKind::level);
  EXPECT_TRUE(level.options.seat_weight.empty());
  EXPECT_EQ(level.options.over, OverSeats::worst);
  EXPECT_EQ(level.options.signal, 0);
  EXPECT_EQ(level.judgement.at_least, 85);
  EXPECT_EQ(level.judgement.weight, 0.5);
  EXPECT_EQ(level.judgement.better, Better::large);
  const StudyMeasure& evenness = study.judge[1];
  EXPECT_EQ(evenness.options.seat_weight, (std::vector<double>{2, 1}));
  EXPECT_EQ(evenness.options.band.low_hz, 50);
  EXPECT_EQ(evenness.judgement.weight, 1);
  EXPECT_EQ(evenness.options.target.tilt_db_per_octave, -1);
  EXPECT_EQ(evenness.options.target.frequency_hz, (std::vector<double>{60, 100}));
  EXPECT_EQ(study.judge[2].options.left_channel, 0);
  EXPECT_EQ(study.judge[2].options.right_channel, 1);
  EXPECT_NEAR(*study.judge[2].judgement.at_most, 300, 1e-9);
  EXPECT_NEAR(*study.judge[2].judgement.aim, 100, 1e-9);
  EXPECT_NEAR(*study.judge[3].judgement.at_most, 2, 1e-12);
  EXPECT_NEAR(*study.judge[4].judgement.at_most, 10, 1e-12);
  EXPECT_EQ(study.judge[5].name, "rear");
  EXPECT_EQ(study.judge[5].options.channels, (std::vector<int>{0, 1})) << "a group is its members, each once";
  EXPECT_NEAR(*study.judge[5].judgement.at_most, 50, 1e-12);
  EXPECT_EQ(study.uncertainty.samples, 0);
}

TEST_F(SmallStudy, SeatsOfTheBriefAreJudgedWhereNoneAreNamed) {
  folder_.write("scene.yaml", small_scene + "brief: {listen: [passenger]}\n");
  EXPECT_EQ(sound("vary: [{mute: [sub]}]\n").judge[0].options.seat_weight, (std::vector<double>{0, 1}));
}

// Default spreads (common practice, no source) of an empty doubt.
TEST_F(SmallStudy, AnEmptyDoubtHasTheDefaults) {
  const Uncertainty usual = sound("vary: [{mute: [sub]}]\ndoubt: {}\n").uncertainty;
  EXPECT_EQ(usual.samples, usual_samples);
  EXPECT_EQ(usual.tape_m, 0.010);
  EXPECT_EQ(usual.ear_along_m, 0.030);
  EXPECT_EQ(usual.ear_up_m, 0.040);
  EXPECT_EQ(usual.driver_resonance, 0.15);
  EXPECT_EQ(usual.driver_q, 0.15);
  EXPECT_EQ(usual.driver_vas, 0.20);
  EXPECT_EQ(usual.driver_level_db, 1);
  EXPECT_EQ(usual.box_volume, 0.05);
  EXPECT_EQ(usual.material_impedance, 1.5);
  EXPECT_EQ(usual.temperature_k, (std::array<double, 2>{273.15, 308.15}));
  const Uncertainty own = sound(R"(vary: [{mute: [sub]}]
doubt: {draws: 50, seed: 7, tape: 20 mm, ears: {along: 0 mm, across: 5 mm, up: 1 cm}, cabin_size: 10 mm,
        driver_resonance: 10 %, driver_q: 0.2, driver_vas: 0 %, driver_level: 0.5 dB, box_volume: 8 %,
        material_impedance: 2, temperature: [10 degC, 10 degC]}
)")
                              .uncertainty;
  EXPECT_EQ(own.samples, 50);
  EXPECT_EQ(own.seed, 7U);
  EXPECT_EQ(own.tape_m, 0.020);
  EXPECT_EQ(own.ear_along_m, 0);
  EXPECT_EQ(own.ear_across_m, 0.005);
  EXPECT_EQ(own.ear_up_m, 0.01);
  EXPECT_EQ(own.cabin_size_m, 0.01);
  EXPECT_EQ(own.driver_resonance, 0.1);
  EXPECT_EQ(own.driver_q, 0.2);
  EXPECT_EQ(own.driver_vas, 0);
  EXPECT_EQ(own.driver_level_db, 0.5);
  EXPECT_EQ(own.box_volume, 0.08);
  EXPECT_EQ(own.material_impedance, 2);
  EXPECT_EQ(own.temperature_k[0], own.temperature_k[1]);
}

TEST_F(SmallStudy, APlacementMapCoversASurface) {
  const Study study = sound(
      "paint: {driver: mid_left, over: dash.top, spacing: 100 mm, margin: 0 mm, judge_by: evenness, "
      "with: {loading: {sealed: 2 L}, without: [setback, aim]}}\n");
  ASSERT_TRUE(study.placement_map);
  EXPECT_EQ(study.variant_count(), 1U);
  EXPECT_EQ(study.label(0), "as drawn");
  EXPECT_EQ(study.present_variant(), 0U);
  EXPECT_EQ(study.placement_map->judge_by.options.kind, MeasureKind::response_deviation);
  EXPECT_GT(study.placement_map->points.point.size(), 50U);
  for (std::size_t i = 0; i < study.placement_map->points.point.size(); i += 17) {
    Faults faults;
    const Node node = variant_document(study.scene, edits_to(study.placement_map->points, i), faults);
    EXPECT_EQ(text_at(node, "drivers.mid_left.surface"), "dash.top");
    EXPECT_EQ(text_at(node, "drivers.mid_left.loading.sealed"), "2 L");
    EXPECT_TRUE(read_scene_node(node, study.scene_path, study.model_folders).scene) << i;
  }
  const Study own = sound(
      "paint: {driver: sub, over: floor, spacing: 200 mm, judge_by: {measure: level, band: [50 Hz, 100 "
      "Hz]}}\n");
  EXPECT_EQ(own.placement_map->judge_by.options.kind, MeasureKind::level);
}

TEST_F(SmallStudy, WarnsOfKeysKeptFromAnotherSurface) {
  const StudyFile file = read(
      "move: [{driver: mid_left, places: {floor: {position: [0.7, -0.3, 0], surface: floor}}}]\n"
      "judge: [{measure: level, band: [50 Hz, 400 Hz]}]\n");
  ASSERT_TRUE(file.study);
  ASSERT_EQ(file.faults.warnings().size(), 2U);
  EXPECT_NE(to_string(file.faults.warnings().back()).find("keeps setback, loading from the scene"),
            std::string::npos)
      << to_string(file.faults.warnings().back());
}

// --- The studies that come with the project ----------------------------------------------------------------

std::vector<std::string> studies() {
  std::vector<std::string> files;
  for (const auto& entry : fs::directory_iterator(fs::path(CABINFIELD_SOURCE_DIR) / "scenes" / "studies"))
    if (entry.path().extension() == ".yaml") files.push_back(entry.path().string());
  std::sort(files.begin(), files.end());
  return files;
}

class ShippedStudy : public testing::TestWithParam<std::string> {};

TEST_P(ShippedStudy, ReadsAndItsVariantsAreSoundScenes) {
  const StudyFile file = read_study_file(GetParam());
  ASSERT_TRUE(file.study) << to_string(file.faults.sorted().front());
  const Study& study = *file.study;
  ASSERT_GE(study.variant_count(), 2U);
  EXPECT_FALSE(study.over_the_limit());
  EXPECT_TRUE(study.present_variant());
  EXPECT_FALSE(study.judge.empty());
  const TemporaryFolder location;
  // The first, the last and one in between; written out, they have no faults.
  for (const std::uint64_t variant :
       {std::uint64_t{0}, study.variant_count() / 2 + 1, study.variant_count() - 1}) {
    const SceneFile scene = study.scene_file(variant);
    ASSERT_TRUE(scene.scene) << study.label(variant) << ": " << to_string(scene.faults.sorted().front());
    const ProgramRun run = run_program({"check", location.write("variant.yaml", scene.source)});
    EXPECT_LE(run.status, 1) << study.label(variant) << "\n" << run.err << run.out;
  }
  if (study.placement_map) {
    EXPECT_GT(study.placement_map->points.point.size(), 20U);
  }
}

INSTANTIATE_TEST_SUITE_P(Studies, ShippedStudy, testing::ValuesIn(studies()),
                         [](const auto& file) { return fs::path(file.param).stem().string(); });

}  // namespace
}  // namespace cabinfield::test
