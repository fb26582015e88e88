// The geometric field: direct sound and mirror images.
#pragma once

#include <vector>

#include "base/air.h"
#include "field/field.h"
#include "field/images/mirror_search.h"
#include "geometry/cabin.h"
#include "geometry/diffraction_path.h"
#include "material/material.h"

namespace cabinfield {

/// Images in a cabin: the whole lattice in an empty box, else a mirror search (order at most
/// MirrorPath::most_order).
class ImageField : public Field {
 public:
  static constexpr int most_box_order = 150;

  /// The cabin must outlive the field. materials[i] is that of Face::material i. Where `ways` are given (they
  /// must outlive it too), a blocked direct sound goes the shortest way round, with the loss of a screen.
  /// Where a source has more than `most_images` up to some order, that order and those above are left out of
  /// its field, and a warning says so.
  ImageField(const Cabin& cabin, std::vector<Material> materials, const Air& air, int order,
             const DiffractionPath* ways = nullptr, std::uint64_t most_images = MirrorSearch::most_images);
  FieldAnswer solve(const FieldQuestion& question, const Progress& progress = {}) const override;

 private:
  const Cabin& cabin_;
  std::vector<Material> materials_;
  Air air_;
  int order_;
  const DiffractionPath* ways_;
  std::uint64_t most_images_;
};

/// Direct sound alone, without walls: for a scene without a cabin. A driver with no cabin radiates as in a
/// rigid wall of its own where it has a face, else alike in all directions up to its pod.
class FreeField : public Field {
 public:
  explicit FreeField(const Air& air) : air_(air) {}
  FieldAnswer solve(const FieldQuestion& question, const Progress& progress = {}) const override;

 private:
  Air air_;
};

/// By how much the reflections beyond `order` would raise the mean level, dB, in a diffuse field with mean
/// absorption 0 < a <= 1 of the surface S (m2), `distance_m` from the source: the energy of order n is 16
/// pi/S (1 - a)^n against 1/r^2 of the direct sound.
double missing_late_level_db(double mean_absorption, double surface_m2, int order, double distance_m);

}  // namespace cabinfield
