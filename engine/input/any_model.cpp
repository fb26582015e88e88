// A model in a scene: of any kind, as its cabinfield_model says.
#include <array>

#include "input/scene_keys.h"

namespace cabinfield {
namespace {

template <typename Spec>
ValueKind<ModelSpec> of_kind(const Keys<Spec>& keys) {
  return converted<ModelSpec>(
      mapping(keys, "model"), [](Spec spec) { return ModelSpec(std::move(spec)); },
      [](const ModelSpec& model) { return std::get<Spec>(model); });
}

/// Of a kind that must say what it is.
template <typename Spec>
JsonSchema schema_of(const Keys<Spec>& keys) {
  std::vector<KeyLine> lines = keys.lines();
  for (KeyLine& line : lines)
    if (line.key == "cabinfield_model") line.required = true;
  return object_schema(lines);
}

/// Every key of any kind.
KeyTreePointer tree_of_all(const std::vector<KeyTreePointer>& trees) {
  KeyTree all;
  for (const KeyTreePointer& tree : trees)
    for (const auto& key : tree->keys)
      if (!all.has(key.first)) all.keys.push_back(key);
  return std::make_shared<const KeyTree>(std::move(all));
}

}  // namespace

ValueKind<ModelSpec> any_model() {
  // In the order of ModelSpec.
  const std::vector<ValueKind<ModelSpec>> kinds{
      of_kind(driver_model_keys()), of_kind(amplifier_model_keys()), of_kind(processor_model_keys()),
      of_kind(battery_keys()),      of_kind(material_keys()),        of_kind(filling_keys())};
  const auto word = choice<std::size_t>(
      {{"driver", 0}, {"amplifier", 1}, {"processor", 2}, {"battery", 3}, {"material", 4}, {"filling", 5}});
  const auto read = [kinds, word](const Node& node, Reading& reading) -> std::optional<ModelSpec> {
    const Node* said = node.kind() == NodeKind::mapping ? node.find("cabinfield_model") : nullptr;
    if (said == nullptr || said->kind() == NodeKind::null) return kinds.front().read(node, reading);
    std::optional<std::size_t> kind;
    {
      ReadingScope scope(reading);
      scope.enter_spec(node, "model");
      scope.enter_key("cabinfield_model");
      kind = word.read(*said, reading);
    }
    return kind ? kinds[*kind].read(node, reading) : std::nullopt;
  };
  const auto write = [kinds](const ModelSpec& model, Writing& writing) {
    kinds[model.index()].write(model, writing);
  };
  std::vector<KeyTreePointer> trees;
  for (const ValueKind<ModelSpec>& kind : kinds) trees.push_back(kind.inside);
  return {read,
          write,
          "a model as in a file of models/, a driver where cabinfield_model is absent",
          {NodeKind::mapping},
          any_of({object_schema(driver_model_keys().lines()), schema_of(amplifier_model_keys()),
                  schema_of(processor_model_keys()), schema_of(battery_keys()), schema_of(material_keys()),
                  schema_of(filling_keys())}),
          tree_of_all(trees)};
}

}  // namespace cabinfield
