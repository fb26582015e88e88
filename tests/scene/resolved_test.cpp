// The resolved scene is a scene: read again it gives the same text and the same results, bit for bit. Every
// scene that comes with the project, and some with awkward words.
#include <gtest/gtest.h>

#include <algorithm>
#include <cstring>
#include <filesystem>

#include "predict/prediction.h"
#include "scene/scene_text.h"

namespace cabinfield::test {
namespace {

namespace fs = std::filesystem;

std::vector<std::string> scenes() {
  std::vector<std::string> files;
  for (const auto& entry : fs::directory_iterator(fs::path(CABINFIELD_SOURCE_DIR) / "scenes"))
    if (entry.path().extension() == ".yaml") files.push_back(entry.path().string());
  std::sort(files.begin(), files.end());
  return files;
}

template <typename Values>
void expect_same_bits(const Values& one, const Values& other, const char* what) {
  ASSERT_EQ(one.size(), other.size()) << what;
  if (one.empty()) return;
  EXPECT_EQ(std::memcmp(one.data(), other.data(), one.size() * sizeof(one[0])), 0) << what;
}

void expect_same_states(const Scene& one, const Scene& other) {
  ASSERT_EQ(one.states.size(), other.states.size());
  for (std::size_t s = 0; s < one.states.size(); ++s) {
    const CabinState &a = one.states[s], &b = other.states[s];
    EXPECT_EQ(a.name, b.name);
    EXPECT_EQ(a.face, b.face);
    ASSERT_EQ(a.cabin == nullptr, b.cabin == nullptr);
    if (!a.cabin) continue;
    ASSERT_EQ(a.cabin->faces().size(), b.cabin->faces().size()) << a.name;
    for (std::size_t f = 0; f < a.cabin->faces().size(); ++f) {
      EXPECT_EQ(a.cabin->faces()[f].corner, b.cabin->faces()[f].corner) << a.name;
      EXPECT_EQ(a.cabin->faces()[f].material, b.cabin->faces()[f].material) << a.name;
    }
    ASSERT_EQ(a.leaks.size(), b.leaks.size()) << a.name;
    for (std::size_t l = 0; l < a.leaks.size(); ++l) {
      EXPECT_EQ(a.leaks[l].name, b.leaks[l].name);
      EXPECT_EQ(a.leaks[l].surface, b.leaks[l].surface);
      EXPECT_EQ(a.leaks[l].leak.area_m2, b.leaks[l].leak.area_m2);
      EXPECT_EQ(a.leaks[l].leak.depth_m, b.leaks[l].leak.depth_m);
    }
    ASSERT_EQ(a.transfer_impedances.size(), b.transfer_impedances.size()) << a.name;
    for (std::size_t p = 0; p < a.transfer_impedances.size(); ++p)
      if (!a.transfer_impedances[p].rigid() || !b.transfer_impedances[p].rigid()) {
        EXPECT_EQ(transfer_impedance_pa_s_m(a.transfer_impedances[p], one.air, 50),
                  transfer_impedance_pa_s_m(b.transfer_impedances[p], other.air, 50));
      }
  }
  ASSERT_EQ(one.fillings.size(), other.fillings.size());
  for (std::size_t f = 0; f < one.fillings.size(); ++f) {
    EXPECT_EQ(one.fillings[f].flow_resistivity_pa_s_m2, other.fillings[f].flow_resistivity_pa_s_m2);
    EXPECT_EQ(one.fillings[f].porosity, other.fillings[f].porosity);
    EXPECT_EQ(one.fillings[f].tortuosity, other.fillings[f].tortuosity);
  }
}

void expect_same(const Scene& one, const Scene& other) {
  // Few frequencies and reflections: what is compared is the scenes, not the field.
  Scene quick = one, again = other;
  for (Scene* scene : {&quick, &again}) {
    scene->computation.frequency_hz = {50, 1000, 8000};
    scene->computation.image_order = 1;
    scene->computation.field = FieldKind::images;
  }
  const Results a = predict(quick), b = predict(again);
  EXPECT_EQ(one.computation.frequency_hz, other.computation.frequency_hz);
  EXPECT_EQ(one.computation.image_order, other.computation.image_order);
  EXPECT_EQ(one.computation.field, other.computation.field);
  EXPECT_EQ(one.computation.wave_top_hz, other.computation.wave_top_hz);
  expect_same_states(one, other);
  EXPECT_EQ(a.title, b.title);
  EXPECT_EQ(a.seat, b.seat);
  EXPECT_EQ(a.driver, b.driver);
  EXPECT_EQ(a.preset, b.preset);
  EXPECT_EQ(a.mark, b.mark);
  EXPECT_EQ(one.brief.listen, other.brief.listen);
  EXPECT_EQ(one.brief.keep, other.brief.keep);
  for (std::size_t d = 0; d < one.drivers.size(); ++d) EXPECT_EQ(one.drivers[d].pair, other.drivers[d].pair);
  for (std::size_t p = 0; p < one.presets.size(); ++p) {
    EXPECT_EQ(one.presets[p].listen, other.presets[p].listen);
    EXPECT_EQ(one.presets[p].state, other.presets[p].state);
  }
  expect_same_bits(a.path_length_m.values(), b.path_length_m.values(), "lengths");
  expect_same_bits(a.angle_deg.values(), b.angle_deg.values(), "angles");
  expect_same_bits(a.transfer_pa_s_m3.values(), b.transfer_pa_s_m3.values(), "field");
  expect_same_bits(a.volume_velocity_m3_s.values(), b.volume_velocity_m3_s.values(), "volume velocity");
  expect_same_bits(a.channel_pa.values(), b.channel_pa.values(), "channels");
  expect_same_bits(a.signal_pa.values(), b.signal_pa.values(), "signals");
  ASSERT_EQ(a.checks.size(), b.checks.size());
  for (std::size_t c = 0; c < a.checks.size(); ++c) EXPECT_EQ(a.checks[c].words, b.checks[c].words);
}

class Resolved : public testing::TestWithParam<std::string> {};

TEST_P(Resolved, ReadsBackAsTheSameScene) {
  const SceneFile file = read_scene_file(GetParam());
  ASSERT_TRUE(file.scene) << to_string(file.faults.sorted().front());
  // Without a library: the resolved text holds every model that it needs.
  const SceneFile again = read_scene_text(file.resolved, "resolved.yaml", {});
  ASSERT_TRUE(again.scene) << to_string(again.faults.sorted().front()) << "\n" << file.resolved;
  EXPECT_EQ(again.resolved, file.resolved);
  expect_same(*file.scene, *again.scene);
}

INSTANTIATE_TEST_SUITE_P(Scenes, Resolved, testing::ValuesIn(scenes()),
                         [](const auto& file) { return fs::path(file.param).stem().string(); });

TEST(ResolvedText, KeepsAwkwardWordsAndInches) {
  const std::string text =
      "cabinfield: 1\n"
      "title: 'a: b # c \"d\" {e} é'\n"
      "units: {length: in}\n"
      "brief: {keep: [yes, '1', '', '~', '- x', \"two\\nlines\"]}\n"
      "seats: {yes: {head: [40, -15.3, 38.7]}, '1e3': {mirror_of: yes}, '007': {head: [60.1, 0, 37]}}\n"
      "drivers:\n"
      "  no: {model: {name: '5', note: 'x: y', thiele_small: {Fs: 61.7 Hz, Qes: 0.55, Qms: 4.5, Re: 3.3 ohm, "
      "Sd: 21.3 in2, Mms: 14.2 g}}, position: [10.1, -20.3, 30.7], loading: {sealed: 0.31 ft3}}\n"
      "  true: {mirror_of: no, aim: {seat: '007'}}\n"
      "channels: {'0': {drives: [no, true], delay: 0.123 ms, signal: {left: 0.1, right: -0.3}}}\n"
      "groups: {all: {members: ['0'], gain: -0.7 dB}}\n"
      "presets: {'2': {listen: {'007': 0.3}, channels: {all: {gain: 1.1 dB}}}}\n";
  const SceneFile file = read_scene_text(text, "f.yaml");
  ASSERT_TRUE(file.scene) << to_string(file.faults.sorted().front());
  const SceneFile again = read_scene_text(file.resolved, "resolved.yaml", {});
  ASSERT_TRUE(again.scene) << to_string(again.faults.sorted().front()) << "\n" << file.resolved;
  EXPECT_EQ(again.resolved, file.resolved);
  expect_same(*file.scene, *again.scene);
}

}  // namespace
}  // namespace cabinfield::test
