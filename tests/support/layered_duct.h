// A rectangular duct of layers with rigid sides, e^{+j omega t}: an exact answer for a point source before
// panels, partitions, porous blocks and impedance ends.
//
// x runs along the duct from 0, y from 0 to its width, z from 0 to its height. Each transverse mode
// cos(m pi y/W) cos(n pi z/H), kappa its wavenumber, goes along the duct alone, since every layer and sheet
// spans the whole section: in a layer of density rho and bulk modulus K, gamma^2 = omega^2 rho/K - kappa^2,
// and a wave exp(-j gamma x) has the admittance gamma/(omega rho). Admittances are carried from either end to
// the source (transfer matrices in their reflection form: Allard & Atalla, Propagation of Sound in Porous
// Media, chapter 11; Munjal, Acoustics of Ducts and Mufflers), where the two differ by the flow of the
// source. A sheet of impedance Z between two layers adds Z to the impedance. Below the first mode across, and
// some widths from the source, only the plane wave is left.
#pragma once

#include <vector>

#include "base/air.h"
#include "base/vector.h"

namespace cabinfield::test {

struct DuctLayer {
  double length_m = 0;
  Complex density_kg_m3;
  Complex bulk_modulus_pa;
  Complex sheet_after_pa_s_m = 0;  ///< pressure jump per velocity at its far end; not at the last
};

struct LayeredDuct {
  double width_m = 0, height_m = 0;
  std::vector<DuctLayer> layer;
  Complex front_admittance = 0;  ///< specific, rho c/Z, at x = 0; 1 takes in the plane wave whole
  Complex back_admittance = 0;   ///< at the far end
};

/// A layer of air.
DuctLayer air_layer(double length_m, const Air& air, Complex sheet_after_pa_s_m = 0);

/// Pressure at the ear per volume velocity of a point source, Pa s/m3; layers as they are at that frequency.
/// The two at least 5 cm apart along x (else std::invalid_argument), so that the sum over modes ends at
/// rounding.
Complex layered_duct_pressure(const LayeredDuct& duct, const Air& air, double frequency_hz,
                              const Vector3& source, const Vector3& ear);

/// The same of the plane wave alone: a source spread over the section at x = source_m, or a piston at its
/// end.
Complex layered_duct_plane_pressure(const LayeredDuct& duct, const Air& air, double frequency_hz,
                                    double source_m, double ear_m);

}  // namespace cabinfield::test
