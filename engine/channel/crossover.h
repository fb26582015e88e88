// Crossover sides as a digital processor runs them: analogue prototype, bilinear transform s = (1 - z^-1)/(1
// + z^-1) with the stated frequency prewarped to tan(pi f/fs), one section per pole pair and one of first
// order for an odd pole.
//
// Butterworth: Butterworth, Experimental Wireless 7 (1930) 536; -3.01 dB at the stated frequency.
// Linkwitz-Riley: Linkwitz, J. Audio Eng. Soc. 24 (1976) 2; two Butterworths of half the order in a row;
// -6.02 dB there. Bessel: Thomson, Proc. IEE 96 (1949) 487; poles are the roots of the reverse Bessel
// polynomial
//   theta_n(s) = sum over k of (2n - k)! / (2^(n-k) k! (n - k)!) s^k,
// scaled so that the magnitude is -3.01 dB at the stated frequency (not by delay, not by phase). The high
// pass is the low pass with s replaced by 1/s: its magnitude is mirrored, its delay is not flat.
#pragma once

#include <vector>

#include "channel/biquad.h"

namespace cabinfield {

enum class CrossoverFamily { butterworth, linkwitz_riley, bessel };
enum class CrossoverSide { highpass, lowpass };

inline constexpr int greatest_crossover_order = 8;

/// One side of a crossover.
struct Crossover {
  CrossoverFamily family = CrossoverFamily::linkwitz_riley;
  int order = 4;
  double frequency_hz = 0;
  bool operator==(const Crossover&) const = default;
};

/// Orders 1 to 8; Linkwitz-Riley 2, 4, 6 and 8 only.
bool has_order(CrossoverFamily family, int order);

/// Sections of a crossover side. Throws std::invalid_argument for an order that the family lacks, or a
/// frequency outside 0 to sample_rate/2.
std::vector<Biquad> crossover_sections(const Crossover& crossover, CrossoverSide side, double sample_rate_hz);

}  // namespace cabinfield
