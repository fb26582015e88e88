// Failing disks and permissions: nothing half written, the old file intact, a clear message.
#include "storage/whole_file.h"

#include <fcntl.h>
#include <gtest/gtest.h>
#include <sched.h>
#include <sys/mount.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <csignal>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <functional>
#include <iterator>

#include "base/fault.h"
#include "output/synthetic_hatchback.h"
#include "output/write_results.h"

namespace cabinfield {
namespace {

namespace fs = std::filesystem;

constexpr const char* no_way_to_try = "not possible on this machine";

/// Report of work in a separate process, where limits, mounts and users may be changed freely.
std::string in_own_process(const std::function<std::string()>& work) {
  std::array<int, 2> pipe_ends{};
  if (pipe(pipe_ends.data()) != 0) return "no pipe";
  const pid_t child = fork();
  if (child == 0) {
    const std::string words = work();
    const bool told = write(pipe_ends[1], words.data(), words.size()) == static_cast<ssize_t>(words.size());
    _exit(told ? 0 : 1);
  }
  close(pipe_ends[1]);
  std::string words;
  std::array<char, 512> block{};
  for (ssize_t got = 0; (got = read(pipe_ends[0], block.data(), block.size())) > 0;)
    words.append(block.data(), static_cast<std::size_t>(got));
  close(pipe_ends[0]);
  int status = 0;
  waitpid(child, &status, 0);
  return WIFEXITED(status) && WEXITSTATUS(status) == 0 ? words : "the process died";
}

/// The message of the MachineError, or "written".
std::string outcome_of_writing(const std::string& path) {
  try {
    write_results(synthetic::hatchback(530), path);
    return "written";
  } catch (const MachineError& error) {
    return error.what();
  }
}

class WholeFile : public testing::Test {
 protected:
  void SetUp() override {
    std::string pattern = (fs::temp_directory_path() / "cabinfield_whole_XXXXXX").string();
    ASSERT_NE(mkdtemp(pattern.data()), nullptr);
    folder_ = pattern;
    chmod(folder_.c_str(), 0755);
    file_ = (folder_ / "R.h5").string();
  }
  void TearDown() override { fs::remove_all(folder_); }

  void leave(const std::string& path, const std::string& text) const { std::ofstream(path) << text; }
  std::string text_of(const std::string& path) const {
    std::ifstream stream(path);
    return {std::istreambuf_iterator<char>(stream), {}};
  }
  std::size_t entries() const {
    return static_cast<std::size_t>(std::distance(fs::directory_iterator(folder_), fs::directory_iterator()));
  }

