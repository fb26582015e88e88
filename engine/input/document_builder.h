// The tree of a document, built from the events of the YAML library; for the parser only.
#pragma once

#include <yaml-cpp/eventhandler.h>
#include <yaml-cpp/mark.h>

#include <cstddef>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <unordered_map>
#include <vector>

#include "input/document.h"
#include "input/document_content.h"
#include "input/document_lines.h"

namespace cabinfield {

/// The text cannot be followed further.
struct DocumentStop {
  SourceLocation location;
  std::string message;
};

/// Takes the events of one file; throws DocumentStop where a limit is crossed or the text means nothing here.
/// Keys given twice become faults, and the first stays.
class DocumentBuilder : public YAML::EventHandler {
 public:
  DocumentBuilder(const DocumentLines& lines, Faults& faults) : lines_(lines), faults_(faults) {}

  Node root() const { return root_.content ? Node(root_.content) : Node(); }

  void OnDocumentStart(const YAML::Mark& mark) override;
  void OnDocumentEnd() override {}
  void OnNull(const YAML::Mark& mark, YAML::anchor_t anchor) override;
  void OnScalar(const YAML::Mark& mark, const std::string& tag, YAML::anchor_t anchor,
                const std::string& value) override;
  void OnAlias(const YAML::Mark& mark, YAML::anchor_t anchor) override;
  void OnSequenceStart(const YAML::Mark& mark, const std::string& tag, YAML::anchor_t anchor,
                       YAML::EmitterStyle::value style) override;
  void OnSequenceEnd() override;
  void OnMapStart(const YAML::Mark& mark, const std::string& tag, YAML::anchor_t anchor,
                  YAML::EmitterStyle::value style) override;
  void OnMapEnd() override;

 private:
  struct Built {
    std::shared_ptr<const Node::Content> content;
    std::size_t nodes = 1;   // with every alias written out
    std::size_t height = 0;  // levels of lists and mappings, itself included
  };

  // A list or mapping whose end has not come yet.
  struct Open {
    std::shared_ptr<Node::Content> content;
    std::size_t nodes = 1;
    std::size_t below = 0;
    YAML::anchor_t anchor = 0;
    bool waits_for_value = false;
    Entry entry;  // of which the key has been read
    bool key_is_merge = false;
    std::unordered_map<std::string, int> line_of_key;
    std::optional<std::size_t> merge_at;  // which of the entries is the merge
  };

  void begin(NodeKind kind, const YAML::Mark& mark, const std::string& tag, YAML::anchor_t anchor);
  void end();
  void finish(std::shared_ptr<Node::Content> content, YAML::anchor_t anchor);
  void add(const Built& built, const SourceLocation& location);
  bool expects_key() const;
  void take_key(const Node::Content& key, const SourceLocation& location);
  void keep_entry();
  void merge_into(Open& open);
  void count(std::size_t nodes, const SourceLocation& location);

  const DocumentLines& lines_;
  Faults& faults_;
  int documents_ = 0;
  int repeated_keys_ = 0;
  std::size_t nodes_ = 0;
  Built root_{nullptr, 0, 0};
  std::vector<Open> open_;
  std::map<YAML::anchor_t, Built> anchors_;
};

}  // namespace cabinfield
