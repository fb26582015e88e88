#include "input/document_builder.h"

#include <algorithm>
#include <iterator>
#include <utility>

#include "base/quoted.h"

namespace cabinfield {
namespace {

// A file at fault in this many keys has one thing wrong with it, not many.
constexpr int most_repeated_keys = 100;

std::shared_ptr<Node::Content> make(NodeKind kind, SourceLocation location) {
  auto content = std::make_shared<Node::Content>();
  content->kind = kind;
  content->location = std::move(location);
  return content;
}

void check_tag(const std::string& tag, const std::string& own, const SourceLocation& location) {
  if (!tag.empty() && tag != "?" && tag != "!" && tag != "tag:yaml.org,2002:" + own)
    throw DocumentStop{location, "the tag " + quoted(tag) + " has no meaning here: remove it"};
}

void check_depth(std::size_t depth, const SourceLocation& location) {
  if (depth > deepest_document_nesting)
    throw DocumentStop{
        location, "lists and mappings are nested deeper than " + std::to_string(deepest_document_nesting)};
}

// What is merged takes the place of the merge itself: the mapping named, or the list of mappings, is a level
// less.
std::size_t height_merged(const Node::Content& content, std::size_t height) {
  const std::size_t levels = content.kind == NodeKind::sequence ? 2 : 1;
  return height - std::min(height, levels);
}

}  // namespace

void DocumentBuilder::OnDocumentStart(const YAML::Mark& mark) {
  if (documents_++ > 0)
    throw DocumentStop{lines_.location(mark), "a second document begins here: a file holds only one"};
}

void DocumentBuilder::OnNull(const YAML::Mark& mark, YAML::anchor_t anchor) {
  // The parser marks an absent value where the next thing stands; the key says more.
  const bool has_key = !open_.empty() && open_.back().waits_for_value;
  finish(make(NodeKind::null, has_key ? open_.back().entry.key_location : lines_.location(mark)), anchor);
}

void DocumentBuilder::OnScalar(const YAML::Mark& mark, const std::string& tag, YAML::anchor_t anchor,
                               const std::string& value) {
  auto content = make(NodeKind::scalar, lines_.location(mark));
  check_tag(tag, "str", content->location);
  if (lines_.quote_stays_open(mark))
    throw DocumentStop{content->location, "the quote that begins here does not end: close it on this line"};
  content->text = value;
  content->quoted = tag != "?" && !tag.empty();
  finish(std::move(content), anchor);
}

void DocumentBuilder::OnAlias(const YAML::Mark& mark, YAML::anchor_t anchor) {
  const SourceLocation location = lines_.location(mark);
  const auto found = anchors_.find(anchor);
  if (found == anchors_.end())
    throw DocumentStop{location, "this alias is inside the value that it refers to"};
  count(found->second.nodes, location);
  add(found->second, location);
}

void DocumentBuilder::OnSequenceStart(const YAML::Mark& mark, const std::string& tag, YAML::anchor_t anchor,
                                      YAML::EmitterStyle::value) {
  begin(NodeKind::sequence, mark, tag, anchor);
}

void DocumentBuilder::OnSequenceEnd() { end(); }

void DocumentBuilder::OnMapStart(const YAML::Mark& mark, const std::string& tag, YAML::anchor_t anchor,
                                 YAML::EmitterStyle::value) {
  begin(NodeKind::mapping, mark, tag, anchor);
}

void DocumentBuilder::OnMapEnd() {
  merge_into(open_.back());
  end();
}

void DocumentBuilder::begin(NodeKind kind, const YAML::Mark& mark, const std::string& tag,
                            YAML::anchor_t anchor) {
  Open open;
  open.content = make(kind, lines_.location(mark));
  open.anchor = anchor;
  const SourceLocation& location = open.content->location;
  check_tag(tag, kind == NodeKind::sequence ? "seq" : "map", location);
  if (expects_key()) throw DocumentStop{location, "a key must be plain text, not a list or a mapping"};
  check_depth(open_.size() + 1, location);
  count(1, location);
  open_.push_back(std::move(open));
}

void DocumentBuilder::end() {
  Open open = std::move(open_.back());
  open_.pop_back();
  const Built built{open.content, open.nodes, open.below + 1};
  if (open.anchor != 0) anchors_[open.anchor] = built;
  add(built, open.content->location);
}

void DocumentBuilder::finish(std::shared_ptr<Node::Content> content, YAML::anchor_t anchor) {
  const SourceLocation location = content->location;
  count(1, location);
  const Built built{std::move(content), 1, 0};
  if (anchor != 0) anchors_[anchor] = built;
  add(built, location);
}

void DocumentBuilder::add(const Built& built, const SourceLocation& location) {
  if (open_.empty()) {
    root_ = built;
    return;
  }
  Open& open = open_.back();
  open.nodes += built.nodes;
  if (expects_key()) {
    take_key(*built.content, location);
    return;
  }
  const std::size_t height = open.key_is_merge ? height_merged(*built.content, built.height) : built.height;
  check_depth(open_.size() + height, location);
  open.below = std::max(open.below, height);
  if (open.content->kind == NodeKind::sequence) {
    open.content->items.emplace_back(built.content);
    return;
  }
  open.waits_for_value = false;
  open.entry.value = Node(built.content);
  keep_entry();
}

bool DocumentBuilder::expects_key() const {
  return !open_.empty() && open_.back().content->kind == NodeKind::mapping && !open_.back().waits_for_value;
}

void DocumentBuilder::take_key(const Node::Content& key, const SourceLocation& location) {
  if (key.kind == NodeKind::null)
    throw DocumentStop{location, "a key is missing, or is the word null: put it in quotes"};
  if (key.kind != NodeKind::scalar)
    throw DocumentStop{location, "a key must be plain text, not a list or a mapping"};
  Open& open = open_.back();
  open.entry = {key.text, location, Node()};
  open.key_is_merge = key.text == "<<" && !key.quoted;
  open.waits_for_value = true;
}

void DocumentBuilder::keep_entry() {
  Open& open = open_.back();
  const SourceLocation location = open.entry.key_location;
  const auto [first, is_new] = open.line_of_key.emplace(open.entry.key, location.line);
  if (is_new) {
    if (open.key_is_merge) open.merge_at = open.content->entries.size();
    open.content->entries.push_back(std::move(open.entry));
    return;
  }
  if (++repeated_keys_ > most_repeated_keys) throw DocumentStop{location, "too many keys are given twice"};
  faults_.add(location,
              open.key_is_merge
                  ? "'<<' is given twice in one mapping: merge several with a list, <<: [*one, *two]"
                  : "key " + quoted(open.entry.key) + " is given twice in one mapping, first in line " +
                        std::to_string(first->second));
}

// The merge key of yaml.org/type/merge.html: keys of the mapping itself win, then those of the mapping named
// first.
void DocumentBuilder::merge_into(Open& open) {
  if (!open.merge_at) return;
  auto& entries = open.content->entries;
  const Entry merged = entries[*open.merge_at];
  std::vector<Entry> additions;
  auto take_from = [&](const Node& node) {
    if (node.kind() != NodeKind::mapping)
      throw DocumentStop{merged.key_location,
                         "'<<' merges a mapping or a list of mappings, this is " + in_words(node)};
    for (const Entry& entry : node.entries())
      if (open.line_of_key.emplace(entry.key, 0).second) additions.push_back(entry);
  };
  if (merged.value.kind() == NodeKind::sequence) {
    for (const Node& node : merged.value.items()) take_from(node);
  } else {
    take_from(merged.value);
  }
  const auto position = entries.erase(entries.begin() + static_cast<std::ptrdiff_t>(*open.merge_at));
  entries.insert(position, std::make_move_iterator(additions.begin()),
                 std::make_move_iterator(additions.end()));
}

void DocumentBuilder::count(std::size_t nodes, const SourceLocation& location) {
  nodes_ += nodes;
  if (nodes_ > most_document_nodes)
    throw DocumentStop{location, "the file has more than " + std::to_string(most_document_nodes) +
                                     " values once its aliases are written out"};
}

}  // namespace cabinfield
