#include "field/wave/wave_field.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <set>

#include "base/constants.h"
#include "base/wavenumber.h"
#include "field/wave/reciprocal_solutions.h"

namespace cabinfield {
namespace {

/// The mesh-size rule of wave_field.h.
MeshOptions mesh_options(const WaveOptions& options, const Air& air) {
  MeshOptions mesh;
  mesh.size_m = std::min(0.25, air.sound_speed_m_s / (7 * options.top_hz)) / options.refinement;
  mesh.edge_size_m = 0.8 * mesh.size_m;
  return mesh;
}

/// The memory of a factorisation grows with the power 4/3 of the degrees of freedom (nested dissection in
/// three dimensions: George & Liu, Computer Solution of Large Sparse Positive Definite Systems, from memory);
/// 22,932 took 50 MB (complex, measured). The basis and the modes need about as much again each.
double expected_memory_gb(double degrees_of_freedom) {
  const double factor_gb = 0.05 * std::pow(degrees_of_freedom / 22932, 4.0 / 3);
  return 6 * factor_gb + degrees_of_freedom * 300 * 8 * 4 / 1e9 + 0.1;
}

std::vector<bool> passing(const WaveMedium& medium) {
  std::vector<bool> passes;
  for (const TransferImpedance& transfer_impedance : medium.transfer_impedances)
    passes.push_back(!transfer_impedance.rigid());
  return passes;
}

std::vector<PointValue> values_at(const FiniteElementSpace& space, const std::vector<Vector3>& points) {
  std::vector<PointValue> values;
  for (const Vector3& point : points) values.push_back(space.at(point));
  return values;
}

/// A few points, far from each other, in each part of the cabin that partitions separate from every ear.
std::vector<PointValue> points_beyond(const FiniteElementSpace& space, const std::vector<Vector3>& ears) {
  constexpr int points_a_part = 4;
  // Collect the centroids of the tetrahedra of each such part.
  const std::vector<int> part = space.components({});
  std::set<int> heard;
  for (const Vector3& ear : ears) heard.insert(part[space.at(ear).tetrahedron]);
  std::map<int, std::vector<Vector3>> middles;
  for (std::size_t t = 0; t < part.size(); ++t) {
    if (heard.contains(part[t])) continue;
    Vector3 sum = Vector3::Zero();
    for (int node : space.mesh().tetrahedron[t]) sum += 0.25 * space.mesh().node[node];
    middles[part[t]].push_back(sum);
  }
  // Choose points one by one: always the centroid farthest from the mean and from all chosen before.
  std::vector<PointValue> beyond;
  for (const auto& [number, centroids] : middles) {
    Vector3 mean = Vector3::Zero();
    for (const Vector3& point : centroids) mean += point / static_cast<double>(centroids.size());
    std::vector<Vector3> chosen{mean};
    for (int n = 0; n < points_a_part; ++n) {
      auto nearest_m = [&](const Vector3& point) {
        double nearest = 1e9;
        for (const Vector3& other : chosen) nearest = std::min(nearest, (point - other).norm());
        return nearest;
      };
      chosen.push_back(
          *std::max_element(centroids.begin(), centroids.end(),
                            [&](const Vector3& a, const Vector3& b) { return nearest_m(a) < nearest_m(b); }));
      beyond.push_back(space.at(chosen.back()));
    }
  }
  return beyond;
}

}  // namespace

WaveCabin regrouped(WaveCabin solved, const Cabin& cabin) {
  auto matrices = std::make_shared<WaveMatrices>(*solved.space, cabin);
  const auto &before = solved.matrices->terms(), &now = matrices->terms();
  std::vector<Eigen::MatrixXd> projected(now.size());
  parallel_for(now.size(), [&](std::size_t t) {
    const auto same = std::find_if(before.begin(), before.end(), [&](const OperatorTerm& term) {
      return term.kind == now[t].kind && term.nonzero == now[t].nonzero && term.value == now[t].value;
    });
    projected[t] = same == before.end() ? projected_term(*matrices, now[t], solved.reduced.basis)
                                        : solved.reduced.projected[same - before.begin()];
  });
  solved.reduced.projected = std::move(projected);
  solved.matrices = std::move(matrices);
  return solved;
}

Vector3 long_wave_ear(const FieldQuestion& question, std::size_t ear) {
  const bool bare = question.patterns.empty() || !question.patterns[ear];
  return bare ? question.ears[ear] : Vector3(question.ears[ear] + question.patterns[ear]->long_wave_offset());
}

double WaveField::expected_degrees_of_freedom(double volume_m3, const WaveOptions& options, const Air& air) {
  // A tetrahedron of edge h fills about h^3/8 and adds 1.5 degrees of freedom; half as many again for the
  // refinement at protruding edges.
  const double size_m = mesh_options(options, air).size_m;
  return 1.5 * 1.5 * 8 * volume_m3 / (size_m * size_m * size_m);
}

WaveField::WaveField(const Cabin& cabin, WaveMedium medium, std::vector<Vector3> ears,
                     const WaveOptions& options, const Progress& progress)
    : cabin_(cabin), medium_(std::move(medium)) {
  const double degrees_of_freedom = expected_degrees_of_freedom(cabin.air_volume_m3(), options, medium_.air);
  const double memory_gb = expected_memory_gb(degrees_of_freedom);
  if (memory_gb > options.memory_gb) {
    double lower_hz = options.top_hz;
    while (lower_hz > 20) {
      WaveOptions lower = options;
      lower.top_hz = lower_hz *= 0.95;
      if (expected_memory_gb(expected_degrees_of_freedom(cabin.air_volume_m3(), lower, medium_.air)) <=
          options.memory_gb)
        break;
    }
    throw TooLarge(fmt::format(
        "the wave field up to {:.0f} Hz in {:.1f} m3 of air needs about {:.1f} GB of memory, {:.1f} GB are "
        "allowed: lower it to {:.0f} Hz",
        options.top_hz, cabin.air_volume_m3(), memory_gb, options.memory_gb, std::floor(lower_hz / 10) * 10));
  }
  auto report = [&](double done) {
    if (progress) progress(done);
  };
  solved_.ears = std::move(ears);
  solved_.space = std::make_shared<FiniteElementSpace>(mesh_cabin(cabin, mesh_options(options, medium_.air)));
  report(0.3);
  solved_.matrices = std::make_shared<WaveMatrices>(*solved_.space, cabin);
  const ModelReducer reducer(*solved_.matrices, cabin, values_at(*solved_.space, solved_.ears),
                             points_beyond(*solved_.space, solved_.ears));
  ReductionOptions reduction;
  reduction.top_hz = options.top_hz;
  solved_.reduced = reducer.reduce(medium_, reduction, [&](double done) { report(0.3 + 0.7 * done); });
  components_ = solved_.space->components(passing(medium_));
}

WaveField::WaveField(const Cabin& cabin, WaveMedium medium, WaveCabin solved, const WaveOptions& options)
    : cabin_(cabin), medium_(std::move(medium)), solved_(std::move(solved)) {
  components_ = solved_.space->components(passing(medium_));
  if (!options.enrich) return;
  const ModelReducer reducer(*solved_.matrices, cabin, values_at(*solved_.space, solved_.ears),
                             points_beyond(*solved_.space, solved_.ears));
  ReductionOptions reduction;
  reduction.top_hz = options.top_hz;
  basis_sufficed_ = reducer.extend_basis(solved_.reduced, medium_, reduction);
}

PointValue WaveField::value_at(const Source& source) const {
  return solved_.space->at(source.position, source.face >= 0 ? source.axis : Vector3::Zero());
}

Eigen::VectorXd WaveField::ear_coordinates(const Vector3& ear) const {
  double nearest_m = std::numeric_limits<double>::infinity();
  for (std::size_t e = 0; e < solved_.ears.size(); ++e) {
    const double distance_m = (solved_.ears[e] - ear).norm();
    if (distance_m < 1e-6) return solved_.reduced.ear.col(static_cast<Eigen::Index>(e));
    nearest_m = std::min(nearest_m, distance_m);
  }
  if (nearest_m <= ears_reach_m) return solved_.reduced.coordinates(solved_.space->at(ear));
  throw std::invalid_argument("the wave field was not solved for this ear");
}

std::vector<Eigen::MatrixXcd> WaveField::reciprocal_coordinates(
    const std::vector<Vector3>& ears, const std::vector<double>& frequency_hz) const {
  const ReducedOrderModel& reduced = solved_.reduced;
  const std::vector<double> wavenumbers = wavenumbers_at(frequency_hz, medium_.air.sound_speed_m_s);
  Eigen::MatrixXd ear(reduced.basis.cols(), static_cast<Eigen::Index>(ears.size()));
  for (std::size_t n = 0; n < ears.size(); ++n)
    ear.col(static_cast<Eigen::Index>(n)) = ear_coordinates(ears[n]);
  return reduced.solve(solved_.matrices->terms(), medium_.properties(*solved_.matrices, cabin_, frequency_hz),
                       wavenumbers, ear);
}

Eigen::VectorXd WaveField::basis_at(const Source& source) const {
  const PointValue value = value_at(source);
  if (value.outside_m > 0.05)
    throw std::invalid_argument(
        fmt::format("{} is {:.0f} mm outside the air of the wave field, 50 mm at most", source.name,
                    1000 * value.outside_m));
  return solved_.reduced.coordinates(value);
}

FieldAnswer WaveField::solve(const FieldQuestion& question, const Progress&) const {
  std::vector<Vector3> ears;
  for (std::size_t n = 0; n < question.ears.size(); ++n) ears.push_back(long_wave_ear(question, n));
  FieldAnswer answer;
  answer.transfer_pa_s_m3 =
      ReciprocalSolutions(*this, ears, question.frequency_hz).transfer(question.sources);
  return answer;
}

std::vector<CabinMode> WaveField::modes(double top_hz) const {
  return cabin_modes(solved_.reduced, *solved_.space, *solved_.matrices, cabin_, medium_, top_hz);
}

bool WaveField::reaches(const Source& source, const Vector3& ear) const {
  return components_[value_at(source).tetrahedron] == components_[solved_.space->at(ear).tetrahedron];
}

BasisMatrix WaveField::basis_at(const std::vector<PointValue>& points) const {
  BasisMatrix values(static_cast<Eigen::Index>(points.size()), solved_.reduced.basis.cols());
  for (std::size_t p = 0; p < points.size(); ++p)
    values.row(static_cast<Eigen::Index>(p)) = solved_.reduced.coordinates(points[p]).transpose();
  return values;
}

Eigen::MatrixXcd WaveField::transfer_to(const BasisMatrix& points, const std::vector<Source>& sources,
                                        double frequency_hz) const {
  const ReducedOrderModel& reduced = solved_.reduced;
  const double k = wavenumber_at(frequency_hz, medium_.air.sound_speed_m_s);
  Eigen::MatrixXd right(reduced.basis.cols(), static_cast<Eigen::Index>(sources.size()));
  for (std::size_t d = 0; d < sources.size(); ++d)
    right.col(static_cast<Eigen::Index>(d)) = reduced.coordinates(value_at(sources[d]));
  const Eigen::MatrixXcd field =
      reduced
          .solve(solved_.matrices->terms(), medium_.properties(*solved_.matrices, cabin_, {frequency_hz}),
                 {k}, right)
          .front();
  Eigen::MatrixXcd pressure(points.rows(), field.cols());
  pressure.real() = points * field.real();
  pressure.imag() = points * field.imag();
  for (std::size_t d = 0; d < sources.size(); ++d)
    pressure.col(static_cast<Eigen::Index>(d)) *=
        Complex(0, 2 * pi * frequency_hz * medium_.air.density_kg_m3) *
        std::polar(1.0, -k * sources[d].setback_m);
  return pressure;
}

}  // namespace cabinfield
