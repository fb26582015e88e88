#include "input/document.h"

#include "base/quoted.h"
#include "input/document_content.h"
#include "input/keys_values.h"

namespace cabinfield {
namespace {

const std::shared_ptr<const Node::Content>& empty_content() {
  static const auto content = std::make_shared<const Node::Content>();
  return content;
}

}  // namespace

Node::Node() : content_(empty_content()) {}

NodeKind Node::kind() const { return content_->kind; }
const SourceLocation& Node::location() const { return content_->location; }
const std::string& Node::text() const { return content_->text; }
bool Node::quoted() const { return content_->quoted; }
const std::vector<Node>& Node::items() const { return content_->items; }
const std::vector<Entry>& Node::entries() const { return content_->entries; }

const Node* Node::find(std::string_view key) const {
  for (const Entry& entry : content_->entries)
    if (entry.key == key) return &entry.value;
  return nullptr;
}

std::string in_words(const Node& node) {
  switch (node.kind()) {
    case NodeKind::scalar:
      return "text " + quoted(node.text());
    case NodeKind::sequence:
      return "a list";
    case NodeKind::mapping:
      return "a mapping";
    case NodeKind::null:
      break;
  }
  return "empty";
}

Node scalar_node(std::string text, SourceLocation location) {
  auto content = std::make_shared<Node::Content>();
  content->kind = NodeKind::scalar;
  content->location = std::move(location);
  content->text = std::move(text);
  return Node(std::move(content));
}

Node list_node(std::vector<Node> items, SourceLocation location) {
  auto content = std::make_shared<Node::Content>();
  content->kind = NodeKind::sequence;
  content->location = std::move(location);
  content->items = std::move(items);
  return Node(std::move(content));
}

Node mapping_node(std::vector<Entry> entries, SourceLocation location) {
  auto content = std::make_shared<Node::Content>();
  content->kind = NodeKind::mapping;
  content->location = std::move(location);
  content->entries = std::move(entries);
  return Node(std::move(content));
}

bool same_content(const Node& one, const Node& other) {
  const auto is_number = [](const Node& node) { return !node.quoted() && parse_number(node.text()); };
  if (one.kind() != other.kind() || one.text() != other.text()) return false;
  if (one.kind() == NodeKind::scalar && is_number(one) != is_number(other)) return false;
  if (one.items().size() != other.items().size() || one.entries().size() != other.entries().size())
    return false;
  for (std::size_t i = 0; i < one.items().size(); ++i)
    if (!same_content(one.items()[i], other.items()[i])) return false;
  for (std::size_t i = 0; i < one.entries().size(); ++i)
    if (one.entries()[i].key != other.entries()[i].key ||
        !same_content(one.entries()[i].value, other.entries()[i].value))
      return false;
  return true;
}

Node load_document(const std::string& path, Faults& faults) {
  Faults own;
  const std::string text = read_text_file(path, own);
  faults.add_all(own);
  return own.any() ? Node() : parse_document(text, path, faults);
}

}  // namespace cabinfield
