#include "geometry/diffraction_path.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <map>
#include <queue>
#include <set>

#include "base/constants.h"

namespace cabinfield {
namespace {

constexpr double far = std::numeric_limits<double>::infinity();

/// Position along a straight edge where a tight string from a to b touches it: unfolded into one plane.
double tight_position(const Vector3& from, const Vector3& along, double length, const Vector3& a,
                      const Vector3& b) {
  const double at_a = along.dot(a - from), at_b = along.dot(b - from);
  const double off_a = (a - from - at_a * along).norm(), off_b = (b - from - at_b * along).norm();
  const double share = off_a + off_b > 0 ? off_a / (off_a + off_b) : 0.5;
  return std::clamp(at_a + share * (at_b - at_a), 0.0, length);
}

}  // namespace

DiffractionPath::DiffractionPath(const Cabin& cabin, double spacing_m) : cabin_(cabin) {
  collect_edges();
  collect_rims();
  double total = 0;
  for (const Edge& edge : edges_) total += edge.length;
  constexpr double most_nodes = 2000;  // every pair is tested for sight
  spacing_m = std::max(spacing_m, total / most_nodes);
  for (std::size_t e = 0; e < edges_.size(); ++e) {
    const Edge& edge = edges_[e];
    const int pieces = std::max(1, static_cast<int>(std::ceil(edge.length / spacing_m)));
    for (int i = 0; i < pieces; ++i) {
      const Vector3 point = edge.from + (i + 0.5) / pieces * edge.length * edge.along;
      if (cabin_.in_air(point)) nodes_.push_back({point, static_cast<int>(e)});
    }
  }
}

const DiffractionPath::Sight& DiffractionPath::sight() const {
  std::call_once(sight_->once, [this] {
    Sight& sees = sight_->sight;
    sees.resize(nodes_.size());
    for (std::size_t i = 0; i < nodes_.size(); ++i)
      for (std::size_t j = i + 1; j < nodes_.size(); ++j) {
        if (nodes_[i].edge == nodes_[j].edge || !cabin_.segment_free(nodes_[i].point, nodes_[j].point))
          continue;
        const double distance = (nodes_[i].point - nodes_[j].point).norm();
        sees[i].emplace_back(static_cast<int>(j), distance);
        sees[j].emplace_back(static_cast<int>(i), distance);
      }
  });
  return sight_->sight;
}

void DiffractionPath::collect_rims() {
  for (const Block& block : cabin_.shape().blocks) {
    if (block.partition < 0 || !block.cut) continue;
    // Its first two corners are on one face of the sheet, the other two on the other.
    for (const std::size_t first : {std::size_t{0}, std::size_t{2}}) {
      std::array<Vector3, 4> corner;
      for (const std::size_t i : {std::size_t{0}, std::size_t{1}, std::size_t{2}, std::size_t{3}}) {
        const Vector2& point = block.corner[first + (i == 1 || i == 2 ? 1 : 0)].point;
        corner[i] = {point.x(), block.range[i / 2], point.y()};
      }
      for (std::size_t i = 0; i < 4; ++i) {
        const Vector3 along = corner[(i + 1) % 4] - corner[i];
        edges_.push_back({corner[i], along.normalized(), along.norm()});
      }
    }
  }
}

void DiffractionPath::collect_edges() {
  // An edge can bend a string if it is convex: each of its faces lies behind the plane of the other.
  struct Side {
    int face;
    Vector3 from, to;
  };
  std::map<std::array<long long, 6>, std::vector<Side>> by_ends;
  auto rounded = [](const Vector3& p, const Vector3& q) {
    std::array<long long, 6> key{};
    for (int axis = 0; axis < 3; ++axis) {
      key[axis] = std::llround(p[axis] * 1e7);
      key[axis + 3] = std::llround(q[axis] * 1e7);
    }
    return key;
  };
  const auto& faces = cabin_.faces();
  for (std::size_t f = 0; f < faces.size(); ++f)
    for (std::size_t i = 0; i < faces[f].corner.size(); ++i) {
      Vector3 from = faces[f].corner[i], to = faces[f].corner[(i + 1) % faces[f].corner.size()];
      const auto key = std::min(rounded(from, to), rounded(to, from));
      by_ends[key].push_back({static_cast<int>(f), from, to});
    }
  for (const auto& [key, sides] : by_ends) {
    bool sticks_out = false;
    for (std::size_t a = 0; a < sides.size(); ++a)
      for (std::size_t b = a + 1; b < sides.size(); ++b) {
        const Face &one = faces[sides[a].face], &other = faces[sides[b].face];
        if (one.block != other.block || (one.normal - other.normal).norm() < 1e-6) continue;
        // A point beside the edge on one face, whose corners are in counter-clockwise order.
        const Vector3 middle = 0.5 * (sides[a].from + sides[a].to);
        const Vector3 into_one = one.normal.cross(sides[a].to - sides[a].from);
        sticks_out = sticks_out || other.height_over(middle + into_one.normalized()) < -1e-6;
      }
    const double length = (sides.front().to - sides.front().from).norm();
    if (sticks_out && length > 1e-3)
      edges_.push_back({sides.front().from, (sides.front().to - sides.front().from) / length, length});
  }
}

Way DiffractionPath::pull_tight(const Vector3& source, const std::vector<int>& nodes,
                                const Vector3& target) const {
  std::vector<int> edge;
  std::vector<Vector3> bends;
  for (int n : nodes) {
    edge.push_back(nodes_[n].edge);
    bends.push_back(nodes_[n].point);
  }
  auto before = [&](const std::vector<Vector3>& points, std::size_t i) {
    return i == 0 ? source : points[i - 1];
  };
  auto after = [&](const std::vector<Vector3>& points, std::size_t i) {
    return i + 1 == points.size() ? target : points[i + 1];
  };
  auto is_free = [&](const std::vector<Vector3>& points) {
    for (std::size_t i = 0; i <= points.size(); ++i)
      if (!cabin_.segment_free(i == 0 ? source : points[i - 1], i == points.size() ? target : points[i]))
        return false;
    return true;
  };
  // Move one bend at a time until none moves: the length is convex in the positions, so this finds its
  // minimum.
  std::vector<Vector3> tight = bends;
  for (int round = 0; round < 500; ++round) {
    double moved = 0;
    for (std::size_t i = 0; i < tight.size(); ++i) {
      const Edge& e = edges_[edge[i]];
      const Vector3 next =
          e.from + tight_position(e.from, e.along, e.length, before(tight, i), after(tight, i)) * e.along;
      moved = std::max(moved, (next - tight[i]).norm());
      tight[i] = next;
    }
    if (moved < 1e-9) break;
  }
  if (is_free(tight)) {
    bends = tight;
  } else {
    // Another part blocks the tight string: move each bend as far as its segments stay free.
    for (int round = 0; round < 40; ++round) {
      double moved = 0;
      for (std::size_t i = 0; i < bends.size(); ++i) {
        const Edge& e = edges_[edge[i]];
        const Vector3 a = before(bends, i), b = after(bends, i);
        const Vector3 best = e.from + tight_position(e.from, e.along, e.length, a, b) * e.along,
                      start = bends[i];
        for (double share = 1; share > 0.01; share *= 0.5) {
          const Vector3 next = start + share * (best - start);
          if (!cabin_.segment_free(a, next) || !cabin_.segment_free(next, b)) continue;
          moved = std::max(moved, (next - start).norm());
          bends[i] = next;
          break;
        }
      }
      if (moved < 1e-6) break;
    }
  }
  // Drop bends that are not needed.
  for (std::size_t i = 0; i < bends.size();) {
    if (cabin_.segment_free(before(bends, i), after(bends, i)))
      bends.erase(bends.begin() + static_cast<std::ptrdiff_t>(i));
    else
      ++i;
  }
  Way way;
  way.exists = true;
  way.bends = bends;
  for (std::size_t i = 0; i <= bends.size(); ++i)
    way.length_m += ((i == bends.size() ? target : bends[i]) - (i == 0 ? source : bends[i - 1])).norm();
  return way;
}

std::vector<Way> DiffractionPath::find(const Vector3& source, const std::vector<Vector3>& targets) const {
  std::vector<Way> ways(targets.size());
  std::vector<std::size_t> blocked;
  for (std::size_t t = 0; t < targets.size(); ++t) {
    if (cabin_.segment_free(source, targets[t]))
      ways[t] = {(targets[t] - source).norm(), {}, true};
    else
      blocked.push_back(t);
  }
  if (blocked.empty()) return ways;

  // Dijkstra's search from the source over all nodes.
  const Sight& sees = sight();
  std::vector<double> distance(nodes_.size(), far);
  std::vector<int> from(nodes_.size(), -1);
  using Entry = std::pair<double, int>;
  std::priority_queue<Entry, std::vector<Entry>, std::greater<>> queue;
  for (std::size_t n = 0; n < nodes_.size(); ++n)
    if (cabin_.segment_free(source, nodes_[n].point)) {
      distance[n] = (nodes_[n].point - source).norm();
      queue.emplace(distance[n], static_cast<int>(n));
    }
  while (!queue.empty()) {
    const auto [so_far, n] = queue.top();
    queue.pop();
    if (so_far > distance[n]) continue;
    for (const auto& [other, step] : sees[n])
      if (so_far + step < distance[other] - 1e-12) {
        distance[other] = so_far + step;
        from[other] = n;
        queue.emplace(distance[other], other);
      }
  }

  // For each target, rank the last nodes by total length.
  for (std::size_t t : blocked) {
    std::vector<Entry> ends;
    for (std::size_t n = 0; n < nodes_.size(); ++n)
      if (distance[n] < far)
        ends.emplace_back(distance[n] + (targets[t] - nodes_[n].point).norm(), static_cast<int>(n));
    std::sort(ends.begin(), ends.end());
    // Pull several of the best tight: sampling may rank a longer path first by some millimetres.
    constexpr std::size_t tried = 24;
    constexpr double worse_by_sampling_m = 0.15;
    double best = far;
    std::set<std::vector<int>> seen;
    for (const auto& [length, end] : ends) {
      if (seen.size() >= tried || length > best + worse_by_sampling_m) break;
      if (!cabin_.segment_free(nodes_[end].point, targets[t])) continue;
      std::vector<int> nodes, edges;
      for (int n = end; n >= 0; n = from[n]) nodes.insert(nodes.begin(), n);
      for (int n : nodes) edges.push_back(nodes_[n].edge);
      if (!seen.insert(edges).second) continue;
      const Way way = pull_tight(source, nodes, targets[t]);
      if (way.length_m < best) {
        best = way.length_m;
        ways[t] = way;
      }
    }
  }
  return ways;
}

}  // namespace cabinfield
