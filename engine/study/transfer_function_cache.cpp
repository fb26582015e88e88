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

Site::Site(std::shared_ptr<const Scene> scene, int state, SolvedCabins& solved, const Progress& progress)
    : scene_(std::move(scene)),
      state_(state),
      like_(question_of(*scene_, state)),
      field_(*scene_, state, "", solved, progress) {
  field_.expect_more_like(like_);
}

Site::Site(std::shared_ptr<const Scene> scene, int state, const WaveCabin& solved)
    : scene_(std::move(scene)),
      state_(state),
      like_(question_of(*scene_, state)),
      field_(*scene_, state, solved) {
  field_.expect_more_like(like_);
}

bool Site::holds(const Scene& scene, int state) const {
  const CabinState &mine = scene_->states[static_cast<std::size_t>(state_)],
                   &other = scene.states[static_cast<std::size_t>(state)];
  return mine.cabin == other.cabin && mine.transfer_impedances == other.transfer_impedances &&
         mine.leaks == other.leaks && scene_->air == scene.air && scene_->materials == scene.materials &&
         scene_->fillings == scene.fillings && scene_->seats == scene.seats &&
         same_computation(scene_->computation, scene.computation);
}

Site::Key Site::key(const Source& source) {
  return {source.position.x(), source.position.y(), source.position.z(),    source.axis.x(),
          source.axis.y(),     source.axis.z(),     source.piston_radius_m, static_cast<double>(source.face),
          source.setback_m,    source.pod_radius_m};
}

void Site::learn(const std::vector<Source>& sources, const Progress& progress) {
  FieldQuestion question = like_;
  question.sources.clear();
  std::set<Key> asked;
  for (const Source& source : sources)
    if (!known_.contains(key(source)) && asked.insert(key(source)).second) question.sources.push_back(source);
  if (question.sources.empty()) return;

  const CabinState& state = scene_->states[static_cast<std::size_t>(state_)];
  std::vector<Vector3> ears;
  for (const Seat& seat : scene_->seats) ears.insert(ears.end(), seat.ear.begin(), seat.ear.end());
  const FieldAnswer answer = field_.solve(question, progress);
  const DirectPaths paths = direct_paths(state.ways.get(), question.sources, ears);
  const std::size_t frequencies = question.frequency_hz.size(), numbers = ears.size() * frequencies;
  for (std::size_t d = 0; d < question.sources.size(); ++d) {
    const Source& source = question.sources[d];
    SourceTransfer& found = known_[key(source)];
    const Complex* const first = answer.transfer_pa_s_m3.row(d, 0);
    found.transfer_pa_s_m3.assign(first, first + numbers);
    for (std::size_t n = 0; n < ears.size(); ++n)
      found.length_m.push_back(paths.reached(n, d) ? paths.length_m(n, d)
                                                   : std::numeric_limits<double>::quiet_NaN());
    for (std::size_t s = 0; s < scene_->seats.size(); ++s)
      found.reached.push_back(field_.reaches(source, like_.ears[2 * s]) ||
                              field_.reaches(source, like_.ears[2 * s + 1]));
  }
}

const SourceTransfer& Site::of(const Source& source) const {
  const auto found = known_.find(key(source));
  if (found == known_.end()) throw std::invalid_argument("the place of " + source.name + " was not solved");
  return found->second;
}

std::size_t Site::bytes() const {
  if (known_.empty()) return 0;
  return known_.size() * known_.begin()->second.transfer_pa_s_m3.size() * sizeof(Complex);
}

namespace {

using Scenes = std::vector<std::shared_ptr<const Scene>>;

/// Which site each scene has, and all the sources that each site is asked for.
struct Asked {
  std::vector<std::shared_ptr<const Site>> of_scenes;
  std::vector<std::pair<std::shared_ptr<Site>, std::vector<Source>>> of_sites;

