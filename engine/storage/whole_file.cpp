#include "storage/whole_file.h"

#include <fcntl.h>
#include <unistd.h>

#include <cerrno>
#include <filesystem>
#include <system_error>
#include <utility>

#include "base/fault.h"

namespace cabinfield {
namespace {

namespace fs = std::filesystem;

std::string description_of(int error) {
  switch (error) {
    case EACCES:
    case EPERM:
      return "no permission to write there";
    case EROFS:
      return "the disk is read-only";
    case ENOENT:
      return "its folder does not exist";
    case ENOTDIR:
      return "a part of the path is a file, not a folder";
    case ENOSPC:
    case EDQUOT:
      return "the disk is full";
    case EFBIG:
      return "the file would be larger than this system or user may write";
    case ENAMETOOLONG:
      return "the name is too long";
    case EISDIR:
      return "it is a folder";
    default:
      return std::generic_category().message(error);
  }
}

[[noreturn]] void fail(const std::string& path, const std::string& why) {
  throw MachineError(path + ": cannot be written: " + why);
}

/// The target of a symbolic link, else the path itself.
fs::path target_of(const std::string& path) {
  if (path.empty()) fail("''", "no file name was given");
  std::error_code error;
  const fs::file_status status = fs::status(path, error);
  if (fs::is_directory(status) || path.back() == '/') fail(path, "it is a folder; give the name of a file");
  if (status.type() == fs::file_type::none) fail(path, description_of(error.value()));
  if (!fs::exists(status)) return path;
  if (!fs::is_regular_file(status)) fail(path, "it is a device or pipe; give the name of a plain file");
  if (::access(path.c_str(), W_OK) != 0) fail(path, description_of(errno));
  const fs::path resolved = fs::canonical(path, error);
  if (error) fail(path, description_of(error.value()));
  return resolved;
}

fs::path folder_of(const fs::path& target) {
  return target.has_parent_path() ? target.parent_path() : fs::path(".");
}

/// The temporary file: open for writing, removed unless it was renamed.
class PartialFile {
 public:
  PartialFile(const fs::path& folder, std::string shown_path) : shown_path_(std::move(shown_path)) {
    for (int attempt = 0; descriptor_ < 0; ++attempt) {
      name_ =
          folder / (".cabinfield-" + std::to_string(::getpid()) + "-" + std::to_string(attempt) + ".part");
      descriptor_ = ::open(name_.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
      if (descriptor_ < 0 && errno != EEXIST) fail(shown_path_, description_of(errno));
    }
  }
  PartialFile(const PartialFile&) = delete;
  PartialFile& operator=(const PartialFile&) = delete;
  ~PartialFile() {
    if (descriptor_ >= 0) ::close(descriptor_);
    if (!renamed_) ::unlink(name_.c_str());
  }

  void write(std::span<const std::byte> bytes) {
    while (!bytes.empty()) {
      const ssize_t written = ::write(descriptor_, bytes.data(), bytes.size());
      if (written < 0 && errno == EINTR) continue;
      if (written < 0) fail(shown_path_, description_of(errno));
      bytes = bytes.subspan(static_cast<std::size_t>(written));
    }
  }

  void close() {
    // EINVAL: the file system cannot sync; the data was accepted by write.
    if (::fsync(descriptor_) != 0 && errno != EINVAL) fail(shown_path_, description_of(errno));
    if (::close(std::exchange(descriptor_, -1)) != 0) fail(shown_path_, description_of(errno));
  }

  void rename(const fs::path& target) {
    if (::rename(name_.c_str(), target.c_str()) != 0) fail(shown_path_, description_of(errno));
    renamed_ = true;
  }

 private:
  std::string shown_path_;
  fs::path name_;
  int descriptor_ = -1;
  bool renamed_ = false;
};

/// Makes the renaming survive a power failure, where the file system can.
void sync_folder(const fs::path& folder) {
  const int descriptor = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (descriptor < 0) return;
  ::fsync(descriptor);
  ::close(descriptor);
}

}  // namespace

void check_writable(const std::string& path) {
  // Create a file to find out: access() ignores read-only mounts in namespaces and network servers.
  PartialFile(folder_of(target_of(path)), path);
}

void write_whole_file(const std::string& path, std::span<const std::byte> bytes) {
  const fs::path target = target_of(path);
  PartialFile file(folder_of(target), path);
  file.write(bytes);
  file.close();
  file.rename(target);
  sync_folder(folder_of(target));
}

}  // namespace cabinfield
