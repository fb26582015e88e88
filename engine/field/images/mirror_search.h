// Mirror images in a cabin of any shape: every reflected path up to some order that really exists, and no
// other.
//
// A source is mirrored in each face that it is in front of, recursively (Borish, J. Acoust. Soc. Am. 75
// (1984) 1827). What an image can light is the pyramid from it through the part of its face that the images
// before it light; a face outside that pyramid is not followed (the visible cone). A path is kept only where,
// folded back, it meets each face inside its outline, where the face is exposed, and each straight piece of
// it runs through air. A path that meets an edge within 1e-6 m may be kept or not.
//
// Images multiply with the order. Where there are more than a search may follow, whole orders are left out,
// the highest first: what is kept is then all of some order and nothing of the next. Images are counted, not
// seconds, so it is the same on every machine.
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
  std::array<Vector3, most_order> point{};  ///< where each is met, m
  double length_m = 0;
  Vector3 departure = Vector3::Zero();  ///< unit vector from the source
};

/// What a search came to: how much of what it looked at, in the orders that it kept.
struct MirrorSearchCount {
  int order = 0;                 ///< to which it is complete; less than asked where images were too many
  std::uint64_t images = 0;      ///< image sources followed
  std::uint64_t candidates = 0;  ///< image and ear pairs looked at
  std::uint64_t kept = 0;        ///< paths that exist
};

class MirrorSearch {
 public:
  /// Images that a search follows of one source: ten seconds' work in a large cabin, three times what a
  /// furnished car of 180 faces takes to order 5.
  static constexpr std::uint64_t most_images = 1'000'000;

  /// The cabin must outlive the search. order 0 to MirrorPath::most_order, less where that takes more than
  /// `most` images of a source; prune = false follows every image (for checks).
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
  std::vector<int> mirrors_;   // faces that can be met at all
  std::vector<Outline> hull_;  // convex outline of each face
};

}  // namespace cabinfield
