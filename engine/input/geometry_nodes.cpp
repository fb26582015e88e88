#include "input/geometry_nodes.h"

#include <algorithm>

namespace cabinfield {
namespace {

bool fits(KeyTree::Form form, NodeKind kind) {
  switch (form) {
    case KeyTree::Form::mapping:
    case KeyTree::Form::names:
    case KeyTree::Form::table:
      return kind == NodeKind::mapping;
    case KeyTree::Form::list:
      return kind == NodeKind::sequence;
    case KeyTree::Form::value:
      return kind == NodeKind::scalar;
  }
  return false;
}

struct Walker {
  const std::function<void(const GeometryNode&)>& visit;
  std::vector<std::string> path = {};
  std::vector<GeometryNode::Owner> owners = {};

  void walk(const Node& node, const KeyTreePointer& any) {
    const KeyTree* tree = form_of(any, node);
    if (tree == nullptr) return;
    if (tree->role != GeometryRole::none) return visit({tree->role, node, path, owners});
    for (const Node& item : node.items()) walk(item, tree->each);
    if (tree->form == KeyTree::Form::mapping) owners.push_back({&node, tree});
    for (const Entry& entry : node.entries()) {
      path.push_back(entry.key);
      walk(entry.value, tree->inside(entry.key));
      path.pop_back();
    }
    if (tree->form == KeyTree::Form::mapping) owners.pop_back();
  }
};

}  // namespace

std::vector<const Node*> GeometryNode::numbers() const {
  std::vector<const Node*> result;
  if (value.kind() == NodeKind::scalar) result.push_back(&value);
  for (const Node& item : value.items()) result.push_back(&item);
  return result;
}

const KeyTree* form_of(const KeyTreePointer& tree, const Node& node) {
  const KeyTree* form = tree.get();
  while (form != nullptr && !fits(form->form, node.kind())) form = form->other.get();
  return form;
}

void visit_geometry(const Node& root, const KeyTreePointer& tree,
                    const std::function<void(const GeometryNode&)>& visit) {
  Walker{visit}.walk(root, tree);
}

Node with_changed_geometry(const Node& node, const KeyTreePointer& any,
                           const std::function<Node(GeometryRole, const Node&)>& change) {
  const KeyTree* tree = form_of(any, node);
  if (tree == nullptr) return node;
  if (tree->role != GeometryRole::none) return change(tree->role, node);
  if (node.kind() == NodeKind::sequence) {
    std::vector<Node> items;
    for (const Node& item : node.items()) items.push_back(with_changed_geometry(item, tree->each, change));
    return list_node(std::move(items), node.location());
  }
  std::vector<Entry> entries = node.entries();
  for (Entry& entry : entries)
    entry.value = with_changed_geometry(entry.value, tree->inside(entry.key), change);
  return node.kind() == NodeKind::mapping ? mapping_node(std::move(entries), node.location()) : node;
}

bool has_role(const KeyTreePointer& tree, const std::function<bool(GeometryRole)>& wanted) {
  if (!tree) return false;
  return wanted(tree->role) || has_role(tree->each, wanted) || has_role(tree->other, wanted) ||
         std::any_of(tree->keys.begin(), tree->keys.end(),
                     [&](const auto& key) { return has_role(key.second, wanted); });
}

}  // namespace cabinfield
