#include "study/journal.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>
#define XXH_INLINE_ALL
#include <xxhash.h>

#include <array>
#include <cerrno>
#include <cstring>

#include "base/fault.h"

namespace cabinfield {
namespace {

constexpr std::string_view first_line = "cabinfield study at work, version 1\n";
constexpr std::uint64_t longest_key = 4096, most_values = 1u << 28;

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
  throw MachineError(fmt::format("{}: {}: {}. What is done so far stays there: start again to go on", path,
                                 what, std::strerror(errno)));
}

}  // namespace

Journal::Journal(const std::string& path) : path_(path) {
  file_ = open(path.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0666);
  if (file_ < 0) throw MachineError(fmt::format("{}: cannot be written: {}", path, std::strerror(errno)));
  if (flock(file_, LOCK_EX | LOCK_NB) != 0) {
    close(file_);
    throw JournalInUse();
  }
  std::string line(first_line.size(), '\0');
  std::uint64_t length = 0;
  if (!read_at(file_, 0, line.data(), line.size()) || line != first_line ||
      !read_at(file_, line.size(), &length, sizeof(length)) || length > longest_key)
    return;
  key_.resize(length);
  if (!read_at(file_, line.size() + sizeof(length), key_.data(), length)) key_.clear();
  first_record_ = line.size() + sizeof(length) + length;
}

Journal::~Journal() {
  if (file_ >= 0) close(file_);
}

Journal::Found Journal::found(const std::string& key) const {
  struct stat status {};
  if (fstat(file_, &status) == 0 && status.st_size == 0) return Found::nothing;
  return !key_.empty() && key_ == key ? Found::same_work : Found::other_work;
}

void Journal::start(const std::string& key) {
  records_.clear();
  key_ = key;
  const std::uint64_t length = key.size();
  first_record_ = first_line.size() + sizeof(length) + length;
  end_ = first_record_;
  if (ftruncate(file_, 0) != 0 || !write_at(file_, 0, first_line.data(), first_line.size()) ||
      !write_at(file_, first_line.size(), &length, sizeof(length)) ||
      !write_at(file_, first_line.size() + sizeof(length), key.data(), key.size()) || fdatasync(file_) != 0)
    fail(path_, "cannot be written");
}

void Journal::take_up() {
  records_.clear();
  end_ = first_record_;
  Head head{};
  while (read_at(file_, end_, &head, sizeof(head)) && head.values <= most_values) {
    std::vector<double> values(head.values);
    if (!read_at(file_, end_ + sizeof(head), values.data(), values.size() * sizeof(double)) ||
        checksum(head.number, values) != head.checksum)
      break;
    records_[head.number] = {end_ + sizeof(head), head.values};
    end_ += sizeof(head) + values.size() * sizeof(double);
  }
  if (ftruncate(file_, static_cast<off_t>(end_)) != 0) fail(path_, "cannot be written");
}

std::vector<std::uint64_t> Journal::numbers() const {
  std::vector<std::uint64_t> numbers;
  for (const auto& record : records_) numbers.push_back(record.first);
  return numbers;
}

std::vector<double> Journal::read(std::uint64_t number) const {
  const Record& record = records_.at(number);
  std::vector<double> values(record.values);
  if (!read_at(file_, record.at, values.data(), values.size() * sizeof(double)))
    fail(path_, "cannot be read back");
  return values;
}

void Journal::add(std::uint64_t number, const std::vector<double>& values) {
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

void Journal::remove() {
  unlink(path_.c_str());
  records_.clear();
}

}  // namespace cabinfield
