#include "field/images/image_field.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <memory>

#include "base/constants.h"
#include "driver/directivity.h"
#include "field/images/box_lattice.h"
#include "field/images/cabin_paths.h"
#include "field/images/departure.h"
#include "field/images/path_sum.h"

namespace cabinfield {
namespace {

std::unique_ptr<SpherePistonDirectivity> pod_directivity(const Source& source,
                                                         const std::vector<double>& wavenumber) {
  if (source.face >= 0 || source.piston_radius_m <= 0 || source.pod_radius_m <= 0) return nullptr;
  return std::make_unique<SpherePistonDirectivity>(source.piston_radius_m, source.pod_radius_m, wavenumber);
}

const ReceiverPattern* pattern_of(const FieldQuestion& question, std::size_t ear) {
  return question.patterns.empty() ? nullptr : question.patterns[ear].get();
}

void store(FieldAnswer& answer, std::size_t source, std::size_t ear, const PathSum& sum) {
  const std::vector<Complex> pressure = sum.pressure();
  std::copy(pressure.begin(), pressure.end(), answer.transfer_pa_s_m3.row(source, ear));
}

/// One warning for all sources limited to the same order.
void warn_of_omitted(const FieldQuestion& question, const std::vector<int>& complete_order, int requested,
                     std::uint64_t most_images, std::vector<std::string>& warnings) {
  for (int order = requested - 1; order >= 0; --order) {
    std::string names;
    for (std::size_t s = 0; s < complete_order.size(); ++s)
      if (complete_order[s] == order) names += (names.empty() ? "" : ", ") + question.sources[s].name;
    if (names.empty()) continue;
    const std::string omitted = order + 1 == requested ? fmt::format("order {}", requested)
                                                       : fmt::format("orders {} to {}", order + 1, requested);
    warnings.push_back(
        fmt::format("{}: more than {} images at order {}; computed to order {} only, reflections of {} are "
                    "omitted",
                    names, most_images, order + 1, order, omitted));
  }
}

}  // namespace

double missing_late_level_db(double mean_absorption, double surface_m2, int order, double distance_m) {
  double included = 1 / (distance_m * distance_m);
  for (int n = 1; n <= order; ++n) included += 16 * pi / surface_m2 * std::pow(1 - mean_absorption, n);
  const double late = 16 * pi / (surface_m2 * mean_absorption) * std::pow(1 - mean_absorption, order + 1);
  return 10 * std::log10(1 + late / included);
}

ImageField::ImageField(const Cabin& cabin, std::vector<Material> materials, const Air& air, int order,
                       const DiffractionPath* paths, std::uint64_t most_images)
    : cabin_(cabin),
      materials_(std::move(materials)),
      air_(air),
      order_(order),
      paths_(paths),
      most_images_(most_images) {}

FieldAnswer ImageField::solve(const FieldQuestion& question, const Progress& progress) const {
  // Step 1: materials and directivities at the frequencies of the question.
  const std::size_t sources = question.sources.size(), ears = question.ears.size();
  FieldAnswer answer;
  answer.transfer_pa_s_m3 = Table<Complex, 3>({sources, ears, question.frequency_hz.size()});
  std::vector<std::vector<Complex>> admittance;
  for (const Material& material : materials_)
    admittance.push_back(specific_admittance(material, air_, question.frequency_hz));
  const PathMedium medium(air_, question.frequency_hz, admittance);
  std::vector<std::unique_ptr<SpherePistonDirectivity>> spheres;
  for (const Source& source : question.sources)
    spheres.push_back(pod_directivity(source, medium.wavenumber_per_m()));

  // Step 2: sum the paths. An empty box has a complete lattice of images; any other cabin is searched.
  const bool lattice = is_empty_box(cabin_);
  const int requested = lattice ? order_ : std::min(order_, MirrorPath::most_order);
  std::vector<int> complete_order(sources, requested);
  if (lattice) {
    const LatticeBox box = lattice_box(cabin_);
    parallel_for(
        sources * ears,
        [&](std::size_t pair) {
          const std::size_t s = pair / ears, e = pair % ears;
          PathSum sum(medium, question.sources[s], spheres[s].get(), pattern_of(question, e));
          for_each_lattice_path(box, question.sources[s], question.ears[e], order_,
                                [&](const Path& path) { sum.add(path); });
          store(answer, s, e, sum);
        },
        progress);
  } else {
    const MirrorSearch search(cabin_, requested, true, most_images_);
    parallel_for(
        sources,
        [&](std::size_t s) {
          const Source& source = question.sources[s];
          std::vector<PathSum> sums;
          for (std::size_t e = 0; e < ears; ++e)
            sums.emplace_back(medium, source, spheres[s].get(), pattern_of(question, e));
          const MirrorSearchCount count = for_each_cabin_path(
              cabin_, search, paths_, source, question.ears,
              [&](std::size_t ear, const CabinPath& found) { sums[ear].add(found.path); });
          complete_order[s] = count.order;
          for (std::size_t e = 0; e < ears; ++e) store(answer, s, e, sums[e]);
        },
        progress);
  }

  warn_of_omitted(question, complete_order, requested, most_images_, answer.warnings);
  int whole_order = requested;
  for (int order : complete_order) whole_order = std::min(whole_order, order);

  // Step 3: estimate the level of the omitted orders at mid frequencies, with the mean absorption of all
  // surfaces.
  const std::vector<double> probe_hz{500, 1000, 2000};
  const std::vector<double> area = cabin_.exposed_area_m2(static_cast<int>(materials_.size()));
  double surface = 0, absorbed = 0;
  for (std::size_t m = 0; m < materials_.size(); ++m) {
    surface += area[m];
    for (const Complex& beta : specific_admittance(materials_[m], air_, probe_hz))
      if (beta.real() > 0)
        absorbed +=
            area[m] * random_incidence_absorption((1.0 / beta).real()) / static_cast<double>(probe_hz.size());
  }
  const double late_db =
      absorbed > 0 ? missing_late_level_db(std::min(1.0, absorbed / surface), surface, whole_order, 1.0) : 0;
  if (absorbed <= 0)
    answer.warnings.push_back(
        "no surface absorbs: each further reflection order would add level without end");
  else if (late_db > 1)
    answer.warnings.push_back(fmt::format(
        "reflections beyond order {} are omitted: in a diffuse field they would add about {:.1f} dB "
        "between 500 Hz and 2 kHz",
        whole_order, late_db));
  return answer;
}

FieldAnswer FreeField::solve(const FieldQuestion& question, const Progress& progress) const {
  const std::size_t ears = question.ears.size();
  FieldAnswer answer;
  answer.transfer_pa_s_m3 = Table<Complex, 3>({question.sources.size(), ears, question.frequency_hz.size()});
  const PathMedium medium(air_, question.frequency_hz, {});
  parallel_for(
      question.sources.size(),
      [&](std::size_t s) {
        const Source& source = question.sources[s];
        const auto sphere = pod_directivity(source, medium.wavenumber_per_m());
        for (std::size_t e = 0; e < ears; ++e) {
          PathSum sum(medium, source, sphere.get(), pattern_of(question, e));
          Path path;
          const Vector3 straight = question.ears[e] - source.position;
          path.length_m = straight.norm();
          path.arrival = -straight / path.length_m;
          set_departure(path, source, straight / path.length_m);
          sum.add(path);
          store(answer, s, e, sum);
        }
      },
      progress);
  return answer;
}

}  // namespace cabinfield
