#include "field/images/explanation.h"

#include <algorithm>
#include <cmath>
#include <memory>

#include "base/constants.h"
#include "base/parallel.h"

namespace cabinfield {

Explanation::Explanation(const Cabin& cabin, const std::vector<Material>& materials, const Air& air,
                         const DiffractionPath* diffraction, const std::vector<Source>& sources,
                         const std::vector<Vector3>& ears, int order)
    : materials_(materials),
      air_(air),
      sources_(sources),
      ears_(ears.size()),
      paths_(sources.size() * ears.size()) {
  const MirrorSearch search(cabin, order);
  parallel_for(sources.size(), [&](std::size_t s) {
    for_each_cabin_path(
        cabin, search, diffraction, sources[s], ears,
        [&](std::size_t ear, const CabinPath& found) { paths_[s * ears_ + ear].push_back(found); });
  });
}

const CabinPath* Explanation::direct(std::size_t source, std::size_t ear) const {
  const auto& all = paths(source, ear);
  const auto found =
      std::find_if(all.begin(), all.end(), [](const CabinPath& path) { return path.faces.empty(); });
  return found == all.end() ? nullptr : &*found;
}

PathMedium Explanation::medium_at(double frequency_hz) const {
  std::vector<std::vector<Complex>> admittance;
  for (const Material& material : materials_)
    admittance.push_back(specific_admittance(material, air_, {frequency_hz}));
  return PathMedium(air_, {frequency_hz}, admittance);
}

Complex Explanation::transfer(const PathMedium& medium, std::size_t source, const CabinPath& path) const {
  const Source& from = sources_[source];
  std::unique_ptr<SpherePistonDirectivity> sphere;
  if (from.face < 0 && from.piston_radius_m > 0 && from.pod_radius_m > 0)
    sphere = std::make_unique<SpherePistonDirectivity>(from.piston_radius_m, from.pod_radius_m,
                                                       medium.wavenumber_per_m());
  PathSum sum(medium, from, sphere.get());
  sum.add(path.path);
  return sum.pressure().front();
}

std::vector<Reflection> Explanation::strongest(std::size_t source, std::size_t ear, std::size_t most) const {
  constexpr double reference_hz = 1000;
  const CabinPath* first = direct(source, ear);
  if (first == nullptr) return {};
  const PathMedium medium = medium_at(reference_hz);
  const Complex direct_transfer = transfer(medium, source, *first);
  if (std::abs(direct_transfer) == 0) return {};
  std::vector<Reflection> found;
  for (const CabinPath& path : paths(source, ear)) {
    if (path.faces.empty()) continue;
    Reflection row;
    row.source = source;
    row.ear = ear;
    row.faces = path.faces;
    row.length_m = path.path.length_m + sources_[source].setback_m;
    row.extra_m = path.path.length_m - first->path.length_m;
    const Complex ratio = transfer(medium, source, path) / direct_transfer;
    row.level_db = 20 * std::log10(std::max(std::abs(ratio), 1e-10));
    // Phase added by the walls, without that of the path difference: together they make half a turn at the
    // first notch.
    const double wall_phase =
        std::arg(ratio * std::exp(Complex(0, 2 * pi * reference_hz * row.extra_m / air_.sound_speed_m_s)));
    const double delay = row.extra_m / air_.sound_speed_m_s;
    if (delay > 1e-7) row.first_notch_hz = (pi + wall_phase) / (2 * pi * delay);
    found.push_back(std::move(row));
  }
  std::stable_sort(found.begin(), found.end(),
                   [](const Reflection& a, const Reflection& b) { return a.level_db > b.level_db; });
  if (found.size() > most) found.resize(most);
  return found;
}

Explanation::Cause Explanation::cause_of_notch(const std::vector<int>& sources,
                                               const std::vector<Complex>& volume_velocity_m3_s,
                                               std::size_t ear, double frequency_hz) const {
  const PathMedium medium = medium_at(frequency_hz);
  struct Term {
    Complex pressure;
    Cause cause;
  };
  std::vector<Term> terms;
  Complex sum = 0;
  for (std::size_t i = 0; i < sources.size(); ++i) {
    const auto source = static_cast<std::size_t>(sources[i]);
    const CabinPath* first = direct(source, ear);
    for (const CabinPath& path : paths(source, ear)) {
      const Complex pressure = transfer(medium, source, path) * volume_velocity_m3_s[i];
      sum += pressure;
      if (!path.faces.empty())
        terms.push_back(
            {pressure, {source, &path, first != nullptr ? path.path.length_m - first->path.length_m : 0}});
    }
  }
  Cause cause;
  double best = std::abs(sum);
  for (const Term& term : terms)
    if (std::abs(sum - term.pressure) > best) {
      best = std::abs(sum - term.pressure);
      cause = term.cause;
    }
  return cause;
}

}  // namespace cabinfield
