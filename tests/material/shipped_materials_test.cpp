// The materials and fillings that come with the program: each readable, with name and note, and suited to a
// closed cabin.
#include <gtest/gtest.h>
#include <yaml-cpp/yaml.h>

#include <array>
#include <cmath>
#include <filesystem>
#include <map>
#include <string>
#include <vector>

#include "base/constants.h"
#include "base/quantity.h"
#include "material/material.h"

namespace cabinfield {
namespace {

using Models = std::map<std::string, YAML::Node>;

Models models(const std::string& kind) {
  Models found;
  for (const auto& entry : std::filesystem::directory_iterator(CABINFIELD_SOURCE_DIR "/models/" + kind))
    found[entry.path().stem().string()] = YAML::LoadFile(entry.path().string());
  return found;
}

double value(const YAML::Node& node, Quantity kind) {
  const ParsedQuantity parsed = parse_quantity(node.as<std::string>(), kind);
  EXPECT_TRUE(parsed.value) << parsed.error;
  return parsed.value.value_or(std::nan(""));
}

Material material_of(const YAML::Node& file) {
  Material material;
  for (const auto& band : file["absorption"])
    material.absorption[value(band.first, Quantity::frequency)] = band.second.as<double>();
  if (const YAML::Node panel = file["panel"])
    material.panel = Panel{value(panel["surface_density"], Quantity::surface_density),
                           value(panel["resonance"], Quantity::frequency), panel["loss_factor"].as<double>()};
  return material;
}

void expect_described(const std::string& name, const YAML::Node& file, const std::string& model) {
  EXPECT_EQ(file["cabinfield_model"].as<std::string>(), model) << name;
  EXPECT_FALSE(file["name"].as<std::string>().empty()) << name;
  const std::string note = file["note"].as<std::string>();
  EXPECT_TRUE(note.find("nvented") != std::string::npos || note.find("Table 6.2") != std::string::npos)
      << name;
}

TEST(ShippedMaterials, CoverACarInterior) {
  const Models all = models("materials");
  for (const char* name : {"carpet", "glass", "headliner", "door_trim", "dash_skin", "seat", "seat_leather",
                           "boot_trim", "steel_panel", "roof_panel", "parcel_shelf", "perforated"})
    EXPECT_TRUE(all.contains(name)) << name;
  for (const auto& [name, file] : all) {
    expect_described(name, file, "material");
    EXPECT_NE(file["note"].as<std::string>().find("No published in-car table is known"), std::string::npos)
        << name;
  }
}

TEST(ShippedMaterials, ArePassiveAndWithoutWarnings) {
  const Air air = air_at({});
  std::vector<double> frequencies;
  for (double frequency = 1; frequency < 21000; frequency *= 1.1) frequencies.push_back(frequency);
  for (const auto& [name, file] : models("materials")) {
    const Material material = material_of(file);
    EXPECT_FALSE(material.rigid()) << name;
    EXPECT_TRUE(material_warnings(material, air).empty()) << name;
    for (const Complex& beta : specific_admittance(material, air, frequencies))
      EXPECT_GE(beta.real(), 0.0) << name;
  }
}

// A closed cabin of 3.35 m3 lined all over, seats included, with 22.5 m2 of one table (invented sizes of a
// saloon): far below its first mode the pressure is that of the rigid cabin over 1 + c beta S/(j omega V). 1
// dB at 10 Hz is a requirement.
TEST(ShippedMaterials, TablesKeepThePressureGainOfAClosedCabin) {
  const Air air = air_at({});
  for (const auto& [name, file] : models("materials")) {
    Material material = material_of(file);
    if (material.absorption.empty()) continue;
    material.panel.reset();  // which gives way to the outside, as intended
    const Complex beta = specific_admittance(material, air, {10.0})[0];
    const Complex ratio = 1.0 + air.sound_speed_m_s * beta * 22.5 / Complex(0, 2.0 * pi * 10.0 * 3.35);
    EXPECT_LT(20.0 * std::log10(std::abs(ratio)), 1.0) << name;
  }
}

// Bies, Hansen & Howard, Engineering Noise Control, 5th edition, Table 6.2.
TEST(ShippedMaterials, HaveTheHandbooksBuildingData) {
  const double bands[] = {125, 250, 500, 1000, 2000, 4000};
  const std::map<std::string, std::array<double, 6>> rows = {{"side_glass", {.35, .25, .18, .12, .07, .04}},
                                                             {"carpet", {.08, .24, .57, .69, .71, .73}},
                                                             {"seat_leather", {.40, .50, .58, .61, .58, .50}},
                                                             {"seat", {.54, .62, .68, .70, .68, .66}}};
  const Models all = models("materials");
  for (const auto& [name, row] : rows) {
    const AbsorptionTable table = material_of(all.at(name)).absorption;
    ASSERT_EQ(table.size(), row.size()) << name;
    for (std::size_t band = 0; band < row.size(); ++band) EXPECT_EQ(table.at(bands[band]), row[band]) << name;
  }
}

TEST(ShippedFillings, AreInTheRangeOfPorousAbsorbers) {
  const Models all = models("fillings");
  EXPECT_TRUE(all.contains("seat_foam"));
  EXPECT_TRUE(all.contains("polyester_wadding"));
  for (const auto& [name, file] : all) {
    expect_described(name, file, "filling");
    const double resistivity = value(file["flow_resistivity"], Quantity::flow_resistivity);
    EXPECT_GE(resistivity, 1e3) << name;
    EXPECT_LE(resistivity, 1e5) << name;
    EXPECT_GT(file["porosity"].as<double>(), 0.8) << name;
    EXPECT_LE(file["porosity"].as<double>(), 1.0) << name;
    EXPECT_GE(file["tortuosity"].as<double>(), 1.0) << name;
  }
}

}  // namespace
}  // namespace cabinfield
