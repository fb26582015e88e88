// The geometry of a document, found by the roles of its declared keys (key_tree.h).
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "input/document.h"
#include "input/key_tree.h"

namespace cabinfield {

/// A value that has a role.
struct GeometryNode {
  /// A mapping on the way to the value, outermost first.
  struct Owner {
    const Node* node;
    const KeyTree* tree;
  };

  GeometryRole role;
  const Node& value;
  const std::vector<std::string>& path;  ///< keys and names from the top; items of lists have none
  const std::vector<Owner>& owners;

  /// Its numbers: the items of a list, or the value itself.
  std::vector<const Node*> numbers() const;
  const Owner& owner() const { return owners.back(); }
};

/// The form of `tree` that the node has: `tree` itself or its other form; null where it has neither.
const KeyTree* form_of(const KeyTreePointer& tree, const Node& node);

/// Calls `visit` for every value with a role, in the order of the document.
void visit_geometry(const Node& root, const KeyTreePointer& tree,
                    const std::function<void(const GeometryNode&)>& visit);

/// The node with every value that has a role replaced by what `change` returns for it.
Node with_changed_geometry(const Node& node, const KeyTreePointer& tree,
                           const std::function<Node(GeometryRole, const Node&)>& change);

/// Whether a value of that tree can hold anything that `wanted` says yes to.
bool has_role(const KeyTreePointer& tree, const std::function<bool(GeometryRole)>& wanted);

}  // namespace cabinfield