  fs::path folder_;
  std::string file_;
};

#define EXPECT_SAYS(words, part) EXPECT_NE((words).find(part), std::string::npos) << (words)

TEST_F(WholeFile, ReplacesTheOldFileAndLeavesNothingElse) {
  leave(file_, "old");
  EXPECT_EQ(outcome_of_writing(file_), "written");
  EXPECT_GT(fs::file_size(file_), 100000u);
  EXPECT_EQ(entries(), 1u);
}

TEST_F(WholeFile, NewFileHasThePermissionsOfAnyOther) {
  const mode_t mask = umask(022);
  EXPECT_EQ(outcome_of_writing(file_), "written");
  umask(mask);
  struct stat status {};
  ASSERT_EQ(stat(file_.c_str(), &status), 0);
  EXPECT_EQ(status.st_mode & 0777, 0644u);
}

TEST_F(WholeFile, FollowsASymbolicLink) {
  leave((folder_ / "real.h5").string(), "old");
  fs::create_symlink("real.h5", file_);
  EXPECT_EQ(outcome_of_writing(file_), "written");
  EXPECT_TRUE(fs::is_symlink(file_));
  EXPECT_GT(fs::file_size(folder_ / "real.h5"), 100000u);
}

TEST_F(WholeFile, FolderIsRejected) {
  fs::create_directory(file_);
  EXPECT_SAYS(outcome_of_writing(file_), "it is a folder");
  EXPECT_SAYS(outcome_of_writing((folder_ / "new/").string()), "it is a folder");
  EXPECT_TRUE(fs::is_empty(file_));
  EXPECT_EQ(entries(), 1u);
}

TEST_F(WholeFile, DeviceIsRejectedAndUnchanged) {
  EXPECT_SAYS(outcome_of_writing("/dev/full"), "device");
  EXPECT_SAYS(outcome_of_writing("/dev/null"), "device");
  EXPECT_TRUE(fs::is_character_file("/dev/null"));
}

TEST_F(WholeFile, MissingFolderAndFileInsteadOfAFolderAreNamed) {
  EXPECT_SAYS(outcome_of_writing((folder_ / "missing" / "R.h5").string()), "its folder does not exist");
  leave(file_, "old");
  EXPECT_SAYS(outcome_of_writing(file_ + "/R.h5"), "a file, not a folder");
  EXPECT_SAYS(outcome_of_writing((folder_ / std::string(300, 'n')).string()), "the name is too long");
  EXPECT_SAYS(outcome_of_writing(""), "no file name");
  EXPECT_EQ(text_of(file_), "old");
  EXPECT_EQ(entries(), 1u);
}

TEST_F(WholeFile, CheckingLeavesNoTrace) {
  leave(file_, "old");
  EXPECT_NO_THROW(check_writable(file_));
  EXPECT_NO_THROW(check_writable((folder_ / "new.h5").string()));
  EXPECT_THROW(check_writable(folder_.string()), MachineError);
  EXPECT_THROW(check_writable((folder_ / "missing" / "R.h5").string()), MachineError);
  EXPECT_EQ(text_of(file_), "old");
  EXPECT_EQ(entries(), 1u);
}

TEST_F(WholeFile, MissingPermissionIsReported) {
  leave(file_, "old");
  chmod(folder_.c_str(), 0555);
  const std::string words = in_own_process([&]() -> std::string {
    // Permissions do not bind the superuser, so the process becomes nobody (65534 on Linux by common
    // practice).
    if (geteuid() == 0 && (setgid(65534) != 0 || setuid(65534) != 0)) return no_way_to_try;
    return outcome_of_writing((folder_ / "new.h5").string()) + "\n" + outcome_of_writing(file_);
  });
  chmod(folder_.c_str(), 0755);
  // Some machines do not let the superuser become another user, so that nothing is refused.
  if (words == no_way_to_try) GTEST_SKIP() << words;
  EXPECT_SAYS(words, "new.h5: cannot be written: no permission");
  EXPECT_SAYS(words, "R.h5: cannot be written: no permission");
  EXPECT_EQ(text_of(file_), "old");
  EXPECT_EQ(entries(), 1u);
}

TEST_F(WholeFile, WriteProtectedFileStaysInAnOpenFolder) {
  leave(file_, "old");
  chmod(file_.c_str(), 0444);
  chmod(folder_.c_str(), 0777);
  const std::string words = in_own_process([&]() -> std::string {
    if (geteuid() == 0 && (setgid(65534) != 0 || setuid(65534) != 0)) return no_way_to_try;
    return outcome_of_writing(file_);
  });
  // Some machines do not let the superuser become another user, so that nothing is refused.
  if (words == no_way_to_try) GTEST_SKIP() << words;
  EXPECT_SAYS(words, "no permission");
  EXPECT_EQ(text_of(file_), "old");
}

TEST_F(WholeFile, FullDiskLeavesTheOldFile) {
  const std::string words = in_own_process([&]() -> std::string {
    // A mount of its own with 64 KiB, seen by this process alone.
    if (unshare(geteuid() == 0 ? CLONE_NEWNS : CLONE_NEWUSER | CLONE_NEWNS) != 0) return no_way_to_try;
    mount(nullptr, "/", nullptr, MS_REC | MS_PRIVATE, nullptr);
    if (mount("tmpfs", folder_.c_str(), "tmpfs", 0, "size=64k") != 0) return no_way_to_try;
    leave(file_, "old");
    std::string told = outcome_of_writing(file_);
    return told + (text_of(file_) == "old" ? ", old file kept" : "") + (entries() == 1 ? ", alone" : "");
  });
  // Some machines allow no mount of one's own, and no other disk may be filled.
  if (words == no_way_to_try) GTEST_SKIP() << words;
  EXPECT_EQ(words, file_ + ": cannot be written: the disk is full, old file kept, alone");
}

TEST_F(WholeFile, FileSizeLimitLeavesTheOldFile) {
  const std::string words = in_own_process([&]() -> std::string {
    leave(file_, "old");
    std::signal(SIGXFSZ, SIG_IGN);
    const rlimit limit{100000, 100000};
    if (setrlimit(RLIMIT_FSIZE, &limit) != 0) return no_way_to_try;
    return outcome_of_writing(file_);
  });
  EXPECT_SAYS(words, "larger than this system or user may write");
  EXPECT_EQ(text_of(file_), "old");
  EXPECT_EQ(entries(), 1u);
}

TEST_F(WholeFile, NothingIsPrinted) {
  testing::internal::CaptureStderr();
  testing::internal::CaptureStdout();
  outcome_of_writing((folder_ / "missing" / "R.h5").string());
  EXPECT_EQ(testing::internal::GetCapturedStderr(), "");
  EXPECT_EQ(testing::internal::GetCapturedStdout(), "");
}

}  // namespace
}  // namespace cabinfield
