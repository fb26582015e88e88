#include "study/transfer_function_cache.h"

#include <algorithm>
#include <limits>
#include <set>
#include <stdexcept>

#include "listening/arrival.h"

namespace cabinfield {
namespace {

bool same_computation(const Computation& a, const Computation& b) {
  return a.frequency_hz == b.frequency_hz && a.field == b.field && a.wave_top_hz == b.wave_top_hz &&
         a.image_order == b.image_order;
}

int state_of(const Scene& scene, int preset) {
  return scene.presets.empty() ? 0 : scene.presets[static_cast<std::size_t>(preset)].state;
}

}  // namespace

TransferFunctionSet::TransferFunctionSet(std::shared_ptr<const Scene> scene, int state, SolvedCabins& solved,
                                         const Progress& progress)
    : scene_(std::move(scene)),
      state_(state),
      question_(question_of(*scene_, state)),
      field_(*scene_, state, "", solved, progress) {
  field_.store_reciprocal_solutions(question_);
}

TransferFunctionSet::TransferFunctionSet(std::shared_ptr<const Scene> scene, int state,
                                         const WaveCabin& solved)
    : scene_(std::move(scene)),
      state_(state),
      question_(question_of(*scene_, state)),
      field_(*scene_, state, solved) {
  field_.store_reciprocal_solutions(question_);
}

bool TransferFunctionSet::applies_to(const Scene& scene, int state) const {
  const CabinState &mine = scene_->states[static_cast<std::size_t>(state_)],
                   &other = scene.states[static_cast<std::size_t>(state)];
  return mine.cabin == other.cabin && mine.transfer_impedances == other.transfer_impedances &&
         mine.leaks == other.leaks && scene_->air == scene.air && scene_->materials == scene.materials &&
         scene_->fillings == scene.fillings && scene_->seats == scene.seats &&
         same_computation(scene_->computation, scene.computation);
}

TransferFunctionSet::Key TransferFunctionSet::key(const Source& source) {
  return {source.position.x(), source.position.y(), source.position.z(),    source.axis.x(),
          source.axis.y(),     source.axis.z(),     source.piston_radius_m, static_cast<double>(source.face),
          source.setback_m,    source.pod_radius_m};
}

void TransferFunctionSet::solve(const std::vector<Source>& sources, const Progress& progress) {
  FieldQuestion question = question_;
  question.sources.clear();
  std::set<Key> added;
  for (const Source& source : sources)
    if (!transfer_.contains(key(source)) && added.insert(key(source)).second)
      question.sources.push_back(source);
  if (question.sources.empty()) return;

  const CabinState& state = scene_->states[static_cast<std::size_t>(state_)];
  std::vector<Vector3> ears;
  for (const Seat& seat : scene_->seats) ears.insert(ears.end(), seat.ear.begin(), seat.ear.end());
  const FieldAnswer answer = field_.solve(question, progress);
  const DirectPaths paths = direct_paths(state.ways.get(), question.sources, ears);
  const std::size_t frequencies = question.frequency_hz.size(), numbers = ears.size() * frequencies;
  for (std::size_t d = 0; d < question.sources.size(); ++d) {
    const Source& source = question.sources[d];
    SourceTransfer& found = transfer_[key(source)];
    const Complex* const first = answer.transfer_pa_s_m3.row(d, 0);
    found.transfer_pa_s_m3.assign(first, first + numbers);
    for (std::size_t n = 0; n < ears.size(); ++n)
      found.length_m.push_back(paths.reached(n, d) ? paths.length_m(n, d)
                                                   : std::numeric_limits<double>::quiet_NaN());
    for (std::size_t s = 0; s < scene_->seats.size(); ++s)
      found.reached.push_back(field_.reaches(source, question_.ears[2 * s]) ||
                              field_.reaches(source, question_.ears[2 * s + 1]));
  }
}

const SourceTransfer& TransferFunctionSet::at(const Source& source) const {
  const auto found = transfer_.find(key(source));
  if (found == transfer_.end())
    throw std::invalid_argument("no transfer function was solved for the position of " + source.name);
  return found->second;
}

std::size_t TransferFunctionSet::bytes() const {
  if (transfer_.empty()) return 0;
  return transfer_.size() * transfer_.begin()->second.transfer_pa_s_m3.size() * sizeof(Complex);
}

namespace {

/// The set of each scene, and all sources that each set must solve.
struct Request {
  TransferFunctionCache::Sets of_scenes;
  std::vector<std::pair<std::shared_ptr<TransferFunctionSet>, std::vector<Source>>> sources;

