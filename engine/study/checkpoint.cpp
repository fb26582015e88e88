#include "study/checkpoint.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>
#define XXH_INLINE_ALL
#include <xxhash.h>

#include <algorithm>
#include <cerrno>
#include <cstring>

#include "base/fault.h"

namespace cabinfield {
namespace {

constexpr std::string_view of_any_version = "cabinfield study at work, version ",
                           first_line = "cabinfield study at work, version 1\n";
/// Limit of a path and a hash.
constexpr std::uint64_t longest_key = 8192;

struct Head {
  std::uint64_t number, values, checksum;
};

std::uint64_t checksum(std::uint64_t number, const std::vector<double>& values) {
  return XXH3_64bits_withSeed(values.data(), values.size() * sizeof(double), number);
}

bool read_at(int file, std::uint64_t at, void* to, std::size_t bytes) {
  std::size_t got = 0;
  while (got < bytes) {
    const ssize_t read = pread(file, static_cast<char*>(to) + got, bytes - got, static_cast<off_t>(at + got));
    if (read < 0 && errno == EINTR) continue;
    if (read <= 0) return false;
    got += static_cast<std::size_t>(read);
  }
  return true;
}

bool write_at(int file, std::uint64_t at, const void* from, std::size_t bytes) {
  std::size_t put = 0;
  while (put < bytes) {
    const ssize_t written =
        pwrite(file, static_cast<const char*>(from) + put, bytes - put, static_cast<off_t>(at + put));
    if (written < 0 && errno == EINTR) continue;
    if (written <= 0) return false;
    put += static_cast<std::size_t>(written);
  }
  return true;
}

[[noreturn]] void fail(const std::string& path, const char* what) {
  throw MachineError(
      fmt::format("{}: {}: {}. Earlier results are safe there: start the study again to resume", path, what,
                  std::strerror(errno)));
}

}  // namespace

Checkpoint::Checkpoint(const std::string& path) : path_(path) {
  struct stat ours {
  }, named{};
  while (true) {
    file_ = open(path.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0666);
    if (file_ < 0) throw MachineError(fmt::format("{}: cannot be written: {}", path, std::strerror(errno)));
    if (flock(file_, LOCK_EX | LOCK_NB) != 0) {
      const int why = errno;
      close(file_);
      if (why == EWOULDBLOCK) throw CheckpointInUse();
      throw MachineError(fmt::format("{}: the file cannot be locked: {}", path, std::strerror(why)));
    }
    // The previous owner may have removed the file between open and lock: then try again.
    if (fstat(file_, &ours) == 0 && stat(path.c_str(), &named) == 0 && ours.st_ino == named.st_ino &&
        ours.st_dev == named.st_dev)
      break;
    close(file_);
  }
  read_head();
}

void Checkpoint::read_head() {
  const std::uint64_t there = size();
  std::string line(std::min<std::uint64_t>(there, first_line.size()), '\0');
  if (!read_at(file_, 0, line.data(), line.size())) fail(path_, "cannot be read");
  if (line != first_line) {
    without_key_ = first_line.starts_with(line)       ? Found::nothing
                   : line.starts_with(of_any_version) ? Found::other_work
                                                      : Found::foreign;
    return;
  }
  std::uint64_t length = 0;
  first_record_ = line.size() + sizeof(length);
  if (there < first_record_) return;
  if (!read_at(file_, line.size(), &length, sizeof(length))) fail(path_, "cannot be read");
  if (length > longest_key) {
    without_key_ = Found::other_work;
    return;
  }
  if (there < first_record_ + length) return;
  key_.resize(length);
  if (!read_at(file_, first_record_, key_.data(), length)) fail(path_, "cannot be read");
  first_record_ += length;
}

std::uint64_t Checkpoint::size() const {
  struct stat status {};
  if (fstat(file_, &status) != 0) fail(path_, "cannot be read");
  return static_cast<std::uint64_t>(status.st_size);
}

Checkpoint::~Checkpoint() {
  if (file_ >= 0) close(file_);
}

Checkpoint::Found Checkpoint::found(const std::string& key) const {
  if (key_.empty()) return without_key_;
  return key_ == key ? Found::same_work : Found::other_work;
}

void Checkpoint::start(const std::string& key) {
  records_.clear();
  const std::uint64_t length = key.size();
  std::string head(first_line);
  head.append(reinterpret_cast<const char*>(&length), sizeof(length));
  head += key;
  if (ftruncate(file_, 0) != 0 || !write_at(file_, 0, head.data(), head.size()) || fdatasync(file_) != 0) {
    const int why = errno;
    [[maybe_unused]] const int cut = ftruncate(file_, 0);
    errno = why;
    fail(path_, "cannot be written");
  }
  key_ = key;
  end_ = first_record_ = head.size();
}

void Checkpoint::resume() {
  records_.clear();
  end_ = first_record_;
  const std::uint64_t there = size();
  Head head{};
  while (end_ + sizeof(head) <= there && read_at(file_, end_, &head, sizeof(head)) &&
         head.values <= (there - end_ - sizeof(head)) / sizeof(double)) {
    std::vector<double> values(head.values);
    if (!read_at(file_, end_ + sizeof(head), values.data(), values.size() * sizeof(double)) ||
        checksum(head.number, values) != head.checksum)
      break;
    records_[head.number] = {end_ + sizeof(head), head.values};
    end_ += sizeof(head) + values.size() * sizeof(double);
  }
  if (ftruncate(file_, static_cast<off_t>(end_)) != 0) fail(path_, "cannot be written");
}

std::vector<std::uint64_t> Checkpoint::numbers() const {
  std::vector<std::uint64_t> numbers;
  for (const auto& record : records_) numbers.push_back(record.first);
  return numbers;
}

std::vector<double> Checkpoint::read(std::uint64_t number) const {
  const Record& record = records_.at(number);
  std::vector<double> values(record.values);
  if (!read_at(file_, record.at, values.data(), values.size() * sizeof(double)))
    fail(path_, "cannot be read back");
  return values;
}

void Checkpoint::add(std::uint64_t number, const std::vector<double>& values) {
  const Head head{number, values.size(), checksum(number, values)};
  if (!write_at(file_, end_, &head, sizeof(head)) ||
      !write_at(file_, end_ + sizeof(head), values.data(), values.size() * sizeof(double)) ||
      fdatasync(file_) != 0) {
    const int why = errno;
    [[maybe_unused]] const int cut = ftruncate(file_, static_cast<off_t>(end_));
    errno = why;
    fail(path_, "cannot be written further");
  }
  records_[number] = {end_ + sizeof(head), values.size()};
  end_ += sizeof(head) + values.size() * sizeof(double);
}

void Checkpoint::remove() {
  unlink(path_.c_str());
  records_.clear();
}

}  // namespace cabinfield
