// This file alone is compiled with fused multiply-add allowed.
#include "field/images/path_kernels.h"

#include <cmath>

#include "base/constants.h"

#if defined(__x86_64__) && !defined(__SANITIZE_ADDRESS__) && !defined(__SANITIZE_THREAD__) && !defined(CABINFIELD_NO_CLONES)
#define CABINFIELD_CLONES __attribute__((target_clones("arch=skylake-avx512", "arch=haswell", "default")))
#else
#define CABINFIELD_CLONES
#endif

namespace cabinfield::kernels {
namespace {

// Eight doubles as the compilers' own vector type: one register of AVX-512, two of AVX2, four of SSE2.
using Lane [[gnu::vector_size(lane_bytes), gnu::may_alias]] = double;
using UnalignedLane [[gnu::vector_size(lane_bytes), gnu::may_alias, gnu::aligned(8)]] = double;

#define LANE(pointer, i) (*reinterpret_cast<Lane*>((pointer) + (i)))
#define CONST_LANE(pointer, i) (*reinterpret_cast<const Lane*>((pointer) + (i)))

/// Adding and subtracting this rounds to the nearest whole number.
constexpr double round_magic = 6755399441055744.0;

}  // namespace

CABINFIELD_CLONES
void phase(const double* wavenumber, double length, std::size_t count, double* cosine, double* sine) {
  // 2 pi in two parts, the first of 26 bits, so that up to 2^27 whole turns are taken off without rounding (Cody & Waite).
  constexpr double turn_high = 0x1.921fb5p+2, turn_low = 0x1.110b4611a6263p-24;
  for (std::size_t i = 0; i < count; i += lane_width) {
    const Lane angle = CONST_LANE(wavenumber, i) * length;
    const Lane turns = (angle * (0.5 / pi) + round_magic) - round_magic;
    const Lane within = (angle - turns * turn_high) - turns * turn_low;
    // An eighth of the angle, |x| < 0.393, by Taylor to x^12, then doubled three times.
    const Lane x = within * 0.125, z = x * x;
    Lane c = 1.0 + z * (-1.0 / 2 + z * (1.0 / 24 + z * (-1.0 / 720 + z * (1.0 / 40320 + z * (-1.0 / 3628800 + z * (1.0 / 479001600))))));
    Lane s = x + x * z * (-1.0 / 6 + z * (1.0 / 120 + z * (-1.0 / 5040 + z * (1.0 / 362880 + z * (-1.0 / 39916800 + z * (1.0 / 6227020800))))));
    for (int doubling = 0; doubling < 3; ++doubling) {
      const Lane twice = c * s;
      c = c * c - s * s;
      s = twice + twice;
    }
    LANE(cosine, i) = c;
    LANE(sine, i) = s;
  }
}

CABINFIELD_CLONES
void double_angles(std::size_t step, std::size_t count, double* cosine, double* sine) {
  // The padding may be read and written past `count`, never past the padded end.
  for (std::size_t i = 0; i + step < count; i += lane_width) {
    const Lane c = CONST_LANE(cosine, i), s = CONST_LANE(sine, i);
    const Lane twice = c * s;
    *reinterpret_cast<UnalignedLane*>(cosine + i + step) = c * c - s * s;
    *reinterpret_cast<UnalignedLane*>(sine + i + step) = twice + twice;
  }
}

CABINFIELD_CLONES
void real_amplitude(const double* attenuation, double most_attenuation, double length, double scale, const double* pattern,
                    const WallFactor* factors, int factor_count, std::size_t count, double* amplitude) {
  // exp(-x) by Taylor to x^8 of x / 2^halvings <= 0.1, then squared back: relative error under 1e-12.
  int halvings = 0;
  double share = 1;
  while (most_attenuation * length * share > 0.1) {
    share *= 0.5;
    ++halvings;
  }
  const double reach = -length * share;
  for (std::size_t i = 0; i < count; i += lane_width) {
    const Lane x = CONST_LANE(attenuation, i) * reach;
    Lane fall = 1.0 + x * (1.0 + x * (1.0 / 2 + x * (1.0 / 6 + x * (1.0 / 24 + x * (1.0 / 120 + x * (1.0 / 720 + x * (1.0 / 5040 + x * (1.0 / 40320))))))));
    for (int h = 0; h < halvings; ++h) fall = fall * fall;
    fall = fall * scale;
    if (pattern != nullptr) fall = fall * CONST_LANE(pattern, i);
    if (factor_count > 0) {
      // One division for all walls: of the product of their denominators (Montgomery's trick).
      Lane product[most_factors];
      Lane running = CONST_LANE(factors[0].re, i) + factors[0].cosine;
      product[0] = running;
      for (int w = 1; w < factor_count; ++w) {
        running = running * (CONST_LANE(factors[w].re, i) + factors[w].cosine);
        product[w] = running;
      }
      Lane inverse = 1.0 / running;
      for (int w = factor_count - 1; w >= 0; --w) {
        const Lane beta = CONST_LANE(factors[w].re, i);
        const double cosine = factors[w].cosine;
        Lane over = w > 0 ? inverse * product[w - 1] : inverse;
        inverse = inverse * (beta + cosine);
        if (factors[w].departure) {
          fall = fall * (over * (2 * cosine));
          continue;
        }
        Lane factor = (cosine - beta) * over;
        for (int left = factors[w].times;;) {
          if (left & 1) fall = fall * factor;
          left >>= 1;
          if (left == 0) break;
          factor = factor * factor;
        }
      }
    }
    LANE(amplitude, i) = fall;
  }
}

CABINFIELD_CLONES
void apply_complex_factors(const WallFactor* factors, int factor_count, std::size_t count, double* re, double* im) {
  for (std::size_t i = 0; i < count; i += lane_width) {
    Lane a = CONST_LANE(re, i), b = CONST_LANE(im, i);
    for (int w = 0; w < factor_count; ++w) {
      const Lane beta_re = CONST_LANE(factors[w].re, i), beta_im = CONST_LANE(factors[w].im, i);
      const double cosine = factors[w].cosine;
      const Lane below_re = cosine + beta_re;
      const Lane inverse = 1.0 / (below_re * below_re + beta_im * beta_im);
      Lane above_re, above_im;
      if (factors[w].departure) {
        above_re = below_re * 0.0 + 2 * cosine;
        above_im = below_re * 0.0;
      } else {
        above_re = cosine - beta_re;
        above_im = -beta_im;
      }
      Lane factor_re = (above_re * below_re + above_im * beta_im) * inverse;
      Lane factor_im = (above_im * below_re - above_re * beta_im) * inverse;
      for (int left = factors[w].times;;) {
        if (left & 1) {
          const Lane t = a * factor_re - b * factor_im;
          b = a * factor_im + b * factor_re;
          a = t;
        }
        left >>= 1;
        if (left == 0) break;
        const Lane t = factor_re * factor_re - factor_im * factor_im;
        factor_im = 2.0 * factor_re * factor_im;
        factor_re = t;
      }
    }
    LANE(re, i) = a;
    LANE(im, i) = b;
  }
}

CABINFIELD_CLONES
void accumulate(const double* amplitude, const double* cosine, const double* sine, std::size_t count, double* sum_re, double* sum_im) {
  for (std::size_t i = 0; i < count; i += lane_width) {
    LANE(sum_re, i) += CONST_LANE(amplitude, i) * CONST_LANE(cosine, i);
    LANE(sum_im, i) -= CONST_LANE(amplitude, i) * CONST_LANE(sine, i);
  }
}

CABINFIELD_CLONES
void accumulate_complex(const double* amplitude_re, const double* amplitude_im, const double* cosine, const double* sine,
                        std::size_t count, double* sum_re, double* sum_im) {
  for (std::size_t i = 0; i < count; i += lane_width) {
    const Lane a = CONST_LANE(amplitude_re, i), b = CONST_LANE(amplitude_im, i);
    const Lane c = CONST_LANE(cosine, i), s = CONST_LANE(sine, i);
    LANE(sum_re, i) += a * c + b * s;
    LANE(sum_im, i) += b * c - a * s;
  }
}

}  // namespace cabinfield::kernels
