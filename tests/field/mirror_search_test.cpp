#include "field/images/mirror_search.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <map>
#include <set>

#include "field/images/box_lattice.h"
#include "support/brute_images.h"
#include "support/cabins.h"

namespace cabinfield {
namespace {

using Found = std::set<std::pair<std::size_t, std::vector<int>>>;

Found paths_of(const Cabin& cabin, const Vector3& source, const std::vector<Vector3>& ears, int order,
               bool prune, MirrorSearchCount* count = nullptr) {
  Found found;
  const auto counted =
      MirrorSearch(cabin, order, prune).run(source, ears, [&](std::size_t ear, const MirrorPath& path) {
        EXPECT_TRUE(
            found.emplace(ear, std::vector<int>(path.face.begin(), path.face.begin() + path.order)).second)
            << "a path came twice";
      });
  if (count != nullptr) *count = counted;
  return found;
}

TEST(MirrorSearch, OnePlateGivesOneReflection) {
  // Source and ear 1 m apart, 0.3 m over a floor: the reflected path is sqrt(1 + 0.6^2), the angle's cosine
  // 0.6 over it.
  const Cabin cabin = test::box_cabin({20, 20, 10});
  const MirrorSearch search(cabin, 1);
  double length = 0, cosine = 0;
  search.run({10, 0, 0.3}, {{11, 0, 0.3}}, [&](std::size_t, const MirrorPath& path) {
    if (path.order == 1 && cabin.surfaces()[cabin.faces()[path.face[0]].surface] == "floor") {
      length = path.length_m;
      cosine = path.cosine[0];
      EXPECT_LT((path.point[0] - Vector3(10.5, 0, 0)).norm(), 1e-12);
    }
  });
  EXPECT_NEAR(length, std::sqrt(1.36), 1e-12);
  EXPECT_NEAR(cosine, 0.6 / std::sqrt(1.36), 1e-12);
}

TEST(MirrorSearch, BlockRemovesThePathsItBlocks) {
  // A wall across the lower half: over it the direct sound is free, low down it is not, and the floor
  // reflection is gone.
  CabinShape shape = test::box_shape_of({4, 2, 2});
  Block wall;
  wall.name = "wall";
  wall.corner = {{{1.9, 0}, ""}, {{2.1, 0}, ""}, {{2.1, 1.0}, ""}, {{1.9, 1.0}, ""}};
  wall.range = {-1.5, 1.5};
  shape.blocks.push_back(wall);
  std::vector<ShapeProblem> problems;
  const Cabin cabin = Cabin::build(shape, problems);
  const auto high = paths_of(cabin, {1, 0, 1.5}, {{3, 0.1, 1.5}}, 1, true),
             low = paths_of(cabin, {1, 0, 0.5}, {{3, 0.1, 0.5}}, 1, true);
  auto names = [&](const Found& found) {
    std::set<std::string> result;
    for (const auto& [ear, faces] : found)
      result.insert(faces.empty() ? "direct" : cabin.surfaces()[cabin.faces()[faces[0]].surface]);
    return result;
  };
  EXPECT_EQ(names(high),
            (std::set<std::string>{"direct", "front", "rear", "left", "right", "roof", "wall.top"}));
  EXPECT_EQ(names(low), (std::set<std::string>{"roof"}));
}

TEST(MirrorSearch, FindsThePathsOfAFullSearchAndNoOthers) {
  // Every image followed, none pruned, against the visible cone; order 3 where there are few faces, 2 where
  // there are many.
  int paths = 0;
  std::uint64_t followed = 0, all = 0;
  for (unsigned seed = 1; seed <= 40; ++seed) {
    const Cabin cabin = test::random_cabin(seed);
    const int order = cabin.faces().size() < 26 ? 3 : 2;
    const Vector3 source = test::random_air_point(cabin, seed + 500);
    const std::vector<Vector3> ears{test::random_air_point(cabin, seed + 900),
                                    test::random_air_point(cabin, seed + 1300)};
    MirrorSearchCount pruned, brute;
    const auto a = paths_of(cabin, source, ears, order, true, &pruned),
               b = paths_of(cabin, source, ears, order, false, &brute);
    EXPECT_EQ(a, b) << "cabin " << seed;
    paths += static_cast<int>(a.size());
    followed += pruned.images;
    all += brute.images;
  }
  EXPECT_GT(paths, 500);
  EXPECT_LT(followed, all);
}

TEST(MirrorSearch, FindsThePathsOfTheDefinitionAndNoOthers) {
  // Every sequence of faces, nothing pruned, by a second program that shares nothing with the search but the
  // list of faces and the shape as drawn. Paths within 1e-6 m of an edge may go either way.
  std::size_t certain = 0, ties = 0;
  std::uint64_t sequences = 0;
  for (unsigned seed = 1; seed <= 200; ++seed) {
    const Cabin cabin = test::random_cabin(seed);
    const Vector3 source = test::random_air_point(cabin, seed + 500);
    const std::vector<Vector3> ears{test::random_air_point(cabin, seed + 900),
                                    test::random_air_point(cabin, seed + 1300)};
    const test::BruteImages brute = test::brute_images(cabin, source, ears, 3);
    std::map<std::pair<std::size_t, std::vector<int>>, double> found;
    MirrorSearch(cabin, 3).run(source, ears, [&](std::size_t ear, const MirrorPath& path) {
      found[{ear, {path.face.begin(), path.face.begin() + path.order}}] = path.length_m;
    });
    std::size_t missing = 0, others = 0;
    for (const auto& [path, length] : found) others += brute.paths.contains(path) ? 0 : 1;
    for (const auto& [path, expected] : brute.paths) {
      const auto same = found.find(path);
      if (same != found.end()) {
        EXPECT_NEAR(same->second, expected.length_m, 1e-9) << "cabin " << seed;
      }
      (expected.tie ? ties : certain) += 1;
      missing += !expected.tie && same == found.end() ? 1 : 0;
    }
    EXPECT_EQ(missing, 0u) << "cabin " << seed;
    EXPECT_EQ(others, 0u) << "cabin " << seed;
    sequences += brute.sequences;
  }
  EXPECT_GT(certain, 20000u);
  EXPECT_LT(ties, 10u);  // a millionth of a metre on some metres of edges
  EXPECT_GT(sequences, 10'000'000u);
}

TEST(MirrorSearch, OmitsWholeOrdersWhenThereAreTooManyImages) {
  const Cabin cabin = test::car_cabin();
  const Vector3 source(0.6, -0.5, 0.3);
  const std::vector<Vector3> ears{{1.35, 0.35, 0.95}, {1.1, -0.4, 0.9}};
  using Kept = std::vector<std::pair<std::size_t, std::vector<int>>>;
  auto search = [&](int order, std::uint64_t most, Kept& kept) {
    return MirrorSearch(cabin, order, true, most)
        .run(source, ears, [&](std::size_t ear, const MirrorPath& path) {
          kept.push_back({ear, {path.face.begin(), path.face.begin() + path.order}});
        });
  };
  std::array<MirrorSearchCount, 5> whole;
  std::array<Kept, 5> paths;
  for (int order = 0; order < 5; ++order) {
    whole[order] = search(order, MirrorSearch::most_images, paths[order]);
    ASSERT_EQ(whole[order].order, order);
    ASSERT_EQ(whole[order].valid, paths[order].size());
  }
  for (int order = 0; order < 4; ++order) {
    // Enough for an order and no more; and one short of the next.
    for (const std::uint64_t most : {whole[order].images, whole[order + 1].images - 1}) {
      Kept kept;
      const MirrorSearchCount count = search(4, most, kept);
      EXPECT_EQ(count.order, order);
      EXPECT_EQ(count.images, whole[order].images);
      EXPECT_EQ(count.candidates, whole[order].candidates);
      EXPECT_EQ(kept, paths[order]) << "the same paths in the same order";
    }
  }
}

TEST(MirrorSearch, FoldedPathsObeyTheLawOfReflection) {
  const Cabin cabin = test::car_cabin();
  const Vector3 source(0.6, -0.5, 0.3), ear(1.35, 0.35, 0.95);
  int checked = 0;
  MirrorSearch(cabin, 3).run(source, {ear}, [&](std::size_t, const MirrorPath& path) {
    double length = 0;
    for (int d = 0; d <= path.order; ++d) {
      const Vector3 from = d == 0 ? source : path.point[d - 1], to = d == path.order ? ear : path.point[d];
      length += (to - from).norm();
      if (d == path.order) continue;
      const Vector3 onward = (d + 1 == path.order ? ear : path.point[d + 1]) - to;
      const Vector3& normal = cabin.faces()[path.face[d]].normal;
      const Vector3 in = (to - from).normalized(), out = onward.normalized();
      EXPECT_LT((out - (in - 2 * in.dot(normal) * normal)).norm(), 1e-9);
      EXPECT_NEAR(out.dot(normal), path.cosine[d], 1e-9);
      ++checked;
    }
    EXPECT_NEAR(length, path.length_m, 1e-9);
  });
  EXPECT_GT(checked, 20);
}

}  // namespace
}  // namespace cabinfield
