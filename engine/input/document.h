// A YAML file as an immutable tree with places, merge keys resolved, within fixed limits on size, depth and
// expansion.
#pragma once

#include <cstddef>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "base/fault.h"

namespace cabinfield {

inline constexpr std::size_t largest_document_bytes = 4 * 1024 * 1024;
inline constexpr std::size_t deepest_document_nesting = 64;
/// Nodes after every alias has been written out.
inline constexpr std::size_t most_document_nodes = 200'000;

struct Entry;
class Writing;

enum class NodeKind { null, scalar, sequence, mapping };

/// One node. Cheap to copy; never changes. An alias is the node it stands for, at that node's place.
class Node {
 public:
  struct Content;

  Node();  ///< null, at no place
  explicit Node(std::shared_ptr<const Content> content) : content_(std::move(content)) {}

  NodeKind kind() const;
  const SourceLocation& location() const;
  const std::string& text() const;            ///< of a scalar, else empty
  bool quoted() const;                        ///< the scalar stood in quotes: text, never a number
  const std::vector<Node>& items() const;     ///< of a sequence, else empty
  const std::vector<Entry>& entries() const;  ///< of a mapping in file order, else empty
  const Node* find(std::string_view key) const;

 private:
  std::shared_ptr<const Content> content_;
};

/// A key and its value in a mapping. Merged entries stand where the `<<` stood.
struct Entry {
  std::string key;
  SourceLocation key_location;
  Node value;
};

/// A scalar that stands at a place without having been parsed there, e.g. a key looked at as a value.
Node scalar_node(std::string text, SourceLocation location);

/// A list or a mapping put together from parts that keep their own places.
Node list_node(std::vector<Node> items, SourceLocation location);
Node mapping_node(std::vector<Entry> entries, SourceLocation location);

/// Whether both say the same; places and quotes count nothing, a number in quotes being text, though.
bool same_content(const Node& one, const Node& other);

/// The document as YAML text which reads back as the same document, with merges and aliases written out.
std::string document_text(const Node& root);

/// The same within a text that is being written.
void write_node(const Node& node, Writing& writing);

/// What a node is, in words for messages: "a list", "text 'abc'", "empty".
std::string in_words(const Node& node);

/// Parses text named `file` in messages. Faults: larger than the limit, not UTF-8 text, not YAML, empty, more
/// than one document, a key twice in one mapping, a `<<` that is no mapping, a tag, nesting or expansion
/// beyond the limits (an alias bomb). Returns a null node after a fault; after keys given twice only, the
/// tree with the first of each.
Node parse_document(const std::string& text, const std::string& file, Faults& faults);

/// Reads the whole file. Faults: not there, a directory, not readable, larger than the limit (not read then).
/// Returns empty text after a fault.
std::string read_text_file(const std::string& path, Faults& faults);

/// Reads and parses a file; a null node after a fault.
Node load_document(const std::string& path, Faults& faults);

}  // namespace cabinfield
