#include "command/program.h"

#include <fcntl.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <cstdlib>
#include <fstream>
#include <iterator>
#include <sstream>
#include <stdexcept>

namespace cabinfield::test {
namespace {

namespace fs = std::filesystem;

ProgramRun run(std::vector<std::string> words, const std::function<void()>& in_child) {
  const TemporaryFolder folder;
  const std::string out = folder.file("out"), err = folder.file("err");
  std::vector<char*> arguments;
  for (std::string& word : words) arguments.push_back(word.data());
  arguments.push_back(nullptr);
  const pid_t child = ::fork();
  if (child < 0) throw std::runtime_error("no process can be started");
  if (child == 0) {
    for (const auto& [path, descriptor] : {std::pair{out, STDOUT_FILENO}, {err, STDERR_FILENO}})
      ::dup2(::open(path.c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0666), descriptor);
    ::close(STDIN_FILENO);
    if (in_child) in_child();
    ::execvp(arguments[0], arguments.data());
    ::_exit(127);
  }
  int status = 0;
  ::waitpid(child, &status, 0);
  return {WIFEXITED(status) ? WEXITSTATUS(status) : 1000 + WTERMSIG(status), bytes_of(out), bytes_of(err)};
}

}  // namespace

ProgramRun run_program(const std::vector<std::string>& arguments, const std::function<void()>& in_child) {
  std::vector<std::string> words{CABINFIELD_PROGRAM};
  words.insert(words.end(), arguments.begin(), arguments.end());
  return run(std::move(words), in_child);
}

ProgramRun run_shell(const std::string& command, const fs::path& folder) {
  return run({"bash", "-c", command}, [&] {
    const char* before = std::getenv("PATH");
    const std::string path =
        fs::path(CABINFIELD_PROGRAM).parent_path().string() + ":" + (before ? before : "/usr/bin");
    ::setenv("PATH", path.c_str(), 1);
    if (::chdir(folder.c_str()) != 0) ::_exit(126);
  });
}

std::string bytes_of(const fs::path& path) {
  std::ifstream stream(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(stream), {}};
}

std::vector<std::string> lines_of(const std::string& text) {
  std::vector<std::string> lines;
  std::istringstream stream(text);
  for (std::string line; std::getline(stream, line);) lines.push_back(line);
  return lines;
}

TemporaryFolder::TemporaryFolder() {
  std::string pattern = (fs::temp_directory_path() / "cabinfield_XXXXXX").string();
  if (::mkdtemp(pattern.data()) == nullptr) throw std::runtime_error("no temporary folder can be made");
  path_ = pattern;
}

TemporaryFolder::~TemporaryFolder() {
  std::error_code ignored;
  fs::remove_all(path_, ignored);
}

std::string TemporaryFolder::write(const std::string& name, const std::string& text) const {
  std::ofstream(file(name), std::ios::binary) << text;
  return file(name);
}

std::vector<std::string> TemporaryFolder::names() const {
  std::vector<std::string> names;
  for (const auto& entry : fs::directory_iterator(path_)) names.push_back(entry.path().filename().string());
  std::sort(names.begin(), names.end());
  return names;
}

}  // namespace cabinfield::test
