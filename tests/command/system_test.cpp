// The system plan on the command line: output and exit status.
#include <gtest/gtest.h>

#include <algorithm>

#include "command/program.h"

namespace cabinfield::test {
namespace {

const std::string scenes = std::string(CABINFIELD_SOURCE_DIR) + "/scenes/";

long lines_with(const std::string& text, const std::string& what) {
  const auto lines = lines_of(text);
  return std::count_if(lines.begin(), lines.end(),
                       [&](const std::string& line) { return line.find(what) != std::string::npos; });
}

TEST(SystemPlan, TheDraftHasStatusOneAndALineForEachMistake) {
  const ProgramRun draft = run_program({"check", scenes + "pickup_plan_draft.yaml"});
  EXPECT_EQ(draft.status, 1);
  // Depth, missing output, load and battery; and the cones of both subwoofers, which that load drives too
  // hard.
  EXPECT_EQ(lines_with(draft.out, "DOES NOT HOLD"), 6) << draft.out;
  EXPECT_EQ(lines_with(draft.out, "mounting depth is"), 1) << draft.out;
  EXPECT_EQ(lines_with(draft.out, "no free amplifier output"), 1) << draft.out;
  EXPECT_EQ(lines_with(draft.out, "lowest load is"), 1) << draft.out;
  EXPECT_EQ(lines_with(draft.out, "protection circuit opens"), 1) << draft.out;
  EXPECT_EQ(lines_with(draft.out, "moves its cone"), 2) << draft.out;
  const ProgramRun mended = run_program({"check", scenes + "pickup_plan.yaml"});
  EXPECT_EQ(mended.status, 0) << "cautions never count";
  EXPECT_EQ(lines_with(mended.out, "DOES NOT HOLD"), 0) << mended.out;
  EXPECT_EQ(lines_with(mended.out, "Cautions"), 1);
}

const char* const open_plan =
    "cabinfield: 1\n"
    "seats: {driver: {head: [1, 0, 1]}}\n"
    "drivers: {mid: {model: midbass_165, position: [0, 0, 1]}}\n"
    "channels:\n"
    "  mid:\n"
    "    drives: [mid]\n"
    "    highpass: {frequency: 80 Hz}\n"
    "amplifiers: {amp: {model: four_channel_90}}\n"
    "processor: {model: eight_output}\n"
    "compute: {frequencies: {from: 40 Hz, to: 4 kHz, per_octave: 12}}\n";

TEST(SystemPlan, ProposalsCanBeCopiedIntoTheScene) {
  const TemporaryFolder folder;
  const std::string scene = folder.write("open.yaml", open_plan);
  const ProgramRun open = run_program({"check", scene, "--propose"});
  EXPECT_EQ(open.status, 0) << open.err;
  std::string closed = open_plan, added;
  for (const std::string& line : lines_of(open.out))
    if (line.find("amplifier: {unit") != std::string::npos ||
        line.find("processor_output:") != std::string::npos)
      added += line + "\n";
  ASSERT_NE(added.find("channel: 1"), std::string::npos) << open.out;
  closed.insert(closed.find("    highpass"), added);
  const ProgramRun again = run_program({"check", folder.write("closed.yaml", closed), "--propose"});
  EXPECT_EQ(again.status, 0) << again.err << closed;
  EXPECT_EQ(lines_with(again.out, "nothing: the scene leaves no output open"), 1) << again.out;
}

TEST(SystemPlan, PredictPrintsTheMaximumLevelAndOneWarning) {
  const TemporaryFolder folder;
  const ProgramRun run =
      run_program({"predict", folder.write("open.yaml", open_plan), "-o", folder.file("r.h5")});
  EXPECT_EQ(run.status, 0) << run.err;
  EXPECT_EQ(lines_with(run.out, "Maximum level before a limit"), 1) << run.out;
  EXPECT_EQ(lines_with(run.out, "NIOSH"), 1) << run.out;
}

}  // namespace
}  // namespace cabinfield::test
