#include "study/study_key.h"

#include <fmt/format.h>
#define XXH_INLINE_ALL
#include <xxhash.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iterator>

namespace cabinfield {
namespace {

namespace fs = std::filesystem;

/// Names and contents of the YAML files below a folder, ordered by name; "" for a folder that cannot be
/// read.
std::string texts_within(const std::string& folder) {
  std::error_code failed;
  std::vector<fs::path> files;
  for (fs::recursive_directory_iterator it(folder, failed), end; !failed && it != end; it.increment(failed))
    if (it->path().extension() == ".yaml") files.push_back(it->path());
  std::sort(files.begin(), files.end());
  std::string texts;
  for (const fs::path& file : files) {
    std::ifstream stream(file, std::ios::binary);
    texts += file.lexically_relative(folder).string() + "\n" +
             std::string(std::istreambuf_iterator<char>(stream), {}) + "\n";
  }
  return texts;
}

}  // namespace

std::string study_key(const Study& study) {
  std::string text = fmt::format("{}\n{}\n{}\n{}", CABINFIELD_VERSION, study.source, study.present.source,
                                 study.present.resolved);
  // Variants may use any of these models.
  text += texts_within((fs::path(study.scene_path).parent_path() / "models").string());
  for (const std::string& folder : study.model_folders) text += texts_within(folder);
  const XXH128_hash_t hash = XXH3_128bits(text.data(), text.size());
  std::error_code failed;
  const fs::path path = fs::weakly_canonical(study.path, failed);
  return fmt::format("{} {} {:016x}{:016x}", failed ? study.path : path.string(), CABINFIELD_VERSION,
                     hash.high64, hash.low64);
}

}  // namespace cabinfield
