// A study stopped at any moment, in any way, continues from there and ends with the same bytes.
#include <fcntl.h>
#include <gtest/gtest.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <chrono>
#include <csignal>
#include <memory>
#include <random>
#include <thread>

#include "storage/hdf5_reading.h"
#include "study/checkpoint.h"
#include "study/study_folder.h"
#include "study/study_key.h"
#include "study/study_run.h"

namespace cabinfield::test {
namespace {

namespace fs = std::filesystem;
using std::chrono::duration;
using std::chrono::steady_clock;

constexpr std::size_t some_records = 1000;  // bytes of a checkpoint with some records

/// A run of the command in the background of the test; killed with it.
class Beside {
 public:
  explicit Beside(std::vector<std::string> words) {
    words.insert(words.begin(), CABINFIELD_PROGRAM);
    std::vector<char*> arguments;
    for (std::string& word : words) arguments.push_back(word.data());
    arguments.push_back(nullptr);
    process_ = ::fork();
    if (process_ != 0) return;
    const int nowhere = ::open("/dev/null", O_RDWR);
    for (const int descriptor : {0, 1, 2}) ::dup2(nowhere, descriptor);
    fix_the_date();
    ::execv(arguments[0], arguments.data());
    ::_exit(127);
  }
  Beside(const Beside&) = delete;
  Beside& operator=(const Beside&) = delete;
  ~Beside() {
    if (process_ > 0) {
      tell(SIGKILL);
      wait();
    }
  }
  void tell(int signal) const { ::kill(process_, signal); }
  /// Exit status, or 1000 + the signal that ended it.
  int wait() {
    int status = 0;
    ::waitpid(process_, &status, 0);
    process_ = -1;
    return WIFEXITED(status) ? WEXITSTATUS(status) : 1000 + WTERMSIG(status);
  }

 private:
  pid_t process_ = -1;
};

/// A limit on the file size simulates a full disk.
std::function<void()> with_room_for(std::size_t bytes) {
  return [bytes] {
    fix_the_date();
    const rlimit most{bytes, bytes};
    ::setrlimit(RLIMIT_FSIZE, &most);
  };
}

class ResumedStudy : public StudyFolder {
 protected:
  ResumedStudy() { study(many_variants); }

