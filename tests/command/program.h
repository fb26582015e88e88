// Runs the built command as a user would, and makes temporary folders for its files.
#pragma once

#include <filesystem>
#include <functional>
#include <string>
#include <vector>

namespace cabinfield::test {

struct ProgramRun {
  int status = -1;  ///< exit status, or 1000 + the signal that ended it
  std::string out, err;
};

/// Runs the command with arguments; `in_child` is called in the child before the program starts.
ProgramRun run_program(const std::vector<std::string>& arguments, const std::function<void()>& in_child = {});
/// Runs `command` with bash in a folder, with the built command first in PATH.
ProgramRun run_shell(const std::string& command, const std::filesystem::path& folder);

std::string bytes_of(const std::filesystem::path& path);
std::vector<std::string> lines_of(const std::string& text);

class TemporaryFolder {
 public:
  TemporaryFolder();
  TemporaryFolder(const TemporaryFolder&) = delete;
  TemporaryFolder& operator=(const TemporaryFolder&) = delete;
  ~TemporaryFolder();
  const std::filesystem::path& path() const { return path_; }
  std::string file(const std::string& name) const { return (path_ / name).string(); }
  /// Writes a file and returns its path.
  std::string write(const std::string& name, const std::string& text) const;
  /// Names of its files, sorted, including hidden files.
  std::vector<std::string> names() const;

 private:
  std::filesystem::path path_;
};

}  // namespace cabinfield::test
