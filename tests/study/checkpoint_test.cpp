// The checkpoint of a study: records are read back to the last bit, and damaged ones are ignored.
#include "study/checkpoint.h"

#include <gtest/gtest.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmath>
#include <csignal>
#include <cstring>
#include <limits>

#include "base/fault.h"
#include "command/program.h"

namespace cabinfield::test {
namespace {

using Found = Checkpoint::Found;
using Values = std::vector<double>;

class StudyCheckpoint : public testing::Test {
 protected:
  const std::string key = "a study, and a hash of it";
  TemporaryFolder folder;
  const std::string path = folder.file("S.h5.part");

  /// Three records under the key.
  void begun() const {
    Checkpoint checkpoint(path);
    checkpoint.start(key);
    checkpoint.add(0, {1, 2, 3});
    checkpoint.add(7, {});
    checkpoint.add(std::uint64_t{1} << 49, {4.5, -0.0});
  }
  /// Records that a new run finds.
  std::size_t found_again() const {
    Checkpoint checkpoint(path);
    if (checkpoint.found(key) != Found::same_work) return 999;
    checkpoint.resume();
    return checkpoint.count();
  }
  void replace(std::size_t at, const std::string& bytes) const {
    std::string all = bytes_of(path);
    ASSERT_LE(at + bytes.size(), all.size());
    folder.write("S.h5.part", all.replace(at, bytes.size(), bytes));
  }
  std::size_t length() const { return bytes_of(path).size(); }
  std::size_t head_length() const {
    const TemporaryFolder other;
    Checkpoint checkpoint(other.file("J"));
    checkpoint.start(key);
    return bytes_of(other.file("J")).size();
  }
};

constexpr std::size_t record_head = 24;  // number, length and checksum, eight bytes each

TEST_F(StudyCheckpoint, NumbersComeBackToTheLastBit) {
  const Values odd{std::numeric_limits<double>::quiet_NaN(), -0.0, 5e-324, 1.0 / 3,
                   -std::numeric_limits<double>::infinity()};
  {
    Checkpoint checkpoint(path);
    EXPECT_EQ(checkpoint.found(key), Found::nothing);
    checkpoint.start(key);
    checkpoint.add(3, odd);
    checkpoint.add(1, Values(100000, 0.1));
    EXPECT_EQ(checkpoint.count(), 2U);
  }
  Checkpoint checkpoint(path);
  ASSERT_EQ(checkpoint.found(key), Found::same_work);
  checkpoint.resume();
  EXPECT_EQ(checkpoint.count(), 2U);
  EXPECT_TRUE(checkpoint.has(1) && checkpoint.has(3));
  EXPECT_FALSE(checkpoint.has(0) || checkpoint.has(2));
  const Values back = checkpoint.read(3);
  ASSERT_EQ(back.size(), odd.size());
  EXPECT_EQ(std::memcmp(back.data(), odd.data(), odd.size() * sizeof(double)), 0);
  EXPECT_EQ(checkpoint.read(1), Values(100000, 0.1));
}

TEST_F(StudyCheckpoint, AppendsToExistingRecords) {
  begun();
  {
    Checkpoint checkpoint(path);
    checkpoint.resume();
    EXPECT_EQ(checkpoint.read(7), Values());
    checkpoint.add(8, {8});
  }
  Checkpoint checkpoint(path);
  checkpoint.resume();
  EXPECT_EQ(checkpoint.count(), 4U);
  EXPECT_EQ(checkpoint.read(8), Values{8});
  EXPECT_EQ(checkpoint.read(0), (Values{1, 2, 3}));
}

// A run that is killed leaves any number of bytes of its last record.
TEST_F(StudyCheckpoint, ATruncatedLastRecordIsIgnoredAndRepeated) {
  begun();
  const std::string whole = bytes_of(path);
  const std::size_t last = record_head + 2 * sizeof(double);
  for (std::size_t missing = 1; missing <= last; ++missing) {
    folder.write("S.h5.part", whole.substr(0, whole.size() - missing));
    ASSERT_EQ(found_again(), 2U) << missing;
    ASSERT_EQ(length(), whole.size() - last) << "what is torn is cut off";
    Checkpoint checkpoint(path);
    checkpoint.resume();
    checkpoint.add(std::uint64_t{1} << 49, {4.5, -0.0});
    ASSERT_TRUE(bytes_of(path) == whole);
  }
}

TEST_F(StudyCheckpoint, ATruncatedHeaderIsAnEmptyFile) {
  begun();
  const std::string whole = bytes_of(path);
  for (std::size_t left = 0; left < head_length(); ++left) {
    folder.write("S.h5.part", whole.substr(0, left));
    ASSERT_EQ(Checkpoint(path).found(key), Found::nothing) << left;
  }
  folder.write("S.h5.part", whole.substr(0, head_length()));
  EXPECT_EQ(found_again(), 0U);
}

TEST_F(StudyCheckpoint, AWrongChecksumEndsTheValidRecords) {
  begun();
  const std::size_t first = head_length();
  // A bit of a value, of the checksum and of the number of the second record.
  for (const std::size_t at : {first + record_head, first + 16, first}) {
    begun();
    replace(at, "\x55");
    EXPECT_EQ(found_again(), 0U) << at;
  }
  begun();
  replace(first + record_head + 3 * sizeof(double), "\x05");
  EXPECT_EQ(found_again(), 1U);
  begun();
  // A huge length must not be allocated.
  replace(first + 8, std::string(7, '\xff'));
  EXPECT_EQ(found_again(), 0U);
}

TEST_F(StudyCheckpoint, ADifferentKeyIsOtherWork) {
  begun();
  const std::string before = bytes_of(path);
  {
    Checkpoint checkpoint(path);
    EXPECT_EQ(checkpoint.found(key + " changed"), Found::other_work);
    EXPECT_EQ(checkpoint.found(key.substr(0, key.size() - 1)), Found::other_work);
    EXPECT_EQ(checkpoint.found(""), Found::other_work);
    EXPECT_EQ(checkpoint.found(key), Found::same_work);
  }
  EXPECT_TRUE(bytes_of(path) == before) << "looking changes nothing";
  replace(std::strlen("cabinfield study at work, version "), "2");
  EXPECT_EQ(Checkpoint(path).found(key), Found::other_work) << "of another version";
  Checkpoint checkpoint(path);
  checkpoint.start(key);
  checkpoint.resume();
  EXPECT_EQ(checkpoint.count(), 0U);
}

TEST_F(StudyCheckpoint, AForeignFileIsRecognised) {
  for (const std::string& text :
       {std::string("letter to a customer"), std::string(1, '\0'), std::string("\x89HDF\r\n\x1a\n"),
        std::string("cabinfield: 1\ntitle: x\n"), std::string(100000, 'x')}) {
    folder.write("S.h5.part", text);
    EXPECT_EQ(Checkpoint(path).found(key), Found::foreign);
    EXPECT_TRUE(bytes_of(path) == text);
  }
}

TEST_F(StudyCheckpoint, ASecondRunIsRefused) {
  {
    Checkpoint first(path);
    first.start(key);
    EXPECT_THROW(Checkpoint second(path), CheckpointInUse);
    first.add(0, {1});
    EXPECT_THROW(Checkpoint second(path), CheckpointInUse);
  }
  EXPECT_EQ(found_again(), 1U) << "free again when the first has gone, and whole";
}

TEST_F(StudyCheckpoint, TheLockEndsWithItsProcess) {
  int ready[2];
  ASSERT_EQ(::pipe(ready), 0);
  const pid_t child = ::fork();
  if (child == 0) {
    Checkpoint checkpoint(path);
    checkpoint.start(key);
    checkpoint.add(0, {1});
    [[maybe_unused]] const ssize_t told = ::write(ready[1], "x", 1);
    ::pause();
  }
  char byte = 0;
  ASSERT_EQ(::read(ready[0], &byte, 1), 1);
  EXPECT_THROW(Checkpoint second(path), CheckpointInUse);
  ::kill(child, SIGKILL);
  ::waitpid(child, nullptr, 0);
  EXPECT_EQ(found_again(), 1U);
}

TEST_F(StudyCheckpoint, ARemovedFileIsFree) {
  Checkpoint first(path);
  first.start(key);
  first.remove();
  EXPECT_TRUE(folder.names().empty());
  // A new run gets its own file, although the first still has the old one open.
  Checkpoint second(path);
  EXPECT_EQ(second.found(key), Found::nothing);
  second.start(key);
  EXPECT_EQ(folder.names(), std::vector<std::string>{"S.h5.part"});
}

/// In a child with a limit on the file size, which simulates a full disk.
int in_a_child_with_room_for(rlim_t bytes, const std::function<int()>& work) {
  const pid_t child = ::fork();
  if (child == 0) {
    std::signal(SIGXFSZ, SIG_IGN);
    const rlimit most{bytes, bytes};
    ::setrlimit(RLIMIT_FSIZE, &most);
    ::_exit(work());
  }
  int status = 0;
  ::waitpid(child, &status, 0);
  return WIFEXITED(status) ? WEXITSTATUS(status) : 1000 + WTERMSIG(status);
}

TEST_F(StudyCheckpoint, AFullDiskKeepsTheExistingRecords) {
  begun();
  const std::string before = bytes_of(path);
  for (const std::size_t room : {std::size_t{0}, std::size_t{10}, record_head, record_head + 100}) {
    const int status = in_a_child_with_room_for(before.size() + room, [&] {
      Checkpoint checkpoint(path);
      checkpoint.resume();
      try {
        checkpoint.add(9, Values(1000, 9));
      } catch (const MachineError& error) {
        const std::string words = error.what();
        return checkpoint.count() == 3 &&
                       words.find("S.h5.part: cannot be written further: File too large") != std::string::npos
                   ? 42
                   : 2;
      }
      return 1;
    });
    EXPECT_EQ(status, 42);
    EXPECT_TRUE(bytes_of(path) == before) << room;
  }
}

TEST_F(StudyCheckpoint, AFullDiskAtTheStartLeavesNoFile) {
  const int status = in_a_child_with_room_for(20, [&] {
    Checkpoint checkpoint(path);
    try {
      checkpoint.start(key);
    } catch (const MachineError&) {
      return 42;
    }
    return 1;
  });
  EXPECT_EQ(status, 42);
  EXPECT_EQ(length(), 0U);
  EXPECT_EQ(Checkpoint(path).found(key), Found::nothing);
}

TEST_F(StudyCheckpoint, WhereNoFileCanBe) {
  EXPECT_THROW(Checkpoint(folder.file("none") + "/S.h5.part"), MachineError);
  EXPECT_THROW(Checkpoint(folder.path().string()), MachineError);
}

}  // namespace
}  // namespace cabinfield::test