  /// The result of an undisturbed run.
  std::string undisturbed(const std::string& text = many_variants) const {
    const TemporaryFolder other;
    other.write("scene.yaml", bytes_of(scene));
    const ProgramRun done = run_program(
        {"study", other.write("study.yaml", text), "-o", other.file("S.h5"), "--quiet"}, fix_the_date);
    EXPECT_EQ(done.status, 0) << done.err;
    EXPECT_EQ(other.names(), (std::vector<std::string>{"S.h5", "scene.yaml", "study.yaml"}));
    return bytes_of(other.file("S.h5"));
  }
  /// Complete records in the checkpoint.
  std::size_t records() const {
    const TemporaryFolder other;
    fs::copy_file(checkpoint, other.file("J"));
    const StudyFile file = read_study_file(folder.file("study.yaml"));
    Checkpoint copy(other.file("J"));
    const std::string key = study_key(*file.study) + " " + std::to_string(StudyOptions().leading);
    if (copy.found(key) != Checkpoint::Found::same_work) return 0;
    copy.resume();
    return copy.count();
  }
  /// Stops a run after it has saved some records; false if it ended first.
  bool stopped_midway(const Beside& run) const {
    const auto begun = steady_clock::now();
    std::error_code not_yet;
    while (!(fs::exists(checkpoint) && fs::file_size(checkpoint, not_yet) > some_records)) {
      if (fs::exists(output) || steady_clock::now() - begun > std::chrono::seconds(60)) return false;
      std::this_thread::sleep_for(std::chrono::milliseconds(1));
    }
    run.tell(SIGSTOP);
    std::this_thread::sleep_for(std::chrono::milliseconds(20));
    return fs::exists(checkpoint) && !fs::exists(output);
  }
  void leave_half_done() const { EXPECT_EQ(run({}, with_room_for(30000)).status, 3); }
};

class KilledStudy : public ResumedStudy, public testing::WithParamInterface<int> {};

TEST_P(KilledStudy, EndsWithTheSameBytesAfterTenKills) {
  const std::vector<std::string> threads{"--threads", std::to_string(GetParam())};
  const std::string expected = undisturbed();
  const auto begun = steady_clock::now();
  ASSERT_EQ(run(threads).status, 0);
  const double whole_s = duration<double>(steady_clock::now() - begun).count();
  ASSERT_TRUE(bytes_of(output) == expected) << "any number of threads";

  const std::string old = "a file of before";
  folder.write("S.h5", old);
  std::mt19937 random(20 + static_cast<unsigned>(GetParam()));
  std::uniform_real_distribution<double> part(0, 1);
  double latest_s = 0.5 * whole_s;  // adapts to the load of the machine
  std::size_t kept = 0, most_kept = 0;
  int kills = 0;
  for (int starts = 0; (kills < 10 || most_kept < 4) && starts < 200; ++starts) {
    Beside killed(words(threads));
    std::this_thread::sleep_for(duration<double>(latest_s * part(random)));
    killed.tell(SIGKILL);
    const int status = killed.wait();
    if (status == 0) {  // it ended first
      ASSERT_TRUE(bytes_of(output) == expected);
      ASSERT_FALSE(fs::exists(checkpoint));
      folder.write("S.h5", old);
      kept = 0;
      latest_s *= 0.7;
      continue;
    }
    ASSERT_EQ(status, 1000 + SIGKILL);
    ++kills;
    const std::string there = bytes_of(output);
    ASSERT_TRUE(there == old || there == expected) << "half a file";
    if (there == expected) continue;
    ASSERT_TRUE(kept == 0 || fs::exists(checkpoint)) << "what was done is lost";
    if (!fs::exists(checkpoint)) continue;
    const std::size_t now = records();
    ASSERT_GE(now, kept) << "what was done is lost";
    if (now == kept) latest_s *= 1.3;
    most_kept = std::max(most_kept, kept = now);
  }
  EXPECT_GE(kills, 10);
  EXPECT_GE(most_kept, 4U) << "the kills came too early to try anything";
  const ProgramRun last = run(threads);
  EXPECT_EQ(last.status, 0) << last.err;
  EXPECT_TRUE(bytes_of(output) == expected);
  EXPECT_FALSE(fs::exists(checkpoint));
}

INSTANTIATE_TEST_SUITE_P(Threads, KilledStudy, testing::Values(1, 2), testing::PrintToStringParamName());

// A cabin solved again must give the same bits as before.
TEST_F(ResumedStudy, WithAWaveFieldStoppedAnywhere) {
  std::string solved = small_scene;
  const std::string images = "{list: [50 Hz, 100 Hz, 200 Hz, 400 Hz]}, field: images, image_order: 1";
  solved.replace(solved.find(images), images.size(),
                 "{list: [50 Hz, 70 Hz, 100 Hz]}, field: wave, wave_top: 110 Hz");
  folder.write("scene.yaml", solved);
  const std::string text = R"(cabinfield_study: 1
scene: scene.yaml
move: [{driver: mid_left, grid: {over: left, spacing: 150 mm}}]
vary:
  - {set: channels.sub.gain, to: [0 dB, 3 dB, 6 dB]}
  - {set: cabin.materials.floor, to: [carpet, rigid]}
judge: [{measure: evenness, band: [50 Hz, 100 Hz]}]
paint: {driver: sub, over: floor, spacing: 150 mm, judge_by: evenness, with: {loading: {sealed: 20 L}}}
doubt: {draws: 3}
skip_impossible: yes
)";
  study(text);
  const std::string expected = undisturbed(text);
  // Its checkpoint has 14.4 and 21.3 kB after two groups of variants, 23.0 kB after the placement map, then
  // samples of two cabins. Each time, a full disk stops it within the next record.
  std::size_t kept = 0;
  for (const std::size_t bytes : {1000, 15000, 22000, 24000, 26500}) {
    ASSERT_EQ(run({"--threads", "2"}, with_room_for(bytes)).status, 3);
    ASSERT_TRUE(kept == 0 || records() > kept) << bytes;
    kept = records();
  }
  EXPECT_GT(kept, 5U);
  EXPECT_EQ(run().status, 0);
  EXPECT_TRUE(bytes_of(output) == expected);
}

TEST_F(ResumedStudy, WithoutRepeatingFinishedWork) {
  leave_half_done();
  // An impossible value, in a record with a corrected checksum, shows that the record was used.
  const StudyFile file = read_study_file(folder.file("study.yaml"));
  {
    Checkpoint taken(checkpoint);
    taken.resume();
    ASSERT_TRUE(taken.has(0));
    std::vector<double> first = taken.read(0);
    first[0] = 12345;
    taken.add(0, first);
  }
  ASSERT_EQ(run().status, 0);
  for (const auto& dataset : reading::read_all(output))
    if (dataset.path == "/variants/value") {
      EXPECT_EQ(std::count(dataset.numbers.begin(), dataset.numbers.end(), 12345), 1);
    }
}

TEST_F(ResumedStudy, SecondRunAtTheSameTimeIsRejected) {
  const std::string expected = undisturbed();
  auto begun = std::make_unique<Beside>(words({}));
  for (int tries = 0; !stopped_midway(*begun); ++tries) {
    ASSERT_LT(tries, 20) << "always quicker than it can be stopped";
    begun.reset();
    fs::remove(output);
    begun = std::make_unique<Beside>(words({}));
  }
  Beside& first = *begun;
  const std::string before = bytes_of(checkpoint);
  for (const std::vector<std::string>& more :
       {std::vector<std::string>{}, std::vector<std::string>{"--start-over"}}) {
    const ProgramRun second = run(more);
    EXPECT_EQ(second.status, 2);
    EXPECT_EQ(lines_of(second.err).size(), 1U) << second.err;
    EXPECT_NE(second.err.find("S.h5.part: another run is using this file"), std::string::npos) << second.err;
    EXPECT_TRUE(bytes_of(checkpoint) == before);
    EXPECT_FALSE(fs::exists(output));
  }
  // A run with another output is not affected.
  EXPECT_EQ(run_program({"study", folder.file("study.yaml"), "-o", folder.file("T.h5"), "--quiet"}).status,
            0);
  first.tell(SIGCONT);
  EXPECT_EQ(first.wait(), 0);
  EXPECT_TRUE(bytes_of(output) == expected);
  EXPECT_FALSE(fs::exists(checkpoint));
}

TEST_F(ResumedStudy, AChangedStudyOrSceneNeedsStartOver) {
  const std::string changed = many_variants + "# one more word\n";
  const std::string expected = undisturbed();
  leave_half_done();
  const std::string before = bytes_of(checkpoint);
  const auto expect_refused = [&](const char* what) {
    const ProgramRun refused = run();
    EXPECT_EQ(refused.status, 2) << what;
    EXPECT_EQ(lines_of(refused.err).size(), 1U) << refused.err;
    EXPECT_NE(refused.err.find("--start-over"), std::string::npos) << refused.err;
    EXPECT_TRUE(bytes_of(checkpoint) == before) << what;
    EXPECT_FALSE(fs::exists(output)) << what;
  };
  study(changed);
  expect_refused("study");
  study(many_variants);
  folder.write("scene.yaml", small_scene + "# a word\n");
  expect_refused("scene");
  folder.write("scene.yaml", small_scene);
  // A model that the scene as drawn does not name, but a variant might.
  const fs::path models = folder.path() / "models" / "drivers";
  fs::create_directories(models);
  folder.write("models/drivers/other.yaml", "cabinfield_model: driver\n");
  expect_refused("model");
  fs::remove_all(models);
  // Unchanged, it continues, from any working folder.
  const ProgramRun told_from_there = run_program(
      {"study", "study.yaml", "-o", "../" + folder.path().filename().string() + "/S.h5", "--quiet"}, [&] {
        fix_the_date();
        if (::chdir(folder.path().c_str()) != 0) ::_exit(126);
      });
  ASSERT_EQ(told_from_there.status, 0) << told_from_there.err;
  EXPECT_TRUE(bytes_of(output) == expected);

  leave_half_done();
  study(changed);
  const ProgramRun told = run({"--start-over"});
  EXPECT_EQ(told.status, 0) << told.err;
  EXPECT_TRUE(bytes_of(output) == undisturbed(changed));
  EXPECT_FALSE(fs::exists(checkpoint));
}

TEST_F(ResumedStudy, AForeignFileIsNotTouched) {
  folder.write("S.h5.part", "a letter");
  for (const std::vector<std::string>& more :
       {std::vector<std::string>{}, std::vector<std::string>{"--start-over"}}) {
    const ProgramRun refused = run(more);
    EXPECT_EQ(refused.status, 2);
    EXPECT_NE(refused.err.find("S.h5.part exists and is not a checkpoint"), std::string::npos) << refused.err;
    EXPECT_EQ(bytes_of(checkpoint), "a letter");
    EXPECT_FALSE(fs::exists(output));
  }
}

TEST_F(ResumedStudy, AfterAFullDisk) {
  const std::string expected = undisturbed();
  const std::string old = "a file of before";
  folder.write("S.h5", old);
  std::size_t before = 0;
  // The limit also applies to its messages: some hundred bytes.
  for (const std::size_t room : {400, 20000, 60000, 60001}) {
    const ProgramRun full = run({}, with_room_for(room));
    EXPECT_EQ(full.status, 3) << room << full.err;
    EXPECT_EQ(lines_of(full.err).size(), 1U) << full.err;
    EXPECT_NE(full.err.find("S.h5.part: cannot be written"), std::string::npos) << full.err;
    EXPECT_NE(full.err.find("start the study again to resume"), std::string::npos) << full.err;
    EXPECT_EQ(bytes_of(output), old);
    const std::size_t kept = bytes_of(checkpoint).size() > 0 ? records() : 0;
    EXPECT_GE(kept, before) << "what was done is lost";
    before = kept;
  }
  EXPECT_GT(before, 1U);
  EXPECT_EQ(run().status, 0);
  EXPECT_TRUE(bytes_of(output) == expected);
  EXPECT_EQ(folder.names(), (std::vector<std::string>{"S.h5", "scene.yaml", "study.yaml"}));
}

TEST_F(ResumedStudy, AfterADiskTooFullForItsFile) {
  // The text of a long study is in the output, but not in the checkpoint.
  std::string words_of_many = many_variants;
  for (int line = 0; line < 5000; ++line)
    words_of_many += "# and a thought that came along with it, and one more\n";
  study(words_of_many);
  const std::string expected = undisturbed(words_of_many);
  const ProgramRun full = run({}, with_room_for(expected.size() - 1));
  EXPECT_EQ(full.status, 3) << full.err;
  EXPECT_EQ(lines_of(full.err).size(), 1U) << full.err;
  EXPECT_NE(full.err.find("S.h5: cannot be written: "), std::string::npos) << full.err;
  EXPECT_NE(full.err.find("The progress stays in " + checkpoint), std::string::npos) << full.err;
  EXPECT_EQ(folder.names(), (std::vector<std::string>{"S.h5.part", "scene.yaml", "study.yaml"}));
  EXPECT_GT(records(), 10U);
  EXPECT_EQ(run().status, 0);
  EXPECT_TRUE(bytes_of(output) == expected);
  EXPECT_FALSE(fs::exists(checkpoint));
}

}  // namespace
}  // namespace cabinfield::test
