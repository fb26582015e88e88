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

/// What kind of thing is wrong. Control flow decides by this, never by the message.
enum class FaultCode {
  unspecified,
  // Reading a file.
  unknown_key,
  missing_key,
  wrong_kind,     ///< of node: a list where a mapping is expected, or no value
  invalid_value,  ///< a value that does not have the form it must have
  unit,           ///< a quantity without its unit, with an unknown one, or with one of another dimension
  out_of_range,
  wrong_count,
  unknown_name,
  duplicate_name,
  unsupported,
  // Geometry.
  invalid_shape,
  driver_off_surface,     ///< too far from the surface it names
  driver_surface_hidden,  ///< its surface is covered or cut away there, or missing in a state
  driver_outside_air,
  driver_near_ear,
  aim_behind_surface,
  rear_outside_air,
  ear_outside_air,
  opening_off_partition,
  opening_outside_cabin,
  leak_too_large,
  tape_mismatch
};

/// What a fault is about.
enum class SubjectKind { none, key, seat, driver, leak, opening, tape };

struct FaultSubject {
  SubjectKind kind = SubjectKind::none;
  std::string name;

  friend bool operator==(const FaultSubject&, const FaultSubject&) = default;
};

/// A number of a fault's message: the value found, or the limit it breaks.
struct FaultNumber {
  std::string name;  ///< such as "distance"
  double value = 0;  ///< in `unit`
  std::string unit;  ///< SI, such as "m"

  friend bool operator==(const FaultNumber&, const FaultNumber&) = default;
};

/// One thing that is wrong: where, and in words what, which value, and what is allowed.
struct Fault {
  SourceLocation location;
  std::string message;  ///< to be printed only
  FaultCode code = FaultCode::unspecified;
  FaultSubject subject = {};
  std::vector<FaultNumber> numbers = {};

  /// The same kind of fault in the same thing on the same line, whatever its numbers now are.
  bool same_cause(const Fault& other) const;

  friend bool operator==(const Fault&, const Fault&) = default;
};

/// `FILE:LINE:COLUMN: message`; unknown line and column are left out.
std::string to_string(const Fault& fault);

/// Faults (which stop the work) and warnings (which do not), in the order found. A repeated one is dropped.
class Faults {
 public:
  void add(Fault fault);
  void add(SourceLocation location, std::string message);  ///< of no specified code
  void warn(Fault warning);
  void warn(SourceLocation location, std::string message);
  /// Adds those of another collection, faults and warnings.
  void add_all(const Faults& others);

  bool any() const { return !faults_.empty(); }
  /// How often `add` was called, including repeated faults: comparing before and after shows a new fault.
  std::size_t times_added() const { return times_added_; }
  const std::vector<Fault>& faults() const { return faults_; }
  const std::vector<Fault>& warnings() const { return warnings_; }

  /// Faults sorted by line and column; files keep the order in which they first appeared.
  std::vector<Fault> sorted() const;

 private:
  std::vector<Fault> faults_;
  std::vector<Fault> warnings_;
  std::size_t times_added_ = 0;
  std::unordered_set<std::string> seen_faults_, seen_warnings_;  // as printed: a file may hold very many
};

/// The input cannot be used. Carries every fault found.
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
