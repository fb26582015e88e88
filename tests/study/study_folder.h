// A study of some hundreds of variants in a temporary folder, for the command: under a second of work.
#pragma once

#include <cstdlib>
#include <string>

#include "command/program.h"
#include "study/study_text.h"

namespace cabinfield::test {

/// Several groups of variants of two cabins, a placement map and samples.
inline const std::string many_variants = R"(cabinfield_study: 1
title: Where in the door (invented)
scene: scene.yaml
move:
  - {driver: mid_left, grid: {over: left, spacing: 100 mm}}
vary:
  - {name: bass, set: channels.sub.gain, to: [0 dB, 3 dB, 6 dB]}
  - {name: floor, set: cabin.materials.floor, to: [carpet, rigid]}
judge:
  - {measure: level, band: [50 Hz, 400 Hz], weight: 0.3}
  - {measure: evenness, band: [50 Hz, 400 Hz]}
paint: {driver: sub, over: floor, spacing: 80 mm, judge_by: evenness, with: {loading: {sealed: 20 L}}}
doubt: {draws: 12}
skip_impossible: yes
)";

/// A fixed time stamp, for equal bytes.
inline void fix_the_date() { ::setenv("SOURCE_DATE_EPOCH", "1700000000", 1); }

class StudyFolder : public testing::Test {
 protected:
  const TemporaryFolder folder;
  const std::string scene = folder.write("scene.yaml", small_scene);
  const std::string output = folder.file("S.h5"), checkpoint = folder.file("S.h5.part");

  std::string study(const std::string& text) const { return folder.write("study.yaml", text); }
  std::vector<std::string> words(const std::vector<std::string>& more) const {
    std::vector<std::string> all{"study", folder.file("study.yaml"), "-o", output, "--quiet"};
    all.insert(all.end(), more.begin(), more.end());
    return all;
  }
  /// `cabinfield study study.yaml -o S.h5 --quiet` and further arguments.
  ProgramRun run(const std::vector<std::string>& more = {},
                 const std::function<void()>& in_child = fix_the_date) const {
    return run_program(words(more), in_child);
  }
};

}  // namespace cabinfield::test
