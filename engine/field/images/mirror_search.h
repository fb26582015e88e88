// Image sources in a cabin of any shape: all valid reflection paths up to some order.
//
// A source is mirrored in each face that it is in front of, recursively (Borish, J. Acoust. Soc. Am. 75
// (1984) 1827). An image can reach the pyramid from it through the part of its face that the previous image
// reaches; faces outside that pyramid (the visible cone) are pruned. A path is valid where, folded back, it
// meets each face inside its outline at an exposed point, and each straight segment runs through air. A path
// within 1e-6 m of an edge may be found or not.
//
// Images multiply with the order. Above the limit of images whole orders are omitted, the highest first, so
// that the result is complete to its order. The limit counts images rather than seconds: it is the same on
// every machine.
#pragma once

#include <array>
#include <cstdint>
#include <functional>
#include <vector>

#include "geometry/cabin.h"

namespace cabinfield {

/// A reflected path from a source to one ear.
struct MirrorPath {
  static constexpr int most_order = 5;
  int order = 0;
  std::array<int, most_order> face{};       ///< in the order met
  std::array<double, most_order> cosine{};  ///< of the angle to each face's normal
  std::array<Vector3, most_order> point{};  ///< reflection points, m
  double length_m = 0;
  Vector3 departure = Vector3::Zero();  ///< unit vector from the source
};

/// Statistics of a search.
struct MirrorSearchCount {
  int order = 0;  ///< up to which it is complete; lower than requested where there were too many images
  std::uint64_t images = 0;      ///< image sources followed
  std::uint64_t candidates = 0;  ///< pairs of image and ear that were traced
  std::uint64_t valid = 0;       ///< valid paths
};

class MirrorSearch {
 public:
  /// Largest number of images of one source: ten seconds' work in a large cabin, three times that of a
  /// furnished car of 180 faces at order 5.
  static constexpr std::uint64_t most_images = 1'000'000;

  /// The cabin must outlive the search. Order 0 to MirrorPath::most_order, lower where that takes more than
  /// `most` images of a source; prune = false follows every image (for tests).
  MirrorSearch(const Cabin& cabin, int order, bool prune = true, std::uint64_t most = most_images);

  /// Calls found(ear index, path) for the direct path where it is free and for each reflected path, in a
  /// fixed order.
  MirrorSearchCount run(const Vector3& source, const std::vector<Vector3>& ears,
                        const std::function<void(std::size_t, const MirrorPath&)>& found) const;

 private:
  using Outline = std::vector<Vector3>;
  struct Walk;
  void follow(Walk& walk, int depth) const;
  bool trace(const Walk& walk, int depth, const Vector3& ear, MirrorPath& path) const;
  bool lit_part(const Walk& walk, int depth, int face, Outline& part) const;

  const Cabin& cabin_;
  int order_;
  bool prune_;
  std::uint64_t most_;
  std::vector<int> mirrors_;   // faces that can reflect at all
  std::vector<Outline> hull_;  // convex outline of each face
};

}  // namespace cabinfield
