// Diffraction loss at an edge.
#pragma once

#include <span>

namespace cabinfield {

/// Pressure behind a screen over that of the same source without it: the fit of Kurze & Anderson (Appl.
/// Acoust. 4 (1971) 35) to Maekawa's chart (Appl. Acoust. 1 (1968) 157), IL = 5 dB + 20 lg(sqrt(2 pi N)/tanh
/// sqrt(2 pi N)) with the Fresnel number N = 2 delta/lambda = k delta/pi, delta >= 0 the detour. At most 24
/// dB, the most that is measured behind screens. A thin edge: no phase other than that of the path length.
double screen_loss_db(double fresnel_number);

/// The loss as a pressure factor for each wavenumber, for a detour in m.
void screen_factor(double detour_m, std::span<const double> wavenumber_per_m, std::span<double> factor);

}  // namespace cabinfield
