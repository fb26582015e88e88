// Scenes and timing for the benchmarks of the wave field.
#pragma once

#include <algorithm>
#include <chrono>
#include <string>
#include <vector>

#include "field/wave/wave_field.h"
#include "scene/scene.h"

namespace cabinfield::bench {

inline constexpr std::size_t frequencies = 200;
inline constexpr double top_hz = 400;

inline double seconds() {
  return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count();
}

/// Least time of some runs: the cost without disturbance.
template <typename Work>
double least_s(int runs, const Work& work) {
  double least = 1e9;
  for (int run = 0; run < runs; ++run) {
    const double start = seconds();
    work();
    least = std::min(least, seconds() - start);
  }
  return least;
}

/// A scene as it is, all its drivers and ears, at frequencies evenly spread over the octaves.
struct WaveCase {
  Scene scene;
  WaveMedium medium;
  FieldQuestion question;

  explicit WaveCase(const std::string& name);
  const Cabin& cabin() const { return *scene.states.front().cabin; }
};

/// Random positions in open air (not within a filling), the same every time.
std::vector<Source> places_in(const FiniteElementSpace& space, std::size_t count);

/// K.mtx, M.mtx and C.mtx (MatrixMarket): K + j omega C - omega^2 M with the materials of 200 Hz held.
void write_matrices(const std::string& folder, const WaveCase& of, const WaveMatrices& matrices);

}  // namespace cabinfield::bench
