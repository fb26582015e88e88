// How many multiply-adds one core of this machine does in a second at best: independent chains in registers.
#include <benchmark/benchmark.h>

namespace {

using Lane [[gnu::vector_size(64)]] = double;

#if defined(__x86_64__)
__attribute__((target_clones("arch=skylake-avx512", "arch=haswell", "default")))
#endif
double chains(int rounds, double seed) {
  Lane a = {}, b = {}, c = {}, d = {}, e = {}, f = {};
  a += seed, b += 2 * seed, c += 3 * seed, d += 4 * seed, e += 5 * seed, f += 6 * seed;
  const double factor = 0.999999, term = 1e-9;
  for (int i = 0; i < rounds; ++i) {
    a = a * factor + term, b = b * factor + term, c = c * factor + term;
    d = d * factor + term, e = e * factor + term, f = f * factor + term;
  }
  const Lane sum = a + b + c + d + e + f;
  return sum[0] + sum[1] + sum[2] + sum[3] + sum[4] + sum[5] + sum[6] + sum[7];
}

void multiply_add_peak(benchmark::State& state) {
  constexpr int rounds = 100000;
  double seed = 1;
  for (auto _ : state) benchmark::DoNotOptimize(seed = chains(rounds, seed * 1e-3));
  state.counters["multiply_adds"] = benchmark::Counter(6.0 * 8 * rounds, benchmark::Counter::kIsIterationInvariantRate);
}
BENCHMARK(multiply_add_peak);

}  // namespace
