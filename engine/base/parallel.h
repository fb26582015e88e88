// Loops over many threads, with results that do not depend on the number of threads.
#pragma once

#include <omp.h>

#include <cstddef>
#include <exception>
#include <functional>
#include <mutex>

namespace cabinfield {

/// Progress callback: fraction done, 0 to 1; never called concurrently.
using Progress = std::function<void(double)>;

/// Calls body(i) for i in [0, count), each i by one thread. Rethrows the first exception after the loop.
template <typename Body>
void parallel_for(std::size_t count, const Body& body, const Progress& progress = {}) {
  std::exception_ptr failure;
  std::mutex guard;
  std::size_t done = 0;
#pragma omp parallel for schedule(dynamic, 1)
  for (std::ptrdiff_t i = 0; i < static_cast<std::ptrdiff_t>(count); ++i) {
    try {
      body(static_cast<std::size_t>(i));
      const std::lock_guard lock(guard);
      ++done;
      if (progress) progress(static_cast<double>(done) / static_cast<double>(count));
    } catch (...) {
      const std::lock_guard lock(guard);
      if (!failure) failure = std::current_exception();
    }
  }
  if (failure) std::rethrow_exception(failure);
}

}  // namespace cabinfield
