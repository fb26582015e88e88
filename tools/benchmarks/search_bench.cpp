// The mirror search in a furnished cabin: cost per kept path and per candidate (an image and an ear), and
// the savings of the visible cone over brute force, which follows every image in front of every face.
#include <benchmark/benchmark.h>

#include <array>

#include "field/images/mirror_search.h"
#include "input/scene_file.h"

namespace {

using namespace cabinfield;

constexpr int most_order = MirrorPath::most_order;
using Counts = std::array<double, most_order + 1>;

/// Images of a source to each order without pruning, counted without searching for paths.
class BruteCount {
 public:
  BruteCount(const std::vector<Face>& faces, const Vector3& source)
      : normal_(faces.size(), 3), offset_(faces.size()) {
    for (std::size_t f = 0; f < faces.size(); ++f) {
      normal_.row(static_cast<Eigen::Index>(f)) = faces[f].normal.transpose();
      offset_[static_cast<Eigen::Index>(f)] = faces[f].offset;
    }
    visit(source, 1);
    for (int order = 1; order <= most_order; ++order) images_[order] += images_[order - 1];
  }
  const Counts& images() const { return images_; }

 private:
  void visit(const Vector3& image, int order) {
    const Eigen::ArrayXd height = (normal_ * image).array() - offset_.array();
    images_[order] += static_cast<double>((height > 1e-6).count());
    if (order == most_order) return;
    for (Eigen::Index f = 0; f < height.size(); ++f)
      if (height[f] > 1e-6) visit(image - 2 * height[f] * normal_.row(f).transpose(), order + 1);
  }

  Eigen::MatrixX3d normal_;
  Eigen::VectorXd offset_;
  Counts images_{};
};

void search(benchmark::State& state) {
  const auto file = read_scene_file(CABINFIELD_SOURCE_DIR "/scenes/people_carrier.yaml");
  if (!file.scene) return state.SkipWithError("the scene has faults");
  const Scene& scene = *file.scene;
  const int order = static_cast<int>(state.range(0));
  const bool prune = state.range(1) != 0;
  const Vector3 source = scene.drivers.front().source.position;
  const MirrorSearch searched(*scene.cabin, order, prune, std::uint64_t{1} << 40);
  std::vector<Vector3> ears;
  for (const Seat& seat : scene.seats) ears.insert(ears.end(), seat.ear.begin(), seat.ear.end());
  // Some ten seconds, once, at order 5.
  static const Counts brute = BruteCount(scene.cabin->faces(), source).images();
  MirrorSearchCount count;
  for (auto _ : state) count = searched.run(source, ears, [](std::size_t, const MirrorPath&) {});
  state.counters["images"] = static_cast<double>(count.images);
  state.counters["brute_images"] = brute[order];
  state.counters["valid"] = static_cast<double>(count.valid);
  state.counters["candidates"] = benchmark::Counter(static_cast<double>(count.candidates),
                                                    benchmark::Counter::kIsIterationInvariantRate);
  state.counters["paths"] =
      benchmark::Counter(static_cast<double>(count.valid), benchmark::Counter::kIsIterationInvariantRate);
}
BENCHMARK(search)
    ->Args({1, 1})
    ->Args({2, 1})
    ->Args({3, 1})
    ->Args({4, 1})
    ->Args({5, 1})
    ->Args({1, 0})
    ->Args({2, 0})
    ->Args({3, 0})
    ->Unit(benchmark::kMillisecond);

}  // namespace