  void add(const std::shared_ptr<Site>& site, const std::vector<Source>& sources) {
    of_scenes.push_back(site);
    auto at =
        std::find_if(of_sites.begin(), of_sites.end(), [&](const auto& one) { return one.first == site; });
    if (at == of_sites.end()) at = of_sites.insert(at, {site, {}});
    at->second.insert(at->second.end(), sources.begin(), sources.end());
  }
  void learn(const Progress& progress) {
    for (const auto& [site, sources] : of_sites) site->learn(sources, progress);
  }
};

}  // namespace

TransferFunctionCache::TransferFunctionCache(std::size_t most_bytes, std::size_t most_sites)
    : most_bytes_(most_bytes), most_sites_(most_sites) {}

bool TransferFunctionCache::enter(std::uint64_t group) {
  const auto found = std::find_if(groups_.begin(), groups_.end(), [&](const Group& one) {
    return one.number == group && !one.sites.empty();
  });
  if (found != groups_.end()) {
    groups_.splice(groups_.begin(), groups_, found);
    return true;
  }
  groups_.push_front({group, {}, {}});
  if (groups_.size() > most_groups) groups_.pop_back();
  return false;
}

std::vector<std::shared_ptr<const Site>> TransferFunctionCache::solve(const Scenes& scenes, int preset,
                                                                      const Progress& progress) {
  auto& [number, sites, solved] = groups_.front();
  std::size_t bytes = 0;
  for (const Group& group : groups_)
    for (const auto& site : group.sites) bytes += site->bytes();
  if (bytes > most_bytes_)
    for (const Group& group : groups_)
      for (const auto& site : group.sites) site->forget();

  Asked asked;
  for (const auto& scene : scenes) {
    const int state = state_of(*scene, preset);
    auto found = std::find_if(sites.begin(), sites.end(),
                              [&](const auto& site) { return site->holds(*scene, state); });
    if (found == sites.end()) {
      const std::size_t before = solved.size();
      sites.push_front(std::make_shared<Site>(scene, state, solved, progress));
      cabins_solved_ += solved.size() - before;
      // The scenes of this call hold on to theirs.
      if (sites.size() > most_sites_) sites.pop_back();
    } else {
      sites.splice(sites.begin(), sites, found);
    }
    asked.add(sites.front(), sources_of(*scene, state));
  }
  asked.learn(progress);
  return asked.of_scenes;
}

std::vector<std::shared_ptr<const Site>> TransferFunctionCache::solve_sampled(const Scenes& scenes,
                                                                              int preset) {
  const std::list<std::shared_ptr<Site>>& sites = groups_.front().sites;
  Asked asked;
  SolvedCabins stretched;
  for (const auto& scene : scenes) {
    const int state = state_of(*scene, preset);
    const std::shared_ptr<const Cabin>& cabin = scene->states[static_cast<std::size_t>(state)].cabin;
    const auto known = std::find_if(asked.of_sites.begin(), asked.of_sites.end(),
                                    [&](const auto& one) { return one.first->holds(*scene, state); });
    std::shared_ptr<Site> site;
    if (known != asked.of_sites.end()) {
      site = known->first;
    } else {
      const auto base = std::find_if(sites.begin(), sites.end(), [&](const auto& one) {
        return one->field().waves() && one->cabin() == cabin;
      });
      site = base != sites.end() ? std::make_shared<Site>(scene, state, (*base)->field().waves()->solved())
                                 : std::make_shared<Site>(scene, state, stretched, Progress());
    }
    asked.add(site, sources_of(*scene, state));
  }
  asked.learn({});
  return asked.of_scenes;
}

Table<Complex, 3> transfer_at(const Site& site, const Scene& scene, int state) {
  FieldQuestion question;
  question.frequency_hz = scene.computation.frequency_hz;
  question.ears.resize(2 * scene.seats.size());
  question.sources = sources_of(scene, state);
  Table<Complex, 3> transfer({question.sources.size(), question.ears.size(), question.frequency_hz.size()});
  for (std::size_t d = 0; d < question.sources.size(); ++d) {
    const std::vector<Complex>& known = site.of(question.sources[d]).transfer_pa_s_m3;
    std::copy(known.begin(), known.end(), transfer.row(d, 0));
  }
  return of_drivers(scene, question, transfer);
}

}  // namespace cabinfield
