// The inner loops of the path sum, over frequencies eight at a time. Plain arrays, no state.
//
// All arrays are padded to whole lanes and aligned; every function is compiled for several processor types and the best is taken when
// the program starts, so results repeat to the last bit on one build and processor type.
#pragma once

#include <cstddef>
#include <cstdlib>
#include <new>
#include <vector>

namespace cabinfield::kernels {

inline constexpr std::size_t lane_width = 8;
inline constexpr std::size_t lane_bytes = lane_width * sizeof(double);

template <typename T>
struct LaneAllocator {
  using value_type = T;
  LaneAllocator() = default;
  template <typename U>
  LaneAllocator(const LaneAllocator<U>&) {}
  T* allocate(std::size_t count) {
    return static_cast<T*>(::operator new(count * sizeof(T), std::align_val_t(lane_bytes)));
  }
  void deallocate(T* pointer, std::size_t) { ::operator delete(pointer, std::align_val_t(lane_bytes)); }
  friend bool operator==(const LaneAllocator&, const LaneAllocator&) { return true; }
};

/// Doubles in whole lanes.
using Lanes = std::vector<double, LaneAllocator<double>>;

inline std::size_t padded(std::size_t count) { return (count + lane_width - 1) / lane_width * lane_width; }

/// cosine and sine of wavenumber * length for entries [0, count). |argument| < 1e8; absolute error under 1e-14 plus that of the product.
void phase(const double* wavenumber, double length, std::size_t count, double* cosine, double* sine);

/// Entries [step, count) from those `step` before by doubling the angle; step >= lane_width. Error doubles with each octave.
void double_angles(std::size_t step, std::size_t count, double* cosine, double* sine);

/// A factor R^times, or with `departure` 2 cosine/(cosine + admittance); R = (cosine - beta)/(cosine + beta).
struct WallFactor {
  const double* re = nullptr;
  const double* im = nullptr;  ///< null where the admittance is real
  double cosine = 1;
  int times = 1;
  bool departure = false;
};
inline constexpr int most_factors = 7;

/// amplitude = scale * exp(-attenuation * length) * pattern * product of real factors; pattern may be null.
void real_amplitude(const double* attenuation, double most_attenuation, double length, double scale, const double* pattern,
                    const WallFactor* factors, int factor_count, std::size_t count, double* amplitude);

/// (re + j im) *= product of complex factors.
void apply_complex_factors(const WallFactor* factors, int factor_count, std::size_t count, double* re, double* im);

/// sum += amplitude * (cosine - j sine).
void accumulate(const double* amplitude, const double* cosine, const double* sine, std::size_t count, double* sum_re, double* sum_im);

/// sum += (amplitude_re + j amplitude_im) * (cosine - j sine).
void accumulate_complex(const double* amplitude_re, const double* amplitude_im, const double* cosine, const double* sine,
                        std::size_t count, double* sum_re, double* sum_im);

}  // namespace cabinfield::kernels
