// Peak multiply-adds per second of one core of this machine: independent chains in registers.
#include <benchmark/benchmark.h>

namespace {

#if defined(__AVX512F__)
constexpr int width = 8;
#elif defined(__AVX2__)
constexpr int width = 4;
#else
constexpr int width = 2;
#endif
using Lane [[gnu::vector_size(width * sizeof(double))]] = double;
constexpr int chain_count = 12;

double chains(int rounds, double seed) {
  Lane chain[chain_count];
  for (int c = 0; c < chain_count; ++c) chain[c] = Lane{} + seed * (c + 1);
  const double factor = 0.999999, term = 1e-9;
  for (int i = 0; i < rounds; ++i)
#pragma GCC unroll 12
    for (int c = 0; c < chain_count; ++c) chain[c] = chain[c] * factor + term;
  double sum = 0;
  for (const Lane& lane : chain)
    for (int w = 0; w < width; ++w) sum += lane[w];
  return sum;
}

void multiply_add_peak(benchmark::State& state) {
  constexpr int rounds = 100000;
  double seed = 1;
  for (auto _ : state) benchmark::DoNotOptimize(seed = chains(rounds, seed * 1e-3));
  state.counters["multiply_adds"] = benchmark::Counter(static_cast<double>(chain_count) * width * rounds,
                                                       benchmark::Counter::kIsIterationInvariantRate);
}
BENCHMARK(multiply_add_peak);

}  // namespace
