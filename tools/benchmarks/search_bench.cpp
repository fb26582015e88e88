// The mirror search in a furnished cabin: cost per kept path and per candidate, and what the visible cone
// saves.
#include <benchmark/benchmark.h>

#include "field/images/mirror_search.h"
#include "input/scene_file.h"

namespace {

using namespace cabinfield;

void search(benchmark::State& state) {
  const auto file = read_scene_file(CABINFIELD_SOURCE_DIR "/scenes/people_carrier.yaml");
  if (!file.scene) return state.SkipWithError("the scene has faults");
  const Scene& scene = *file.scene;
  const bool prune = state.range(1) != 0;
  const MirrorSearch searched(*scene.cabin, static_cast<int>(state.range(0)), prune);
  std::vector<Vector3> ears;
  for (const Seat& seat : scene.seats) ears.insert(ears.end(), seat.ear.begin(), seat.ear.end());
  MirrorSearchCount count;
  for (auto _ : state)
    count = searched.run(scene.drivers.front().source.position, ears, [](std::size_t, const MirrorPath&) {});
  state.counters["images"] = static_cast<double>(count.images);
  state.counters["kept"] = static_cast<double>(count.kept);
  state.counters["candidates"] = benchmark::Counter(static_cast<double>(count.candidates),
                                                    benchmark::Counter::kIsIterationInvariantRate);
  state.counters["paths"] =
      benchmark::Counter(static_cast<double>(count.kept), benchmark::Counter::kIsIterationInvariantRate);
}
BENCHMARK(search)
    ->Args({1, 1})
    ->Args({2, 1})
    ->Args({3, 1})
    ->Args({4, 1})
    ->Args({1, 0})
    ->Args({2, 0})
    ->Args({3, 0})
    ->Unit(benchmark::kMillisecond);

}  // namespace
