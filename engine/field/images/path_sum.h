// The sum over paths from one source to one ear, in which every image method ends and spends its time.
//
//   p/Q = j omega rho/(4 pi) sum_i  e^{-j k r_i} e^{-m r_i/2}/r_i  D(psi_i) (1 + R_own) prod_w
//   R_w(theta_w)^n_w
//
// r_i length of path i, m energy attenuation of air, psi_i departure angle off the driver's axis, w the walls
// met n_w times at the angle theta_w. R(theta) = (cos theta - beta)/(cos theta + beta), plane wave, theta
// from the normal (Kuttruff, Room Acoustics, ch. 2); D relative to a point source of the same volume
// velocity; 1 + R_own is the departure from a flush driver's own wall.
#pragma once

#include <array>
#include <vector>

#include "base/air.h"
#include "base/vector.h"
#include "driver/directivity.h"
#include "field/field.h"
#include "field/images/path_kernels.h"

namespace cabinfield {

/// One path from source to ear.
struct Path {
  static constexpr int most_walls = 6;
  struct Wall {
    int material = 0;
    double cosine = 1;  ///< of the angle to the normal
    int times = 1;      ///< number of reflections from it
  };
  double length_m = 0;    ///< without the setback of the source
  double sine_psi = 0;    ///< of the departure angle off the axis; 1 behind the plane of the piston
  double cosine_psi = 1;  ///< of the same angle, -1 to 1
  int own_material = -1;  ///< of the wall that the source is flush with; -1: none
  double own_cosine = 1;
  double straight_m = 0;  ///< of a diffraction path: the straight distance; its level is that of the straight
                          ///< line less the loss of a screen. 0: not diffracted
  Vector3 arrival = Vector3::UnitX();  ///< unit vector from the ear against the direction of incidence
  int walls = 0;
  std::array<Wall, most_walls> wall{};
};

/// Common to all sources and ears: frequencies, air, materials. Immutable.
class PathMedium {
 public:
  /// admittance[m][f]: specific admittance of each material, real part >= 0.
  PathMedium(const Air& air, std::vector<double> frequency_hz,
             const std::vector<std::vector<Complex>>& admittance);

  const std::vector<double>& frequency_hz() const { return frequency_hz_; }
  const std::vector<double>& wavenumber_per_m() const { return wavenumber_plain_; }

 private:
  friend class PathSum;
  struct Admittance {
    bool rigid = false;
    bool real = false;
    bool constant = false;  ///< real and the same at all frequencies
    kernels::Lanes re, im;
    /// For each run of lane_width: whether all values equal those of the run before
    std::vector<unsigned char> steady;
  };
  double density_kg_m3_ = 0;
  std::vector<double> frequency_hz_, wavenumber_plain_;
  kernels::Lanes wavenumber_, half_attenuation_;
  int octave_step_ = 0;  ///< 0: frequencies do not double
  std::vector<Admittance> admittance_;
};

/// Adds the paths from one source to one ear; the bits depend on the order of add(). Not shared between
/// threads.
class PathSum {
 public:
  /// sphere: directivity of a free-standing driver, or null. receiver: of the ear, or null.
  PathSum(const PathMedium& medium, const Source& source, const SpherePistonDirectivity* sphere,
          const ReceiverPattern* receiver = nullptr);
  void add(const Path& path);
  /// The sum so far with its factor j omega rho / (4 pi), Pa s/m3, at each frequency.
  std::vector<Complex> pressure() const;

 private:
  const PathMedium& medium_;
  const kernels::Table& kernel_;
  double piston_radius_m_ = 0;
  double setback_m_ = 0;
  const SpherePistonDirectivity* sphere_ = nullptr;
  const ReceiverPattern* receiver_ = nullptr;
  std::size_t count_ = 0;
  kernels::Lanes cosine_, sine_, amplitude_, amplitude_im_, piston_, screen_, sum_re_, sum_im_;
  std::vector<Complex> pattern_;
};

}  // namespace cabinfield
