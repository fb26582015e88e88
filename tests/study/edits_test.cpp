// A scene edited by paths equals the scene written by hand with those settings.
#include "study/edits.h"

#include <gtest/gtest.h>

#include <filesystem>
#include <map>
#include <random>

#include "input/scene_file.h"
#include "input/scene_keys.h"
#include "study/inherited.h"
#include "study/study_text.h"

namespace cabinfield::test {
namespace {

namespace fs = std::filesystem;

Node parsed(const std::string& text, const std::string& file = "f.yaml") {
  Faults faults;
  const Node node = parse_document(text, file, faults);
  for (const Fault& fault : faults.faults()) ADD_FAILURE() << to_string(fault) << "\n" << text;
  return node;
}

Edit set(const std::string& path, const std::string& value) {
  return {Edit::Action::set, path, parsed(value, "value"), {"study", 7, 3}};
}
Edit removed(const std::string& path) { return {Edit::Action::remove, path, Node(), {"study", 7, 3}}; }
Edit added(const std::string& path, const std::string& value) {
  return {Edit::Action::add, path, parsed(value, "value"), {"study", 7, 3}};
}
Edit shifted(const std::string& path, const std::string& by) {
  return {Edit::Action::shift, path, parsed(by, "value"), {"study", 7, 3}};
}

Node after(const std::vector<Edit>& edits, const std::string& scene = small_scene) {
  Faults faults;
  const Node node = edited(parsed(scene), edits, faults);
  for (const Fault& fault : faults.faults()) ADD_FAILURE() << to_string(fault);
  return node;
}

/// All faults of edits of the small scene, one per line.
std::string faults_of(const std::vector<Edit>& edits) {
  Faults faults;
  edited(parsed(small_scene), edits, faults);
  std::string lines;
  for (const Fault& fault : faults.faults()) lines += to_string(fault) + "\n";
  return lines;
}

/// The resolved scene as text, with inherited keys filled in: equal for equal scenes.
std::string meaning(const Node& node) { return document_text(with_inherited_keys(node)); }

/// The small scene with one text replaced by another.
Node by_hand(const std::string& from, const std::string& to) {
  std::string text = small_scene;
  const std::size_t at = text.find(from);
  if (at == std::string::npos) throw std::out_of_range("the scene does not have " + from);
  text.replace(at, from.size(), to);
  return parsed(text);
}

void expect_same_scene(const Node& one, const Node& other) { EXPECT_EQ(meaning(one), meaning(other)); }

TEST(Edits, SetASettingThatIsPresent) {
  expect_same_scene(after({set("channels.left.lowpass.frequency", "3 kHz")}),
                    by_hand("frequency: 2 kHz", "frequency: 3 kHz"));
  expect_same_scene(after({set("drivers.mid_left.position", "[0.6, -0.7, 0.2]")}),
                    by_hand("[0.7, -0.7, 0.3]", "[0.6, -0.7, 0.2]"));
  expect_same_scene(after({set("compute.image_order", "2")}), by_hand("image_order: 1", "image_order: 2"));
}

TEST(Edits, SetASettingThatIsAbsent) {
  expect_same_scene(after({set("channels.sub.gain", "3 dB")}),
                    by_hand("signal: mono", "signal: mono, gain: 3 dB"));
  expect_same_scene(after({set("air.temperature", "30 degC")}),
                    by_hand("cabin:\n", "air: {temperature: 30 degC}\ncabin:\n"));
  expect_same_scene(after({set("channels.sub.highpass.frequency", "30 Hz")}),
                    by_hand("signal: mono", "signal: mono, highpass: {frequency: 30 Hz}"));
}

TEST(Edits, ListItemsByNumberFromOneOrByName) {
  expect_same_scene(after({set("channels.left.equaliser.2.gain", "5 dB")}),
                    by_hand("gain: 2 dB", "gain: 5 dB"));
  expect_same_scene(after({set("cabin.blocks.1.y", "[-0.5, 0.5]")}), by_hand("[-0.8, 0.8]", "[-0.5, 0.5]"));
  expect_same_scene(after({set("cabin.blocks.dash.y", "[-0.5, 0.5]")}),
                    by_hand("[-0.8, 0.8]", "[-0.5, 0.5]"));
  expect_same_scene(after({set("drivers.mid_left.position.3", "0.25")}),
                    by_hand("[0.7, -0.7, 0.3]", "[0.7, -0.7, 0.25]"));
  expect_same_scene(after({removed("channels.left.equaliser.1")}),
                    by_hand("{shape: peak, frequency: 100 Hz, gain: -3 dB, q: 2}, ", ""));
  expect_same_scene(after({removed("cabin.blocks.dash.profile.2.face")}), by_hand(", face: brow", ""));
}

TEST(Edits, EntriesThatInheritFollowAChange) {
  const Node node = with_inherited_keys(after({set("drivers.mid_left.position", "[0.6, -0.7, 0.2]"),
                                               set("channels.left.lowpass.frequency", "3 kHz")}));
  EXPECT_EQ(document_text(*node.find("drivers")->find("mid_right")->find("position")), "[0.6, 0.7, 0.2]\n");
  EXPECT_EQ(node.find("channels")->find("right")->find("lowpass")->find("frequency")->text(), "3000 Hz");
}

TEST(Edits, ChangingPartOfAnInheritedKeyKeepsTheRest) {
  // A channel that is like another.
  expect_same_scene(after({set("channels.right.lowpass.frequency", "3 kHz")}),
                    by_hand("right: {like: left,",
                            "right: {like: left, lowpass: {family: bessel, order: 3, frequency: 3 kHz},"));
  // A mirrored driver: its own side.
  expect_same_scene(
      after({set("drivers.mid_right.aim.point.1", "1.5")}),
      by_hand("{mirror_of: mid_left}", "{mirror_of: mid_left, aim: {point: [1.5, -0.1, 0.9]}}"));
  expect_same_scene(after({set("drivers.mid_right.loading.door.volume", "30 L")}),
                    by_hand("{mirror_of: mid_left}",
                            "{mirror_of: mid_left, loading: {door: {volume: 30 L, leak: 15 cm2}}}"));
  // A group.
  expect_same_scene(
      after({set("channels.sub.lowpass.frequency", "70 Hz")}),
      by_hand("signal: mono", "signal: mono, lowpass: {family: butterworth, order: 4, frequency: 70 Hz}"));
  // A channel in a preset, which may itself be like another or in a group.
  expect_same_scene(
      after({set("presets.one.channels.right.highpass.order", "1")}),
      by_hand("one: &one {listen: {driver: 1}, channels: {left: {delay: 1 ms}}}\n  two: {<<: *one,",
              "one: {listen: {driver: 1}, channels: {left: {delay: 1 ms}, right: {highpass: {family: "
              "butterworth, order: 1, frequency: 80 Hz}}}}\n  two: {channels: {left: {delay: 1 ms}},"));
  expect_same_scene(
      after({set("presets.one.channels.sub.lowpass.order", "2")}),
      by_hand(
          "one: &one {listen: {driver: 1}, channels: {left: {delay: 1 ms}}}\n  two: {<<: *one,",
          "one: {listen: {driver: 1}, channels: {left: {delay: 1 ms}, sub: {lowpass: {family: butterworth, "
          "order: 2, frequency: 90 Hz}}}}\n  two: {channels: {left: {delay: 1 ms}},"));
  // A mirrored block, in place.
  const Node node = with_inherited_keys(after({set("cabin.blocks.seat_right.y.2", "0.65")}));
  EXPECT_EQ(document_text(*node.find("cabin")->find("blocks")->items()[2].find("y")), "[0.2, 0.65]\n");
}

TEST(Edits, InheritedPositionsAreWrittenInTheSceneSUnit) {
  std::string text = small_scene;
  text.replace(text.find("cabin:\n"), 0, "units: {length: cm}\n");
  for (const auto& [from, to] :
       {std::pair{"[1.1, 0.1, 0.9]", "[110, 10, 90]"}, {"[0.7, -0.7, 0.3]", "[70, -70, 30]"}})
    text.replace(text.find(from), std::string(from).size(), to);
  const Node node = after({set("drivers.mid_right.aim.point.1", "150")}, text);
  EXPECT_EQ(document_text(*node.find("drivers")->find("mid_right")->find("aim")), "point: [150, -10, 90]\n");
}

TEST(Edits, AMergedMappingIsChangedInOnePlaceOnly) {
  const Node node = after({set("presets.two.channels.left.delay", "2 ms")});
  EXPECT_EQ(setting_at(node, "presets.two.channels.left.delay").text(), "2 ms");
  EXPECT_EQ(setting_at(node, "presets.one.channels.left.delay").text(), "1 ms");
}

TEST(Edits, OtherUsesOfAnAliasAreUnchanged) {
  // Materials are identified by source location: the changed one must not be confused with the other.
  const std::string scene =
      "cabinfield: 1\ncabin:\n  box: {length: 2 m, width: 1 m, height: 1 m}\n"
      "  materials: {all: &wall {specific_impedance: 20}, floor: *wall}\n";
  const Node node = after({set("cabin.materials.floor.specific_impedance", "5")}, scene);
  const SceneFile file = read_scene_node(node, "f.yaml");
  ASSERT_TRUE(file.scene);
  ASSERT_EQ(file.scene->materials.size(), 3U);  // rigid, and two
  EXPECT_NE(*file.scene->materials[1].specific_impedance, *file.scene->materials[2].specific_impedance);
}

TEST(Edits, RemoveSettingsAndEntries) {
  expect_same_scene(after({removed("drivers.mid_left.setback")}), by_hand("    setback: 5 mm\n", ""));
  expect_same_scene(after({removed("channels.left.equaliser"), removed("groups.fronts")}),
                    after({removed("groups.fronts"), removed("channels.left.equaliser")}));
  EXPECT_EQ(after({removed("groups.fronts")}).find("groups")->find("fronts"), nullptr);
  EXPECT_EQ(after({removed("cabin.blocks.seat_right")}).find("cabin")->find("blocks")->items().size(), 2U);
  EXPECT_EQ(after({removed("tape")}).find("tape"), nullptr);
}

TEST(Edits, AddEntriesAndItems) {
  EXPECT_EQ(
      setting_at(after({added("groups.all", "{members: [sub], gain: 2 dB}")}), "groups.all.gain").text(),
      "2 dB");
  EXPECT_EQ(
      setting_at(after({added("groups", "{all: {members: [sub], gain: 2 dB}}")}), "groups.all.gain").text(),
      "2 dB");
  EXPECT_EQ(setting_at(after({added("marks.bolt", "[1, 0, 0]")}), "marks.bolt.1").text(), "1");
  const std::string block = "{name: bag, plan: [[0, 0], [0.1, 0], [0, 0.1]], z: [0, 0.1]}";
  for (const std::string& value : {block, "[" + block + "]"}) {
    const Node node = after({added("cabin.blocks", value)});
    ASSERT_EQ(node.find("cabin")->find("blocks")->items().size(), 4U);
    EXPECT_EQ(setting_at(node, "cabin.blocks.bag.z.2").text(), "0.1");
  }
  EXPECT_EQ(
      setting_at(after({added("cabin.leaks", "{surface: rear, area: 60 cm2}")}), "cabin.leaks.1.area").text(),
      "60 cm2");
}

TEST(Edits, ShiftBlocksSeatsDriversAndBoxes) {
  expect_same_scene(after({shifted("cabin.blocks.seat_left", "[0.1, 0.05, -0.05]")}),
                    by_hand("[[1.2, 0.2], [1.2, 0.5], [1.4, 0.5], [1.4, 0.2]], y: [-0.6, -0.2]",
                            "[[1.3, 0.15], [1.3, 0.45], [1.5, 0.45], [1.5, 0.15]], y: [-0.55, -0.15]"));
  expect_same_scene(
      after({shifted("cabin.blocks.dash", "[0.1, 0, 0.1]")}),
      by_hand("[{x: -0.1, z: 0.7, face: top}, {x: 0.5, z: 0.7, face: brow}, [0.5, 0.4], [-0.1, 0.4]]",
              "[{x: 0, z: 0.8, face: top}, {x: 0.6, z: 0.8, face: brow}, [0.6, 0.5], [0, 0.5]]"));
  expect_same_scene(after({shifted("seats.driver", "[0.1, 0, 0]")}),
                    by_hand("[1.1, -0.4, 0.9]", "[1.2, -0.4, 0.9]"));
  expect_same_scene(after({shifted("drivers.sub", "[0, 0.2, 0]"), shifted("boxes.tub", "[0, 0.2, 0]")}),
                    after({set("drivers.sub.position", "[1.75, 0.2, 0.3]"),
                           set("boxes.tub.outside.at", "[1.75, 0.2, 0]")}));
  // Two shifts add up; a zero shift changes nothing, to the last letter.
  expect_same_scene(after({shifted("seats.driver", "[0.1, 0, 0]"), shifted("seats.driver", "[-0.1, 0, 0]")}),
                    parsed(small_scene));
  EXPECT_TRUE(same_content(after({shifted("cabin.blocks.dash", "[0, 0, 0]")}), parsed(small_scene)));
  // A plan, and a block with only its own height.
  const std::string plan = "{name: bag, plan: [[0, 0], {x: 0.1, y: 0}, [0, 0.1]], z: [0, 0.1]}";
  EXPECT_EQ(document_text(after({added("cabin.blocks", plan), shifted("cabin.blocks.bag", "[1, 0.5, 0.25]")})
                              .find("cabin")
                              ->find("blocks")
                              ->items()[3]),
            "name: bag\nplan: [[1, 0.5], {x: 1.1, y: 0.5}, [1, 0.6]]\nz: [0.25, 0.35]\n");
  const Node own = with_inherited_keys(after(
      {set("cabin.blocks.seat_right.y", "[0.1, 0.3]"), shifted("cabin.blocks.seat_right", "[0.1, 0, 0]")}));
  const Node& seat = own.find("cabin")->find("blocks")->items()[2];
  EXPECT_EQ(document_text(*seat.find("y")), "[0.1, 0.3]\n");
  EXPECT_EQ(seat.find("profile")->items()[0].items()[0].text(), "1.3");
}

TEST(Edits, ANameThatBeginsWithADigitIsNotANumber) {
  // The third block is called 2nd_row, the fourth 1; a position would be that of another block.
  const std::string scene = R"(cabinfield: 1
cabin:
  blocks:
    - {name: dash, profile: [[0, 0.7], [0.5, 0.7], [0.5, 0.4]], y: [-0.8, 0.8]}
    - {name: seat, profile: [[1.2, 0.2], [1.2, 0.5], [1.4, 0.5]], y: [-0.6, -0.2]}
    - {name: 2nd_row, mirror_of: seat, y: [0.1, 0.3]}
    - {name: 1, profile: [[1.5, 0.2], [1.5, 0.5], [1.7, 0.5]], y: [0.2, 0.6]}
)";
  const auto block = [&](const Edit& edit, std::size_t index) {
    return with_inherited_keys(after({edit}, scene)).find("cabin")->find("blocks")->items()[index];
  };
  EXPECT_EQ(document_text(*block(shifted("cabin.blocks.2nd_row", "[0, 0.1, 0]"), 2).find("y")),
            "[0.2, 0.4]\n");
  EXPECT_EQ(document_text(*block(set("cabin.blocks.2nd_row.y", "[0, 0.1]"), 2).find("y")), "[0, 0.1]\n");
  EXPECT_EQ(document_text(*block(shifted("cabin.blocks.1", "[0, 0.5, 0]"), 3).find("y")), "[0.7, 1.1]\n");
  EXPECT_EQ(document_text(*block(set("cabin.blocks.1.y", "[0, 0.1]"), 3).find("y")), "[0, 0.1]\n");
  EXPECT_EQ(document_text(*block(set("cabin.blocks.2.y", "[0, 0.1]"), 1).find("y")), "[0, 0.1]\n");
}

TEST(Edits, FaultsNameThePathAndTheNearest) {
  const std::string head = "study:7:3: setting ";
  EXPECT_EQ(faults_of({set("channels.left.lowpas.frequency", "3 kHz")}).substr(0, 118),
            head +
                "'channels.left.lowpas.frequency' is unknown: channels.left has no 'lowpas'; did you mean "
                "'lowpass'?");
  const auto expect = [&](const Edit& edit, const std::string& words) {
    const std::string lines = faults_of({edit});
    EXPECT_NE(lines.find(words), std::string::npos) << words << "\nin\n" << lines;
    EXPECT_TRUE(lines.starts_with("study:7:3: ") || lines.starts_with("value:")) << lines;
    EXPECT_EQ(std::count(lines.begin(), lines.end(), '\n'), 1) << lines;
  };
  expect(set("chanels.left.gain", "1 dB"), "the scene has no 'chanels'; did you mean 'channels'?");
  expect(set("channels.lef.gain", "1 dB"),
         "channels has no 'lef'; did you mean 'left'? known: left, right, sub");
  expect(set("channels.lef", "{}"), "channels has no 'lef'; did you mean 'left'?");
  expect(set("drivers.mid_lft.position", "[0, 0, 0]"), "did you mean 'mid_left'?");
  expect(set("drivers.mid_right.loading.dor.leak", "1 cm2"),
         "drivers.mid_right.loading has no 'dor'; did you mean 'door'?");
  expect(set("drivers.mid_left.model.name", "x"),
         "is inside drivers.mid_left.model, which is text 'midbass_165'");
  expect(set("drivers.mid_left.setback.x", "x"), "is inside drivers.mid_left.setback, which is text '5 mm'");
  expect(set("drivers.sub.setback.x", "x"), "is inside drivers.sub.setback, which the scene does not have");
  expect(set("channels.left.equaliser.3.gain", "1 dB"),
         "has no item 3: channels.left.equaliser has 2 items, counted from 1");
  expect(set("channels.left.equaliser.0.gain", "1 dB"), "has no item 0");
  expect(set("channels.left.equaliser.first.gain", "1 dB"),
         "needs the number (from 1) or the name of an item of channels.left.equaliser");
  expect(set("channels.sub.equaliser.1.gain", "1 dB"),
         "channels.sub.equaliser, which the scene does not have");
  expect(set("cabin.blocks.dahs.y", "[0, 1]"),
         "cabin.blocks has no 'dahs'; did you mean 'dash'? known: dash, seat_left");
  expect(set("", "x"), "'' is not a setting");
  expect(set("amplifiers.a", "x"), "amplifiers has no 'a'");
  expect(removed("channels.sub.gain"), "is not given in the scene: there is nothing to remove");
  expect(removed("channels.right.lowpass"), "is inherited from another entry: remove it there");
  expect(removed("channels.centre"), "channels has no 'centre'");
  expect(added("channels.left", "{}"), "exists already: set it");
  expect(added("channels", "{left: {}}"), "channels.left exists already");
  expect(added("channels", "[1]"), "needs a mapping of the names to add, but this is a list");
  expect(added("channels.left.gain", "1 dB"), "is a single setting: set it");
  expect(added("cabin.blocks.dash", "{}"), "exists already: add to cabin.blocks instead");
  expect(shifted("cabin.blocks.seat_right", "[0, 0, 1]"),
         "takes its position from 'seat_left': shift that one instead");
  expect(shifted("channels.left", "[0, 0, 1]"), "cannot be shifted");
  expect(shifted("seats.driver", "[0, 1]"), "give three bare numbers [x, y, z]");
  expect(shifted("seats.drivr", "[0, 0, 1]"), "did you mean 'driver'?");
}

TEST(Edits, AFaultyEditChangesNothingAndTheOthersApply) {
  Faults faults;
  const std::vector<Edit> edits{set("channels.lef.gain", "1 dB"), set("channels.sub.gain", "1 dB"),
                                removed("channels.nobody")};
  const Node node = edited(parsed(small_scene), edits, faults);
  EXPECT_EQ(faults.faults().size(), 2U);
  EXPECT_TRUE(same_content(node, after({edits[1]})));
}

TEST(Edits, FaultyValuesAreReportedAtTheirSourceLocation) {
  const Node node = after({set("channels.sub.gain", "3"), set("drivers.mid_left.surface", "lefft")});
  const SceneFile file = read_scene_node(node, "f.yaml");
  ASSERT_FALSE(file.scene);
  ASSERT_FALSE(file.faults.faults().empty());
  EXPECT_EQ(to_string(file.faults.faults().front()).substr(0, 31), "value:1:1: channel 'sub': gain ");
}

TEST(Edits, KeysThatContainADot) {
  const std::string scene = "cabinfield: 1\nmaterials: {felt: {absorption: {31.5 Hz: 0.1, 63 Hz: 0.2}}}\n";
  EXPECT_EQ(
      setting_at(after({set("materials.felt.absorption.31.5 Hz", "0.4")}, scene), "materials.felt.absorption")
          .entries()[0]
          .value.text(),
      "0.4");
}

// --- Every setting of the scenes that come with the project ------------------------------------------------

using Leaves = std::map<std::string, Node>;

void collect(const Node& node, const std::string& path, Leaves& leaves) {
  const std::string head = path.empty() ? "" : path + ".";
  for (const Entry& entry : node.entries()) collect(entry.value, head + entry.key, leaves);
  for (std::size_t i = 0; i < node.items().size(); ++i)
    collect(node.items()[i], head + std::to_string(i + 1), leaves);
  if (node.kind() == NodeKind::scalar) leaves.emplace(path, node);
}
Leaves leaves_of(const Node& node) {
  Leaves leaves;
  collect(node, "", leaves);
  return leaves;
}

std::vector<std::string> scenes() {
  std::vector<std::string> files;
  for (const auto& entry : fs::directory_iterator(fs::path(CABINFIELD_SOURCE_DIR) / "scenes"))
    if (entry.path().extension() == ".yaml") files.push_back(entry.path().string());
  std::sort(files.begin(), files.end());
  return files;
}

class EditedScene : public testing::TestWithParam<std::string> {
 protected:
  Node scene_ = [] {
    Faults faults;
    return load_document(GetParam(), faults);
  }();
};

TEST_P(EditedScene, EveryPathReachesOnlyItsSetting) {
  const Leaves before = leaves_of(scene_);
  ASSERT_GT(before.size(), 10U);
  for (const auto& [path, value] : before) {
    Faults faults;
    const Edit same{Edit::Action::set, path, value, {}};
    EXPECT_TRUE(same_content(edited(scene_, {&same, 1}, faults), scene_)) << path;
    const Edit other{Edit::Action::set, path, scalar_node("something else", {}), {}};
    Leaves now = leaves_of(edited(scene_, {&other, 1}, faults));
    EXPECT_FALSE(faults.any()) << to_string(faults.faults().front());
    ASSERT_EQ(now.size(), before.size()) << path;
    EXPECT_EQ(now.at(path).text(), "something else");
    now.at(path) = value;
    for (const auto& [name, leaf] : before)
      ASSERT_TRUE(same_content(leaf, now.at(name))) << path << " " << name;
  }
}

TEST_P(EditedScene, WrittenOutReadsBackAsTheSameScene) {
  const SceneFile as_drawn = read_scene_file(GetParam());
  const std::string text = document_text(scene_);
  EXPECT_TRUE(same_content(parsed(text), scene_));
  // With the scene's path, since models are searched for beside it.
  const SceneFile again = read_scene_text(text, GetParam());
  ASSERT_TRUE(again.scene) << to_string(again.faults.sorted().front());
  EXPECT_EQ(again.resolved, as_drawn.resolved);
  const SceneFile direct = read_scene_node(scene_, GetParam());
  EXPECT_EQ(direct.resolved, as_drawn.resolved);
  EXPECT_EQ(direct.source, text);
}

/// A random edit: a value replaced by another from the scene, a removal, a shift, an added block.
Edit random_edit(std::mt19937& random, const Node& scene,
                 const std::vector<std::pair<std::string, Node>>& leaves) {
  const auto any = [&](const auto& list) { return list[random() % list.size()]; };
  const auto& [path, value] = any(leaves);
  switch (random() % 6) {
    case 0:
      return {Edit::Action::remove, path, Node(), {}};
    case 1: {
      const std::size_t dot = path.rfind('.');
      return {Edit::Action::remove, dot == std::string::npos ? path : path.substr(0, dot), Node(), {}};
    }
    case 2:
      return {Edit::Action::set, path, any(leaves).second, {}};
    case 3: {
      std::vector<std::string> things;
      for (const char* section : {"seats", "drivers", "boxes"})
        if (const Node* node = scene.find(section))
          for (const Entry& entry : node->entries()) things.push_back(std::string(section) + "." + entry.key);
      if (const Node* cabin = scene.find("cabin"))
        if (const Node* blocks = cabin->find("blocks"))
          for (std::size_t i = 1; i <= blocks->items().size(); ++i)
            things.push_back("cabin.blocks." + std::to_string(i));
      if (things.empty()) break;
      const auto number = [&] { return number_node(static_cast<double>(random() % 2001) / 1000 - 1, {}); };
      return {Edit::Action::shift, any(things), list_node({number(), number(), number()}, {}), {}};
    }
    case 4:
      return {Edit::Action::add,
              "cabin.blocks",
              parsed("{name: bag, plan: [[0, 0], [0.1, 0], [0, 0.1]], z: [0, 0.1]}"),
              {}};
    default:
      break;
  }
  // A nearby number, with the same unit.
  const std::size_t digits = value.text().find_first_not_of("-0123456789.");
  const auto number = parse_number(value.text().substr(0, digits));
  if (!number || value.quoted()) return {Edit::Action::set, path, value, {}};
  const Node near = number_node(*number * 1.01, {});
  return {Edit::Action::set,
          path,
          scalar_node(near.text() + (digits == std::string::npos ? "" : value.text().substr(digits)), {}),
          {}};
}

TEST_P(EditedScene, RandomEditsReadBackAsTheSameScene) {
  std::mt19937 random(11);
  const Leaves all = leaves_of(scene_);
  const std::vector<std::pair<std::string, Node>> leaves(all.begin(), all.end());
  int made = 0;
  for (int round = 0; round < 60; ++round) {
    Node node = scene_;
    for (int i = 0; i < 8; ++i) {
      Faults faults;
      const Edit edit = random_edit(random, node, leaves);
      node = edited(node, {&edit, 1}, faults);
      made += faults.any() ? 0 : 1;
    }
    const Node again = parsed(document_text(node));
    ASSERT_TRUE(same_content(again, node)) << document_text(node);
    ASSERT_EQ(meaning(again), meaning(node));
  }
  EXPECT_GT(made, 200) << "most edits lead somewhere";
}

INSTANTIATE_TEST_SUITE_P(Scenes, EditedScene, testing::ValuesIn(scenes()),
                         [](const auto& file) { return fs::path(file.param).stem().string(); });

}  // namespace
}  // namespace cabinfield::test