  void add(const std::shared_ptr<TransferFunctionSet>& set, const std::vector<Source>& of_scene) {
    of_scenes.push_back(set);
    auto at = std::find_if(sources.begin(), sources.end(), [&](const auto& one) { return one.first == set; });
    if (at == sources.end()) at = sources.insert(at, {set, {}});
    at->second.insert(at->second.end(), of_scene.begin(), of_scene.end());
  }
  void solve(const Progress& progress) const {
    for (const auto& [set, of_set] : sources) set->solve(of_set, progress);
  }
};

}  // namespace

TransferFunctionCache::TransferFunctionCache(std::size_t max_bytes, std::size_t max_sets)
    : max_bytes_(max_bytes), max_sets_(max_sets) {}

std::shared_ptr<TransferFunctionGroup> TransferFunctionCache::group(std::uint64_t number) {
  const auto found = std::find_if(groups_.begin(), groups_.end(),
                                  [&](const auto& group) { return group->number() == number; });
  if (found != groups_.end()) {
    groups_.splice(groups_.begin(), groups_, found);
  } else {
    groups_.push_front(std::make_shared<TransferFunctionGroup>(number));
    if (groups_.size() > max_groups) groups_.pop_back();
  }
  return groups_.front();
}

TransferFunctionCache::Sets TransferFunctionCache::solve(TransferFunctionGroup& group, const Scenes& scenes,
                                                         int preset, const Progress& progress) {
  std::size_t bytes = 0;
  for (const auto& each : groups_)
    for (const auto& set : each->sets_) bytes += set->bytes();
  if (bytes > max_bytes_)
    for (const auto& each : groups_)
      for (const auto& set : each->sets_) set->clear();

  auto& sets = group.sets_;
  Request request;
  for (const auto& scene : scenes) {
    const int state = state_of(*scene, preset);
    auto found = std::find_if(sets.begin(), sets.end(),
                              [&](const auto& set) { return set->applies_to(*scene, state); });
    if (found == sets.end()) {
      const std::size_t before = group.solved_.size();
      sets.push_front(std::make_shared<TransferFunctionSet>(scene, state, group.solved_, progress));
      cabins_solved_ += group.solved_.size() - before;
      // The request holds on to the sets of this call.
      if (sets.size() > max_sets_) sets.pop_back();
    } else {
      sets.splice(sets.begin(), sets, found);
    }
    request.add(sets.front(), sources_of(*scene, state));
  }
  request.solve(progress);
  return request.of_scenes;
}

TransferFunctionCache::Sets TransferFunctionCache::solve_sampled(const TransferFunctionGroup& group,
                                                                 const Scenes& scenes, int preset) const {
  Request request;
  SolvedCabins stretched;
  for (const auto& scene : scenes) {
    const int state = state_of(*scene, preset);
    const std::shared_ptr<const Cabin>& cabin = scene->states[static_cast<std::size_t>(state)].cabin;
    const auto known = std::find_if(request.sources.begin(), request.sources.end(),
                                    [&](const auto& one) { return one.first->applies_to(*scene, state); });
    std::shared_ptr<TransferFunctionSet> set;
    if (known != request.sources.end()) {
      set = known->first;
    } else {
      const auto base = std::find_if(group.sets_.begin(), group.sets_.end(), [&](const auto& one) {
        return one->field().waves() && one->cabin() == cabin;
      });
      set = base != group.sets_.end()
                ? std::make_shared<TransferFunctionSet>(scene, state, (*base)->field().waves()->solved())
                : std::make_shared<TransferFunctionSet>(scene, state, stretched, Progress());
    }
    request.add(set, sources_of(*scene, state));
  }
  request.solve({});
  return request.of_scenes;
}

Table<Complex, 3> transfer_at(const TransferFunctionSet& set, const Scene& scene, int state) {
  FieldQuestion question;
  question.frequency_hz = scene.computation.frequency_hz;
  question.ears.resize(2 * scene.seats.size());
  question.sources = sources_of(scene, state);
  Table<Complex, 3> transfer({question.sources.size(), question.ears.size(), question.frequency_hz.size()});
  for (std::size_t d = 0; d < question.sources.size(); ++d) {
    const std::vector<Complex>& known = set.at(question.sources[d]).transfer_pa_s_m3;
    std::copy(known.begin(), known.end(), transfer.row(d, 0));
  }
  return of_drivers(scene, question, transfer);
}

}  // namespace cabinfield
