#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "scene/build_steps.h"

namespace cabinfield::build {
namespace {

/// True for a specific impedance (real, imaginary part) that is passive and has an inverse.
bool is_usable(const std::vector<double>& parts) {
  return parts[0] >= 0 && std::hypot(parts[0], parts[1]) >= 0.01;
}

}  // namespace

Materials::Materials(const SceneSpec& spec, Faults& faults) : spec_(spec), faults_(faults) {
  Material rigid;
  rigid.name = "rigid";
  list_.push_back(rigid);
  by_name_["rigid"] = 0;
  for (const auto& listed : spec.materials)
    if (!listed.broken) check(listed.name, listed.value);
}

int Materials::index(const std::optional<MaterialChoice>& choice, const SourceLocation& location) {
  if (!choice) return 0;
  if (const MaterialSpec* own = std::get_if<MaterialSpec>(&*choice)) {
    const std::string name = own->name.empty() ? "given in place" : own->name;
    // Several surfaces may share one mapping (by a YAML alias).
    const auto [known, fresh] =
        in_place_.try_emplace({own->location.file, own->location.line, own->location.column}, 0);
    if (!fresh) return known->second;
    check(name, *own);
    return known->second = add(name, *own);
  }
  const std::string& name = std::get<std::string>(*choice);
  // Materials given in place are not in by_name_: they may have the same name.
  if (const auto known = by_name_.find(name); known != by_name_.end()) return known->second;
  const int found = position_of(spec_.materials, name);
  if (found >= 0) return by_name_[name] = add(name, spec_.materials[found].value);
  // Faults of a library file of that name are already reported.
  if (std::count(spec_.library_materials.begin(), spec_.library_materials.end(), name) > 0) return 0;
  std::vector<std::string> known = names_of(spec_.materials);
  known.insert(known.end(), spec_.library_materials.begin(), spec_.library_materials.end());
  known.push_back("rigid");
  if (name == "air")
    faults_.add(location, "material 'air' turns a block into a cut; a surface cannot be air");
  else
    faults_.add(location, unknown_name("material", name, known));
  return 0;
}

void Materials::check(const std::string& name, const MaterialSpec& spec) {
  const bool bands = !spec.absorption.empty() || !spec.sound("absorption");
  if (!bands && !spec.has("specific_impedance") && !spec.has("panel")) {
    faults_.add(spec.location,
                fmt::format("material '{}': give specific_impedance, absorption or panel; a material that "
                            "absorbs nothing is called rigid",
                            name));
  } else if (!bands && spec.has("absorption")) {
    faults_.add(spec.at("absorption"),
                fmt::format("material '{}': absorption is empty: give at least one value", name));
  }
  if (!spec.specific_impedance) return;
  const auto* parts = std::get_if<std::vector<double>>(&*spec.specific_impedance);
  if (parts != nullptr && !is_usable(*parts))
    faults_.add(
        spec.at("specific_impedance"),
        fmt::format("material '{}': specific_impedance [{:g}, {:g}] needs a real part of at least 0 and a "
                    "magnitude of at least 0.01",
                    name, (*parts)[0], (*parts)[1]));
}

int Materials::add(const std::string& name, const MaterialSpec& spec) {
  Material material;
  material.name = name;
  material.note = spec.note;
  if (spec.specific_impedance) {
    if (const double* real = std::get_if<double>(&*spec.specific_impedance)) {
      material.specific_impedance = *real;
    } else {
      const auto& parts = std::get<std::vector<double>>(*spec.specific_impedance);
      if (is_usable(parts)) material.specific_impedance = Complex(parts[0], parts[1]);
    }
  }
  for (const auto& [frequency_hz, coefficient] : spec.absorption)
    material.absorption[frequency_hz] = coefficient;
  if (spec.panel)
    material.panel =
        Panel{spec.panel->surface_density_kg_m2, spec.panel->resonance_hz, spec.panel->loss_factor};
  for (const std::string& words : material_warnings(material, Air(air_at({}))))
    if (!material.specific_impedance)
      faults_.warn(spec.location, fmt::format("material '{}': {}", name, words));
  list_.push_back(std::move(material));
  return static_cast<int>(list_.size()) - 1;
}

int Materials::layer(const Filling& filling, int index, double depth_m) {
  // To the millimetre, as on a tape: each further material costs time.
  const int depth_mm = std::max(1, static_cast<int>(std::lround(depth_m * 1000)));
  const auto [found, fresh] = layers_.emplace(std::pair(index, depth_mm), 0);
  if (!fresh) return found->second;
  Material material;
  material.name = fmt::format("{}, {} mm", filling.name, depth_mm);
  material.layer = PorousLayer{filling, 0.001 * depth_mm};
  list_.push_back(std::move(material));
  return found->second = static_cast<int>(list_.size()) - 1;
}

int Materials::sheet(const std::string& name, const TransferImpedance& transfer_impedance) {
  if (transfer_impedance.rigid()) return 0;
  Material material;
  material.name = name;
  material.sheet = transfer_impedance;
  list_.push_back(std::move(material));
  return static_cast<int>(list_.size()) - 1;
}

Fillings::Fillings(const SceneSpec& spec, Faults& faults) : spec_(spec), faults_(faults) {
  for (const auto& listed : spec.fillings)
    if (!listed.broken) check(listed.name, listed.value);
}

int Fillings::index(const std::optional<FillingChoice>& choice, const SourceLocation& location) {
  if (!choice) return -1;
  if (const FillingSpec* own = std::get_if<FillingSpec>(&*choice)) {
    const std::string name = own->name.empty() ? "given in place" : own->name;
    check(name, *own);
    return add(name, *own);
  }
  const std::string& name = std::get<std::string>(*choice);
  if (const auto known = by_name_.find(name); known != by_name_.end()) return known->second;
  const int found = position_of(spec_.fillings, name);
  if (found >= 0)
    return spec_.fillings[found].broken ? -1 : by_name_[name] = add(name, spec_.fillings[found].value);
  // Faults of a library file of that name are already reported.
  if (std::count(spec_.library_fillings.begin(), spec_.library_fillings.end(), name) > 0) return -1;
  std::vector<std::string> known = names_of(spec_.fillings);
  known.insert(known.end(), spec_.library_fillings.begin(), spec_.library_fillings.end());
  faults_.add(location, unknown_name("filling", name, known));
  return -1;
}

void Fillings::check(const std::string& name, const FillingSpec& spec) {
  if (spec.viscous_length_m && spec.thermal_length_m && *spec.thermal_length_m < *spec.viscous_length_m)
    faults_.add(
        spec.at("thermal_length"),
        fmt::format(
            "filling '{}': thermal_length {:.3g} mm is less than viscous_length {:.3g} mm: it "
            "must be at least that (the pores' widest parts set it, their narrowest set viscous_length)",
            name, *spec.thermal_length_m * 1000, *spec.viscous_length_m * 1000));
}

int Fillings::add(const std::string& name, const FillingSpec& spec) {
  Filling filling;
  filling.name = name;
  filling.note = spec.note;
  filling.flow_resistivity_pa_s_m2 = spec.flow_resistivity_pa_s_m2;
  filling.porosity = spec.porosity;
  filling.tortuosity = spec.tortuosity;
  filling.viscous_length_m = spec.viscous_length_m;
  filling.thermal_length_m = spec.thermal_length_m;
  list_.push_back(std::move(filling));
  return static_cast<int>(list_.size()) - 1;
}

}  // namespace cabinfield::build
