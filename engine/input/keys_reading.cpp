#include "input/keys_reading.h"

#include "base/nearest_name.h"
#include "base/quoted.h"
#include "input/keys.h"

namespace cabinfield {
namespace {

bool is_position(const std::string& label) { return !label.empty() && label[0] >= '0' && label[0] <= '9'; }

std::string subject(const Reading& reading) {
  if (reading.label.empty()) return reading.key;
  const std::string label = is_position(reading.label) ? "item " + reading.label : reading.label;
  return reading.key.empty() ? label : reading.key + " " + label;
}

}  // namespace

void Reading::fault(const SourceLocation& location, const std::string& predicate, FaultCode code) {
  std::string message = owner;
  const std::string about = subject(*this);
  if (!about.empty()) message += (message.empty() ? "" : ": ") + about;
  faults.add({location,
              (message.empty() ? "the file" : message) + " " + predicate,
              code,
              {key.empty() ? SubjectKind::none : SubjectKind::key, key}});
}

void Reading::fault_beyond_schema(const SourceLocation& location, const std::string& predicate,
                                  FaultCode code) {
  fault(location, predicate, code);
  ++beyond_schema;
}

void Reading::wrong_kind(const Node& node, const std::string& words) {
  if (node.kind() == NodeKind::null && !subject(*this).empty()) {
    fault(node.location(), "has no value, expected " + words, FaultCode::wrong_kind);
  } else {
    fault(node.location(), "is " + in_words(node) + ", expected " + words, FaultCode::wrong_kind);
  }
}

void Reading::unknown_key(const Entry& entry, const std::vector<std::string>& known) {
  const std::string hint = nearest_name_hint(entry.key, known);
  faults.add({entry.key_location,
              "unknown key " + quoted(entry.key) + in_owner() + (hint.empty() ? ";" : hint) +
                  " known: " + joined_by_commas(known),
              FaultCode::unknown_key,
              {SubjectKind::key, entry.key}});
}

void Reading::missing_key(const SourceLocation& location, const std::string& missing,
                          const std::string& words) {
  faults.add({location,
              "key " + quoted(missing) + " is missing" + in_owner() + ": give " + words,
              FaultCode::missing_key,
              {SubjectKind::key, missing}});
}

std::string Reading::in_owner() const { return owner.empty() ? "" : " in " + owner; }

void ReadingScope::enter_spec(const Node& node, const std::string& noun) {
  std::string words = noun.empty() ? reading_.key : noun;
  const Node* own_name = node.find("name");
  const bool has_own_name = own_name != nullptr && own_name->kind() == NodeKind::scalar;
  if (has_own_name) {
    words += " " + quoted(own_name->text());
  } else {
    if (!reading_.label.empty()) words += " " + reading_.label;
    const bool named = !reading_.label.empty() && !is_position(reading_.label);
    if (!named && !reading_.owner.empty()) words += " of " + reading_.owner;
  }
  reading_.owner = words;
  reading_.key.clear();
  reading_.label.clear();
}

void ReadingScope::enter_key(const std::string& key) {
  reading_.key = key;
  reading_.label.clear();
}

void ReadingScope::enter_name(const std::string& name) { reading_.label = quoted(name); }

void ReadingScope::enter_item(std::size_t position) {
  const std::string outer = is_position(reading_.label) ? reading_.label + "."
                            : reading_.label.empty()    ? ""
                                                        : reading_.label + " item ";
  reading_.label = outer + std::to_string(position);
}

std::string key_reference(const std::vector<KeyLine>& lines) {
  std::string text;
  for (const KeyLine& line : lines) {
    text += line.key;
    if (!line.words.empty()) text += ": " + line.words;
    if (!line.supported) text += ": not yet supported";
    if (!line.help.empty()) text += "; " + line.help;
    if (line.required) text += " (required)";
    text += "\n";
  }
  return text;
}

}  // namespace cabinfield
