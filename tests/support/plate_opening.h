// What an opening in a rigid plate of no thickness across a duct does to the plane wave, below the duct's
// first mode across, e^{+j omega t}: a mass. The pressure in front and behind (of the plane wave, near fields
// left out) differs by j omega rho l times the velocity averaged over the duct's section; l is given here.
#pragma once

namespace cabinfield::test {

/// A slit from wall to wall, `open_m` high and touching one side of a duct `duct_m` high: l = (4 d/pi)
/// ln(1/sin(pi a/(2 d))); in the middle: (2 d/pi) ln(1/sin(pi a/(2 d))). Static limit (the capacitive window
/// of parallel plates: Marcuvitz, Waveguide Handbook, section 5.1, from memory; Morse & Ingard, Theoretical
/// Acoustics, section 9.1), a few percent low at a third of the first cut-on frequency.
double slit_at_side_length_m(double open_m, double duct_m);
double slit_in_middle_length_m(double open_m, double duct_m);

/// A round hole in the middle of a round duct. Without walls its conductivity is its diameter (Rayleigh,
/// Theory of Sound, section 306), so l = (S/pi a^2) (pi a/2), less by Fok's function of the ratio x of
/// diameters: 1/psi = 1 - 1.4092 x + 0.33818 x^3 + 0.06793 x^5 - 0.02287 x^6 + 0.03015 x^7 - 0.01641 x^8 (V.
/// A. Fok, Doklady Akad. Nauk SSSR 31 (1941) 875; coefficients as in Melling, J. Sound Vib. 29 (1973) 1, from
/// memory). (2 8/(3 pi) a in place of pi a/2, the end correction of a thick plate, is 8 % more.)
double round_hole_length_m(double hole_diameter_m, double duct_diameter_m);

/// A rectangular opening anywhere in the plate across a rectangular duct, at a wavenumber k (0: static),
/// below the first mode across.
///
/// The velocity in the opening is expanded in T_p(u) T_q(v)/sqrt((1 - u^2)(1 - v^2)), Chebyshev polynomials
/// with the singularity of its rims, u and v from -1 to 1 across it; pressures on both sides in the modes of
/// the duct, whose overlaps with these are Bessel functions: int T_p(u) cos(s u) / sqrt(1 - u^2) du = pi
/// (-1)^(p/2) J_p(s), p even. Equal pressure on both sides, tested with the same functions (Galerkin), is
/// K c = a, K_ij = sum over modes but the plane one of B_i B_j/(norm |gamma|), and l = 2 S/(a K^-1 a). Modes
/// are taken up to a phase of 150 across half the opening; what is left out falls as one over it and is
/// extrapolated from 75 and 150. Converged to about 0.2 %.
struct RectangularOpening {
  double duct_width_m = 0, duct_height_m = 0;
  double centre_y_m = 0, centre_z_m = 0;  ///< from a corner of the duct
  double width_m = 0, height_m = 0;
};
double rectangular_opening_length_m(const RectangularOpening& opening, double wavenumber = 0);

}  // namespace cabinfield::test
