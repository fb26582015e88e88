// The arrows of the layers: every folder of engine/ includes from itself and from those below it alone, and
// each header stands on its own feet.
#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <map>
#include <regex>
#include <set>
#include <string>
#include <vector>

namespace {

namespace fs = std::filesystem;

const fs::path engine = fs::path(CABINFIELD_SOURCE_DIR) / "engine";
const std::vector<std::string> layers{"base",      "geometry", "material", "driver", "channel", "field",
                                      "listening", "system",   "scene",    "input",  "fitting", "storage",
                                      "plan",      "predict",  "output",   "study"};

struct Include {
  std::string file;  ///< relative to engine/
  int line = 0;
  std::string included;  ///< as written
};

std::vector<Include> project_includes() {
  static const std::regex pattern(R"(^\s*#\s*include\s*\"([^\"]+)\")");
  std::vector<Include> found;
  for (const auto& entry : fs::recursive_directory_iterator(engine)) {
    const std::string extension = entry.path().extension().string();
    if (extension != ".h" && extension != ".cpp") continue;
    std::ifstream stream(entry.path());
    std::string line;
    std::smatch match;
    for (int number = 1; std::getline(stream, line); ++number)
      if (std::regex_search(line, match, pattern))
        found.push_back({fs::relative(entry.path(), engine).generic_string(), number, match[1]});
  }
  return found;
}

std::string layer_of(const std::string& path) { return path.substr(0, path.find('/')); }
long rank_of(const std::string& layer) {
  return std::find(layers.begin(), layers.end(), layer) - layers.begin();
}

std::string words(const Include& include) {
  return include.file + ":" + std::to_string(include.line) + " includes " + include.included;
}

TEST(Layers, EveryFolderOfTheEngineIsOne) {
  std::set<std::string> folders;
  for (const auto& entry : fs::directory_iterator(engine))
    if (entry.is_directory()) folders.insert(entry.path().filename().string());
  EXPECT_EQ(folders, std::set<std::string>(layers.begin(), layers.end()));
  std::ifstream stream(engine / "CMakeLists.txt");
  const std::string text{std::istreambuf_iterator<char>(stream), {}};
  std::string list;
  for (const std::string& layer : layers) list += " " + layer;
  EXPECT_NE(text.find("set(layers" + list + ")"), std::string::npos)
      << "the build lists the same layers in the same order";
}

TEST(Layers, IncludesPointDownward) {
  const auto includes = project_includes();
  ASSERT_GT(includes.size(), 100U);
  for (const Include& include : includes) {
    EXPECT_TRUE(fs::exists(engine / include.included)) << words(include) << ", which is no file of engine/";
    EXPECT_LT(rank_of(layer_of(include.included)), static_cast<long>(layers.size())) << words(include);
    EXPECT_LE(rank_of(layer_of(include.included)), rank_of(layer_of(include.file)))
        << words(include) << ", from a higher layer";
  }
}

TEST(Layers, TheFieldKnowsNeitherChannelsNorListeners) {
  for (const Include& include : project_includes()) {
    if (layer_of(include.file) != "field") continue;
    const std::set<std::string> unknown{"channel", "listening", "scene"};
    EXPECT_FALSE(unknown.contains(layer_of(include.included))) << words(include);
  }
}

TEST(Layers, NoHeaderIncludesItselfInACircle) {
  std::map<std::string, std::vector<std::string>> below;
  for (const Include& include : project_includes())
    if (include.file.ends_with(".h")) below[include.file].push_back(include.included);
  for (const auto& [header, included] : below) {
    std::set<std::string> met;
    std::vector<std::string> open = included;
    while (!open.empty()) {
      const std::string next = open.back();
      open.pop_back();
      ASSERT_NE(next, header) << header << " comes back to itself";
      if (met.insert(next).second)
        for (const std::string& further : below[next]) open.push_back(further);
    }
  }
}

TEST(Layers, HeadersAreGuardedByPragmaOnce) {
  for (const auto& entry : fs::recursive_directory_iterator(engine)) {
    if (entry.path().extension() != ".h") continue;
    std::ifstream stream(entry.path());
    const std::string text{std::istreambuf_iterator<char>(stream), {}};
    EXPECT_NE(text.find("#pragma once"), std::string::npos) << entry.path();
  }
}

}  // namespace
