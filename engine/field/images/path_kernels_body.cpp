// The loops themselves. This file is compiled once for each processor type, with fused multiply-add allowed
// and CABINFIELD_KERNELS naming the table that it defines; it must include nothing whose functions could be
// merged across those.
#include <cstddef>

#include "field/images/path_kernels.h"

namespace cabinfield::kernels {
namespace {

// One register of the processor type at hand, as the compilers' own vector type. (Wider ones GCC 12 takes
// apart in memory.)
#if defined(__AVX512F__)
constexpr std::size_t register_bytes = 64;
#elif defined(__AVX2__)
constexpr std::size_t register_bytes = 32;
#else
constexpr std::size_t register_bytes = 16;
#endif
constexpr std::size_t width = register_bytes / sizeof(double);
using Lane [[gnu::vector_size(register_bytes), gnu::may_alias]] = double;
using UnalignedLane [[gnu::vector_size(register_bytes), gnu::may_alias, gnu::aligned(8)]] = double;

#define LANE(pointer, i) (*reinterpret_cast<Lane*>((pointer) + (i)))
#define CONST_LANE(pointer, i) (*reinterpret_cast<const Lane*>((pointer) + (i)))

/// Adding and subtracting this rounds to the nearest whole number.
constexpr double round_magic = 6755399441055744.0;

/// cos and sin of wavenumber * length.
inline void turn(const double* wavenumber, double length, Lane& cosine, Lane& sine) {
  // 2 pi in two parts, the first of 26 bits, so that up to 2^27 whole turns are taken off without rounding
  // (Cody & Waite).
  constexpr double turn_high = 0x1.921fb5p+2, turn_low = 0x1.110b4611a6263p-24;
  const Lane angle = CONST_LANE(wavenumber, 0) * length;
  const Lane turns = (angle * 0.15915494309189535 + round_magic) - round_magic;
  const Lane within = (angle - turns * turn_high) - turns * turn_low;
  // An eighth of the angle, |x| < 0.393, by Taylor to x^13, then doubled three times.
  const Lane x = within * 0.125, z = x * x;
  cosine =
      1.0 + z * (-1.0 / 2 +
                 z * (1.0 / 24 +
                      z * (-1.0 / 720 + z * (1.0 / 40320 + z * (-1.0 / 3628800 + z * (1.0 / 479001600))))));
  sine =
      x + x * z *
              (-1.0 / 6 +
               z * (1.0 / 120 +
                    z * (-1.0 / 5040 + z * (1.0 / 362880 + z * (-1.0 / 39916800 + z * (1.0 / 6227020800))))));
  for (int doubling = 0; doubling < 3; ++doubling) {
    const Lane twice = cosine * sine;
    cosine = cosine * cosine - sine * sine;
    sine = twice + twice;
  }
}

void phase(const double* wavenumber, double length, std::size_t count, double* cosine, double* sine) {
  for (std::size_t i = 0; i < count; i += width) {
    Lane c, s;
    turn(wavenumber + i, length, c, s);
    LANE(cosine, i) = c;
    LANE(sine, i) = s;
  }
}

void accumulate_octaves(const double* wavenumber, double length, std::size_t step, std::size_t count,
                        const double* amplitude, double* sum_re, double* sum_im) {
  constexpr std::size_t together = 4;  // registers of each kind: as many as there are without spilling
  for (std::size_t i = 0; i < step; i += together * width) {
    Lane c[together], s[together];
    for (std::size_t a = 0; a < together; ++a) turn(wavenumber + i + a * width, length, c[a], s[a]);
    for (std::size_t at = i;;) {
      for (std::size_t a = 0; a < together; ++a) {
        const Lane size = CONST_LANE(amplitude, at + a * width);
        LANE(sum_re, at + a * width) += size * c[a];
        LANE(sum_im, at + a * width) -= size * s[a];
      }
      at += step;
      if (at >= count) break;
      for (std::size_t a = 0; a < together; ++a) {
        const Lane twice = c[a] * s[a];
        c[a] = c[a] * c[a] - s[a] * s[a];
        s[a] = twice + twice;
      }
    }
  }
}

void double_angles(std::size_t step, std::size_t count, double* cosine, double* sine) {
  // The padding may be read and written past `count`, never past the padded end.
  for (std::size_t i = 0; i + step < count; i += width) {
    const Lane c = CONST_LANE(cosine, i), s = CONST_LANE(sine, i);
    const Lane twice = c * s;
    *reinterpret_cast<UnalignedLane*>(cosine + i + step) = c * c - s * s;
    *reinterpret_cast<UnalignedLane*>(sine + i + step) = twice + twice;
  }
}

/// Several registers at once: what one waits for, the others do.
constexpr std::size_t abreast = lane_width / width;
static_assert(lane_width % width == 0);

template <int factor_count>
void real_amplitude_of(const double* attenuation, double length, double scale, const double* pattern,
                       const WallFactor* factors, std::size_t count, double* amplitude) {
  int most_times = 1;
  for (int w = 0; w < factor_count; ++w)
    most_times = factors[w].times > most_times ? factors[w].times : most_times;
  int top_bit = 0;
  while ((most_times >> top_bit) > 1) ++top_bit;

  Lane walls[abreast] = {};
  for (std::size_t i = 0; i < count; i += lane_width) {
    if constexpr (factor_count > 0) {
      // Where no admittance changes from the frequencies before, as above the highest band of a table,
      // neither do the walls.
      bool unchanged = i > 0;
      for (int w = 0; w < factor_count; ++w) unchanged = unchanged && factors[w].steady[i / lane_width];
      if (!unchanged) {
        // One division for all walls: of the product of their denominators (Montgomery's trick).
        Lane factor[factor_count][abreast], inverse[abreast];
        for (std::size_t a = 0; a < abreast; ++a)
          factor[0][a] = CONST_LANE(factors[0].re, i + a * width) + factors[0].cosine;
        for (int w = 1; w < factor_count; ++w)
          for (std::size_t a = 0; a < abreast; ++a)
            factor[w][a] = factor[w - 1][a] * (CONST_LANE(factors[w].re, i + a * width) + factors[w].cosine);
        for (std::size_t a = 0; a < abreast; ++a) inverse[a] = 1.0 / factor[factor_count - 1][a];
        for (int w = factor_count - 1; w >= 0; --w) {
          const double cosine = factors[w].cosine;
          for (std::size_t a = 0; a < abreast; ++a) {
            const Lane beta = CONST_LANE(factors[w].re, i + a * width);
            const Lane over = w > 0 ? inverse[a] * factor[w > 0 ? w - 1 : 0][a] : inverse[a];
            inverse[a] = inverse[a] * (beta + cosine);
            factor[w][a] = over * (factors[w].departure ? Lane{} + 2 * cosine : cosine - beta);
          }
        }
        // All powers at once, from the highest bit of the exponents down: the squares are shared.
        bool first = true;
        for (int bit = top_bit; bit >= 0; --bit) {
          if (!first)
            for (std::size_t a = 0; a < abreast; ++a) walls[a] = walls[a] * walls[a];
          for (int w = 0; w < factor_count; ++w) {
            if (((factors[w].times >> bit) & 1) == 0) continue;
            if (first) {
              for (std::size_t a = 0; a < abreast; ++a) walls[a] = factor[w][a];
            } else {
              for (std::size_t a = 0; a < abreast; ++a) walls[a] = walls[a] * factor[w][a];
            }
            first = false;
          }
        }
        for (std::size_t a = 0; a < abreast; ++a) walls[a] = walls[a] * scale;
      }
    }
    // exp(-x) by Taylor to x^8 of x / 2^halvings <= 0.1, then squared back: relative error under 1e-12.
    // Attenuation rises with frequency.
    int halvings = 0;
    double reach = -length;
    while (attenuation[i + lane_width - 1] * reach < -0.1) {
      reach *= 0.5;
      ++halvings;
    }
    Lane fall[abreast];
    for (std::size_t a = 0; a < abreast; ++a) {
      const Lane x = CONST_LANE(attenuation, i + a * width) * reach;
      fall[a] =
          1.0 +
          x * (1.0 +
               x * (1.0 / 2 +
                    x * (1.0 / 6 +
                         x * (1.0 / 24 +
                              x * (1.0 / 120 + x * (1.0 / 720 + x * (1.0 / 5040 + x * (1.0 / 40320))))))));
    }
    for (int h = 0; h < halvings; ++h)
      for (std::size_t a = 0; a < abreast; ++a) fall[a] = fall[a] * fall[a];
    if (pattern != nullptr)
      for (std::size_t a = 0; a < abreast; ++a) fall[a] = fall[a] * CONST_LANE(pattern, i + a * width);
    for (std::size_t a = 0; a < abreast; ++a) {
      if constexpr (factor_count > 0)
        LANE(amplitude, i + a * width) = fall[a] * walls[a];
      else
        LANE(amplitude, i + a * width) = fall[a] * scale;
    }
  }
}

void real_amplitude(const double* attenuation, double length, double scale, const double* pattern,
                    const WallFactor* factors, int factor_count, std::size_t count, double* amplitude) {
  using Loop =
      void (*)(const double*, double, double, const double*, const WallFactor*, std::size_t, double*);
  static constexpr Loop loops[most_factors + 1] = {
      real_amplitude_of<0>, real_amplitude_of<1>, real_amplitude_of<2>, real_amplitude_of<3>,
      real_amplitude_of<4>, real_amplitude_of<5>, real_amplitude_of<6>, real_amplitude_of<7>};
  loops[factor_count](attenuation, length, scale, pattern, factors, count, amplitude);
}

void apply_complex_factors(const WallFactor* factors, int factor_count, std::size_t count, double* re,
                           double* im) {
  for (std::size_t i = 0; i < count; i += width) {
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

void accumulate(const double* amplitude, const double* cosine, const double* sine, std::size_t count,
                double* sum_re, double* sum_im) {
  for (std::size_t i = 0; i < count; i += width) {
    LANE(sum_re, i) += CONST_LANE(amplitude, i) * CONST_LANE(cosine, i);
    LANE(sum_im, i) -= CONST_LANE(amplitude, i) * CONST_LANE(sine, i);
  }
}

void accumulate_complex(const double* amplitude_re, const double* amplitude_im, const double* cosine,
                        const double* sine, std::size_t count, double* sum_re, double* sum_im) {
  for (std::size_t i = 0; i < count; i += width) {
    const Lane a = CONST_LANE(amplitude_re, i), b = CONST_LANE(amplitude_im, i);
    const Lane c = CONST_LANE(cosine, i), s = CONST_LANE(sine, i);
    LANE(sum_re, i) += a * c + b * s;
    LANE(sum_im, i) += b * c - a * s;
  }
}

}  // namespace

extern const Table CABINFIELD_KERNELS;
const Table CABINFIELD_KERNELS = {
    phase,      accumulate_octaves, double_angles, real_amplitude, apply_complex_factors,
    accumulate, accumulate_complex};

}  // namespace cabinfield::kernels
