// What is wrong with an input, and where. Readers and builders collect faults; nothing stops at the first.
#pragma once

#include <cstddef>
#include <stdexcept>
#include <string>
#include <unordered_set>
#include <vector>

namespace cabinfield {

/// A spot in an input file. Lines and columns count from 1; 0 means "the file as a whole".
struct SourceLocation {
  std::string file;
  int line = 0;
  int column = 0;

  friend bool operator==(const SourceLocation&, const SourceLocation&) = default;
};

/// One thing that is wrong: where, and in words what, which value, and what is allowed.
struct Fault {
  SourceLocation location;
  std::string message;

  friend bool operator==(const Fault&, const Fault&) = default;
};

/// `FILE:LINE:COLUMN: message`, without the numbers that are not known.
std::string to_string(const Fault& fault);

/// Faults (which stop the work) and warnings (which do not), in the order found, repeated ones dropped.
class Faults {
 public:
  void add(SourceLocation location, std::string message);
  void warn(SourceLocation location, std::string message);

  bool any() const { return !faults_.empty(); }
  /// How often `add` was called, repeated faults included: has risen where something was at fault.
  std::size_t times_added() const { return times_added_; }
  const std::vector<Fault>& faults() const { return faults_; }
  const std::vector<Fault>& warnings() const { return warnings_; }

  /// Faults in the order of their places in the file; files keep the order in which they were first met.
  std::vector<Fault> sorted() const;

 private:
  std::vector<Fault> faults_;
  std::vector<Fault> warnings_;
  std::size_t times_added_ = 0;
  std::unordered_set<std::string> seen_faults_, seen_warnings_;  // as printed: a file may hold very many
};

/// The input cannot be used; carries every fault found.
class InputError : public std::runtime_error {
 public:
  explicit InputError(std::vector<Fault> faults);
  const std::vector<Fault>& faults() const { return faults_; }

 private:
  std::vector<Fault> faults_;
};

/// The machine failed (disk, memory, permission); the input may be fine.
class MachineError : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

}  // namespace cabinfield
