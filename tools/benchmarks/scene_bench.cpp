// Whole scenes, from the checked scene to results, on all cores.
#include <benchmark/benchmark.h>
#include <omp.h>

#include <string>

#include "input/scene_file.h"
#include "predict/prediction.h"

namespace {

using namespace cabinfield;

void scene(benchmark::State& state, const std::string& name) {
  omp_set_num_threads(omp_get_num_procs());
  const auto file = read_scene_file(std::string(CABINFIELD_SOURCE_DIR "/scenes/") + name + ".yaml");
  if (!file.scene) return state.SkipWithError("the scene has faults");
  for (auto _ : state) benchmark::DoNotOptimize(predict(*file.scene).transfer_pa_s_m3.values().data());
}
BENCHMARK_CAPTURE(scene, hatchback, std::string("hatchback"))->Unit(benchmark::kMillisecond)->UseRealTime();
BENCHMARK_CAPTURE(scene, pickup, std::string("pickup"))->Unit(benchmark::kMillisecond)->UseRealTime();
BENCHMARK_CAPTURE(scene, people_carrier, std::string("people_carrier"))
    ->Unit(benchmark::kMillisecond)
    ->UseRealTime();
BENCHMARK_CAPTURE(scene, box, std::string("box"))->Unit(benchmark::kMillisecond)->UseRealTime();

}  // namespace
