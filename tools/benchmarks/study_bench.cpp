// Studies from the file to the outcome: growth of the time with the number of variants, time and memory per
// variant, and positions over the whole band with image sources. Prints one JSON object.
//
//   cabinfield_study_bench FOLDER_OF_SCENES
#include <fmt/format.h>
#include <sys/resource.h>

#include <chrono>
#include <filesystem>
#include <string>

#include "input/scene_file.h"
#include "study/study_file.h"
#include "study/study_run.h"

namespace {

using namespace cabinfield;

double seconds() {
  return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count();
}

double memory_gb() {
  rusage used{};
  getrusage(RUSAGE_SELF, &used);
  return static_cast<double>(used.ru_maxrss) / 1e6;
}

struct Timed {
  std::uint64_t variants = 0;
  double all_s = 0;       ///< from the file on
  double variants_s = 0;  ///< variants only, without the first group, which solves the cabin
  std::uint64_t counted = 0;
};

/// A grid of positions of the centre over the dash, with the computation of the hatchback replaced.
Timed run(const std::string& scenes, const std::string& compute, const std::string& spacing) {
  const auto folder = std::filesystem::temp_directory_path() / fmt::format("cabinfield_bench_{}", getpid());
  std::filesystem::create_directories(folder);
  const std::string checkpoint = (folder / "journal").string();
  const std::string text = fmt::format(
      "cabinfield_study: 1\nscene: {}/hatchback.yaml\nmost_variants: 2000000\n"
      "move: [{{driver: centre, grid: {{over: dash.top, spacing: {}}}}}]\n"
      "judge:\n"
      "  - {{measure: level, seats: all, band: [100 Hz, 300 Hz], weight: 1}}\n"
      "  - {{measure: evenness, seats: all, band: [100 Hz, 300 Hz], weight: 1}}\n"
      "  - {{measure: deepest_notch, seats: all, band: [100 Hz, 300 Hz]}}\n",
      scenes, spacing);
  Timed timed;
  const double start = seconds();
  StudyFile file = read_study_text(text, (folder / "study.yaml").string());
  if (!file.study) throw InputError(file.faults.faults());
  // Replaces the computation in the scene itself: a study cannot change it.
  Faults faults;
  const Node computed = edited(
      file.study->scene,
      std::vector<Edit>{{Edit::Action::set, "compute", parse_document(compute, "compute", faults), {}}},
      faults);
  file.study->scene = computed;
  file.study->present = read_scene_node(computed, file.study->scene_path);
  if (!file.study->present.scene) throw InputError(file.study->present.faults.faults());
  timed.variants = file.study->variant_count();
  StudyOptions options;
  options.checkpoint = checkpoint;
  options.start_over = true;
  double first = 0;
  std::uint64_t in_first = 0;
  run_study(*file.study, options, Communicator(), [&](const StudyProgress& now) {
    if (std::string(now.doing) != "variants") return;
    if (first == 0) {
      first = now.seconds;
      in_first = now.done;
    }
    timed.variants_s = now.seconds - first;
    timed.counted = now.done - in_first;
  });
  timed.all_s = seconds() - start;
  std::filesystem::remove_all(folder);
  return timed;
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 2) return 2;
  const std::string scenes = std::filesystem::absolute(argv[1]).string();
  const std::string waves =
      "{field: wave, wave_top: 400 Hz, frequencies: {from: 10 Hz, to: 400 Hz, per_octave: 37}}";
  const Timed few = run(scenes, waves, "25 mm");
  const double memory_few_gb = memory_gb();
  const Timed many = run(scenes, waves, "8 mm");
  const double memory_many_gb = memory_gb();
  const Timed whole = run(scenes, "{field: joined, image_order: 2}", "35 mm");
  fmt::print(
      "{{\"few_variants\": {}, \"many_variants\": {}, \"variant_ms_of_few\": {:.6g}, "
      "\"variant_ms_of_many\": {:.6g}, \"many_variants_s\": {:.6g}, \"memory_few_gb\": {:.6g}, "
      "\"memory_many_gb\": {:.6g}, \"whole_band_places\": {}, \"whole_band_s\": {:.6g}}}\n",
      few.variants, many.variants, 1e3 * few.variants_s / static_cast<double>(few.counted),
      1e3 * many.variants_s / static_cast<double>(many.counted), many.all_s, memory_few_gb, memory_many_gb,
      whole.variants, whole.all_s);
}
