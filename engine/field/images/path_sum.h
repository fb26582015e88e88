// The sum over paths, for one source and one ear: what every image field ends in, and where its time goes.
//
//   p/Q = j omega rho/(4 pi) sum_i  e^{-j k r_i} e^{-m r_i/2} / r_i  D(psi_i)  (1 + R_own)  prod_w
//   R_w(theta_w)^{n_w}
//
// R(theta) = (cos theta - beta)/(cos theta + beta), plane wave, theta from the normal (Kuttruff, Room
// Acoustics, ch. 2); D relative to a point source of the same volume velocity; 1 + R_own is the departure
// from a flush driver's own wall.
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
    int times = 1;      ///< how often it is met
  };
  double length_m = 0;    ///< from the source's position
  double sine_psi = 0;    ///< of the departure angle off the axis; of a path behind the axis' plane, 1
  double cosine_psi = 1;  ///< of the same angle, -1 to 1
  int own_material = -1;  ///< of the wall the source is flush with, -1 for none
  double own_cosine = 1;
  double straight_m = 0;  ///< of a way round edges: the straight distance; its level is that of the screened
                          ///< straight line. 0: no edges
  Vector3 arrival = Vector3::UnitX();  ///< unit vector from the ear to where the path comes from
  int walls = 0;
  std::array<Wall, most_walls> wall{};
};

/// What is the same for all sources and ears: frequencies, air, materials. Immutable.
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
    std::vector<unsigned char>
        steady;  ///< for each run of lane_width: one value, and that of the whole run before
  };
  double density_kg_m3_ = 0;
  std::vector<double> frequency_hz_, wavenumber_plain_;
  kernels::Lanes wavenumber_, half_attenuation_;
  int octave_step_ = 0;  ///< 0: no doubling grid
  std::vector<Admittance> admittance_;
};

/// Adds paths of one source at one ear; the order of add() fixes the bits. Not shared between threads.
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
