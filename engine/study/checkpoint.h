// What a study has worked out so far, on the disk as it goes: a run that was killed goes on from there.
//
// The file: a line that says what it is, the key of what is being worked out, then records one after the
// other, each with its length and a checksum. A record that was cut off, and all after it, is left out and
// done again; so is a head that was cut off, which no record follows.
#pragma once

#include <cstdint>
#include <map>
#include <string>
#include <vector>

namespace cabinfield {

/// Somebody else is at work on the file.
class CheckpointInUse : public std::exception {};

class Checkpoint {
 public:
  /// Foreign: nothing that a study wrote, and not ours to empty.
  enum class Found { nothing, same_work, other_work, foreign };

  /// Opens or makes the file and keeps all others off it for as long as it lives. Throws CheckpointInUse, or
  /// MachineError where it cannot be made.
  explicit Checkpoint(const std::string& path);
  Checkpoint(const Checkpoint&) = delete;
  Checkpoint& operator=(const Checkpoint&) = delete;
  ~Checkpoint();

  /// Whether there is work of that key to go on with.
  Found found(const std::string& key) const;
  /// Empties the file for work of this key. Throws MachineError.
  void start(const std::string& key);
  /// Takes up the records of work of this key (found == same_work).
  void take_up();

  bool has(std::uint64_t number) const { return records_.contains(number); }
  std::size_t count() const { return records_.size(); }
  std::vector<std::uint64_t> numbers() const;
  /// The numbers of a record, read from the disk. Throws MachineError.
  std::vector<double> read(std::uint64_t number) const;
  /// Adds a record; on the disk when it returns. Throws MachineError where the disk is full or gone: what was
  /// there before stays whole.
  void add(std::uint64_t number, const std::vector<double>& values);
  /// The work is done: the file goes.
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
  std::string key_;                 // of what stands in the file; "" where nothing does
  Found unknown_ = Found::nothing;  // what stands in the file where it has no key
  std::uint64_t first_record_ = 0;
  std::map<std::uint64_t, Record> records_;
};

}  // namespace cabinfield
