// The box lattice: cost of one image at one frequency, and how the work grows.
#include <benchmark/benchmark.h>
#include <omp.h>

#include "field/frequency_grid.h"
#include "field/images/box_lattice.h"
#include "field/images/image_field.h"
#include "field/images/path_sum.h"

namespace {

using namespace cabinfield;

Material lined() {
  Material material;
  material.name = "lined";
  material.absorption = {{125, 0.08}, {250, 0.24}, {500, 0.57}, {1000, 0.69}, {2000, 0.71}, {4000, 0.73}};
  return material;
}

double images_up_to(int order) { return (2.0 * order + 1) * (2.0 * order * order + 2 * order + 3) / 3; }

/// Arguments: order, frequencies per octave, number of sources, kind of wall (0 lined by a table, 1 constant
/// real, 2 complex panel).
void lattice(benchmark::State& state) {
  omp_set_num_threads(1);
  const int order = static_cast<int>(state.range(0)), per_octave = static_cast<int>(state.range(1));
  std::vector<ShapeProblem> problems;
  const Cabin cabin = Cabin::build(box_shape({2.0, 1.4, 1.1}, {0, 0, 0, 0, 0, 0}), problems);
  Material material = lined();
  if (state.range(3) == 1) material.absorption.clear(), material.specific_impedance = 12.0;
  if (state.range(3) == 2) material.panel = Panel{2.0, 60, 0.3};
  const ImageField field(cabin, {material}, air_at({}), order);
  FieldQuestion question;
  for (int s = 0; s < state.range(2); ++s) {
    Source source;
    source.position = {0.4 + 0.02 * s, 0.1, 0.3};
    question.sources.push_back(source);
  }
  question.ears = {{1.3, -0.2, 0.8}};
  question.frequency_hz = octave_grid_hz(20, 20000, per_octave);
  for (auto _ : state) benchmark::DoNotOptimize(field.solve(question).transfer_pa_s_m3.values().data());
  const double terms =
      images_up_to(order) * static_cast<double>(question.frequency_hz.size() * question.sources.size());
  state.counters["terms"] = benchmark::Counter(terms, benchmark::Counter::kIsIterationInvariantRate);
}
BENCHMARK(lattice)
    ->Args({20, 48, 1, 0})
    ->Args({20, 48, 1, 1})
    ->Args({20, 48, 1, 2})
    ->Args({10, 48, 1, 0})
    ->Args({40, 48, 1, 0})
    ->Args({20, 24, 1, 0})
    ->Args({20, 48, 4, 0})
    ->Unit(benchmark::kMillisecond);

}  // namespace
