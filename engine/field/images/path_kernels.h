// The inner loops of the path sum, over frequencies sixteen at a time. Plain arrays, no state.
//
// All arrays are padded to whole lanes and aligned. The functions are compiled for several processor types
// and the fastest set is chosen at run time, so results repeat to the last bit on one build and processor
// type.
#pragma once

#include <cstddef>
#include <new>
#include <vector>

namespace cabinfield::kernels {

inline constexpr std::size_t lane_width = 16;
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

/// Numbers padded to whole lanes.
using Lanes = std::vector<double, LaneAllocator<double>>;

inline std::size_t padded(std::size_t count) { return (count + lane_width - 1) / lane_width * lane_width; }

/// A factor R^times, or with `departure` 2 cosine/(cosine + admittance); R = (cosine - beta)/(cosine + beta).
struct WallFactor {
  const double* re = nullptr;
  const double* im = nullptr;  ///< null where the admittance is real
  double cosine = 1;
  int times = 1;
  bool departure = false;
  /// For each run of lane_width frequencies, true where the admittance has one value over it and the whole
  /// run before; real factors only.
  const unsigned char* steady = nullptr;
};
inline constexpr int most_factors = 7;

/// The loops as compiled for one processor type.
struct Table {
  /// cosine and sine of wavenumber * length for entries [0, count). |argument| < 1e8; absolute error under
  /// 1e-14 plus that of the product.
  void (*phase)(const double* wavenumber, double length, std::size_t count, double* cosine, double* sine);

  /// sum += amplitude * e^{-j wavenumber length} where wavenumber[i + step] = 2 wavenumber[i]: phase,
  /// double_angles and accumulate in one, for a step of whole lanes. Up to a step past the end may be read
  /// and written.
  void (*accumulate_octaves)(const double* wavenumber, double length, std::size_t step, std::size_t count,
                             const double* amplitude, double* sum_re, double* sum_im);

  /// Entries [step, count) from those `step` before by doubling the angle; step >= lane_width. Error doubles
  /// with each octave. Up to a lane past the end is written.
  void (*double_angles)(std::size_t step, std::size_t count, double* cosine, double* sine);

  /// amplitude = scale * exp(-attenuation * length) * pattern * product of real factors; attenuation rises;
  /// pattern may be null.
  void (*real_amplitude)(const double* attenuation, double length, double scale, const double* pattern,
                         const WallFactor* factors, int factor_count, std::size_t count, double* amplitude);

  /// (re + j im) *= product of complex factors.
  void (*apply_complex_factors)(const WallFactor* factors, int factor_count, std::size_t count, double* re,
                                double* im);

  /// sum += amplitude * (cosine - j sine).
  void (*accumulate)(const double* amplitude, const double* cosine, const double* sine, std::size_t count,
                     double* sum_re, double* sum_im);

  /// sum += (amplitude_re + j amplitude_im) * (cosine - j sine).
  void (*accumulate_complex)(const double* amplitude_re, const double* amplitude_im, const double* cosine,
                             const double* sine, std::size_t count, double* sum_re, double* sum_im);
};

/// The loops for the processor at hand.
const Table& best();

}  // namespace cabinfield::kernels
