// Models by name: files of models/drivers, models/materials, models/fillings and so on.
#pragma once

#include <any>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "base/fault.h"
#include "scene/specs.h"

namespace cabinfield {

/// Looks for KIND/NAME.yaml in each folder in turn. Reads a file when it is first asked for, and again only
/// where there was something to say of it. For one thread at a time.
class ModelLibrary {
 public:
  explicit ModelLibrary(std::vector<std::string> folders) : folders_(std::move(folders)) {}

  /// Empty, without a fault, where there is no such file; empty with faults where it cannot be used.
  std::optional<MaterialSpec> material(const std::string& name, Faults& faults) const;
  std::optional<FillingSpec> filling(const std::string& name, Faults& faults) const;
  std::optional<DriverModelSpec> driver(const std::string& name, Faults& faults) const;
  std::optional<AmplifierModelSpec> amplifier(const std::string& name, Faults& faults) const;
  std::optional<ProcessorModelSpec> processor(const std::string& name, Faults& faults) const;
  std::optional<BatterySpec> battery(const std::string& name, Faults& faults) const;
  /// Names of all models of a kind ("drivers", "materials", "fillings", "amplifiers", "processors",
  /// "batteries"), sorted.
  std::vector<std::string> names(const std::string& kind) const;

 private:
  std::optional<std::string> find(const std::string& kind, const std::string& name) const;
  std::vector<std::string> folders_;
  mutable std::map<std::string, std::any> read_;  ///< specs by path
};

/// The folders of this build: $CABINFIELD_MODELS where set, those installed with the program, those of its
/// source tree.
std::vector<std::string> standard_model_folders();

}  // namespace cabinfield
