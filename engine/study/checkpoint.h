// Checkpoint of a study: the results so far, on the disk, from which an interrupted run resumes.
//
// The file: a line that identifies the format, the key of the work, then records, each with its length and a
// checksum. An incomplete record and everything after it is discarded and computed again; so is an incomplete
// header.
#pragma once

#include <cstdint>
#include <map>
#include <string>
#include <vector>

namespace cabinfield {

/// Another process uses the file.
class CheckpointInUse : public std::exception {};

class Checkpoint {
 public:
  /// foreign: not a checkpoint, and not to be overwritten.
  enum class Found { nothing, same_work, other_work, foreign };

  /// Opens or creates the file and locks it for the object's lifetime. Throws CheckpointInUse, or
  /// MachineError where it cannot be created.
  explicit Checkpoint(const std::string& path);
  Checkpoint(const Checkpoint&) = delete;
  Checkpoint& operator=(const Checkpoint&) = delete;
  ~Checkpoint();

  /// What the file holds, compared with the key of the work.
  Found found(const std::string& key) const;
  /// Empties the file and starts work with this key. Throws MachineError.
  void start(const std::string& key);
  /// Reads the index of the records (found == same_work) and discards incomplete ones.
  void resume();

  bool has(std::uint64_t number) const { return records_.contains(number); }
  std::size_t count() const { return records_.size(); }
  std::vector<std::uint64_t> numbers() const;
  /// Values of a record, read from the disk. Throws MachineError.
  std::vector<double> read(std::uint64_t number) const;
  /// Adds a record; it is on the disk when this returns. Throws MachineError where the disk is full or lost;
  /// earlier records stay intact.
  void add(std::uint64_t number, const std::vector<double>& values);
  /// Removes the file after the work is done.
  void remove();

 private:
  struct Record {
    std::uint64_t at = 0, values = 0;
  };
  void read_head();
  std::uint64_t size() const;

  std::string path_;
  int file_ = -1;
  std::uint64_t end_ = 0;
  std::string key_;                     // of the file; "" without one
  Found without_key_ = Found::nothing;  // what the file is where it has no key
  std::uint64_t first_record_ = 0;
  std::map<std::uint64_t, Record> records_;
};

}  // namespace cabinfield
