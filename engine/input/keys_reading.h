// What reading a value needs besides its node: where faults go, the file's length unit, and whose value it
// is.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/fault.h"
#include "input/document.h"

namespace cabinfield {

/// State of one file being read. `owner`, `key` and `label` serve the messages only.
struct Reading {
  Faults& faults;
  /// Of bare position numbers in this file; empty where it is at fault, and positions cannot be judged.
  std::optional<double> length_unit_m = 1.0;
  std::string owner = {};  ///< the spec being read, in words: "driver 'mid_left'"; empty at the top of a file
  std::string key = {};    ///< the key being read: "setback"
  std::string label = {};  ///< what tells the value from its siblings under that key: "'mid_left'" or "3"
  std::size_t beyond_schema = 0;  ///< how many of the faults no schema of the file can express

  /// "driver 'mid_left': setback PREDICATE", e.g. with "900 mm is outside 0 mm to 300 mm".
  void fault(const SourceLocation& location, const std::string& predicate,
             FaultCode code = FaultCode::invalid_value);

  /// A fault that a schema of the file cannot express: units, order, what depends on other values.
  void fault_beyond_schema(const SourceLocation& location, const std::string& predicate,
                           FaultCode code = FaultCode::invalid_value);

  /// Fault "… is a list, expected WORDS" (or "… has no value"); for a node of the wrong kind.
  void wrong_kind(const Node& node, const std::string& words);

  /// Fault "unknown key 'setbak' in driver 'mid_left'; did you mean 'setback'? known: …".
  void unknown_key(const Entry& entry, const std::vector<std::string>& known);

  /// Fault "key 'position' is missing in driver 'mid_left': give WORDS".
  void missing_key(const SourceLocation& location, const std::string& missing, const std::string& words);

  /// " in driver 'mid_left'", or empty at the top of a file.
  std::string in_owner() const;
};

/// Puts `owner`, `key` and `label` back at the end of a block.
class ReadingScope {
 public:
  explicit ReadingScope(Reading& reading)
      : reading_(reading), owner_(reading.owner), key_(reading.key), label_(reading.label) {}
  ~ReadingScope() {
    reading_.owner.swap(owner_);
    reading_.key.swap(key_);
    reading_.label.swap(label_);
  }
  ReadingScope(const ReadingScope&) = delete;
  ReadingScope& operator=(const ReadingScope&) = delete;

  /// The value at hand becomes the owner of what is read next, called by the noun (or the key, where there is
  /// none) and its name: "driver 'mid_left'", "filter 2 of channel 'front_left_mid'", "loading of driver
  /// 'mid_left'".
  void enter_spec(const Node& node, const std::string& noun);
  /// The value of this key is read next.
  void enter_key(const std::string& key);
  /// The value of this name, or at this position from 1, is read next.
  void enter_name(const std::string& name);
  void enter_item(std::size_t position);

 private:
  Reading& reading_;
  std::string owner_;
  std::string key_;
  std::string label_;
};

}  // namespace cabinfield
