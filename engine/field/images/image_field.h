// The image method: direct sound and specular reflections.
#pragma once

#include <vector>

#include "base/air.h"
#include "field/field.h"
#include "field/images/mirror_search.h"
#include "geometry/cabin.h"
#include "geometry/diffraction_path.h"
#include "material/material.h"

namespace cabinfield {

/// Image sources in a cabin: the full lattice in an empty box, else a mirror search (order at most
/// MirrorPath::most_order).
class ImageField : public Field {
 public:
  static constexpr int most_box_order = 150;

  /// materials[i] is that of Face::material i. Where `paths` are given, a blocked direct sound takes the
  /// diffraction path, with the loss of a screen. Cabin and paths must outlive the field. Where a source has
  /// more than `most_images` images up to some order, that order and higher ones are omitted, with a warning.
  ImageField(const Cabin& cabin, std::vector<Material> materials, const Air& air, int order,
             const DiffractionPath* paths = nullptr, std::uint64_t most_images = MirrorSearch::most_images);
  FieldAnswer solve(const FieldQuestion& question, const Progress& progress = {}) const override;

 private:
  const Cabin& cabin_;
  std::vector<Material> materials_;
  Air air_;
  int order_;
  const DiffractionPath* paths_;
  std::uint64_t most_images_;
};

/// Direct sound alone, without walls: for a scene without a cabin. A driver radiates as in a rigid baffle
/// where it has a face, else as a piston in its pod, or omnidirectionally without one.
class FreeField : public Field {
 public:
  explicit FreeField(const Air& air) : air_(air) {}
  FieldAnswer solve(const FieldQuestion& question, const Progress& progress = {}) const override;

 private:
  Air air_;
};

/// Level that the reflections beyond `order` would add in a diffuse field, dB, with mean absorption
/// coefficient 0 < a <= 1 of a surface S (m2), at the distance r from the source.
///
/// A source of power W gives the direct energy density W/(4 pi c r^2) and the reverberant one 4 W (1 - a)/(c
/// S a) (Kuttruff, Room Acoustics, ch. 5, from memory). As 1/a = sum_n (1 - a)^n, the reverberant part is the
/// series 4 W/(c S) sum_(n >= 1) (1 - a)^n over reflection orders n. Relative to W/(4 pi c): direct 1/r^2,
/// order n 16 pi/S (1 - a)^n, orders above N together 16 pi/(S a) (1 - a)^(N + 1).
double missing_late_level_db(double mean_absorption, double surface_m2, int order, double distance_m);

}  // namespace cabinfield
