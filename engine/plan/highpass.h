// Whether a high-pass holds back what a driver cannot take: its corner and its slope, equaliser and gain
// counted.
//
// The lowest high-pass of a data sheet is that of a second-order filter (common practice, no source). Down to
// two octaves below it a channel may let through no more than a second-order Butterworth high-pass there
// does, and 5 dB: a second-order Bessel high-pass ends 4.2 dB above it, a first-order one 12 dB two octaves
// down.
#pragma once

#include <optional>
#include <string>

#include "channel/channel.h"

namespace cabinfield {

struct WeakHighpass {
  double frequency_hz = 0;
  double level_db = 0;    ///< that the channel lets through there, of full scale
  double allowed_db = 0;  ///< at most
};

/// Where the settings let through too much by most; empty where they do not. A gain below 0 dB counts as 0
/// dB, and so does any gain of a driver with a lowest high-pass below 40 Hz: a rule of its own judges the
/// travel of a subwoofer's cone at the power of its amplifier.
std::optional<WeakHighpass> weak_highpass(const ChannelSettings& settings, double sample_rate_hz,
                                          double lowest_highpass_hz);

/// "lets -12 dB through at 625 Hz, at most -19 dB".
std::string weak_highpass_words(const WeakHighpass& weak);

}  // namespace cabinfield
