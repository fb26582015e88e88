// The wave field: from the mesh to transfer functions, compared with direct solves of the same matrices, and
// the cost of another position or another material. Prints one JSON object. Run one process per scene, so
// that the peak memory is that of the scene.
//
//   cabinfield_wave_bench NAME [FOLDER]    a scene; K.mtx, M.mtx, C.mtx of it go to FOLDER (MatrixMarket)
//   cabinfield_wave_bench growth           boxes of several volumes, up to several frequencies
#include <cblas.h>
#include <fmt/format.h>
#include <omp.h>
#include <sys/resource.h>

#include <cmath>
#include <map>
#include <memory>
#include <string>

#include "base/constants.h"
#include "base/kept_memory.h"
#include "base/process_for.h"
#include "field/wave/reciprocal_solutions.h"
#include "field/wave/wave_field.h"
#include "wave_case.h"

namespace {

using namespace cabinfield;
using namespace cabinfield::bench;

/// Peak memory of this process plus that of its largest child, the only other process on two cores; shared
/// memory counts twice.
double peak_memory_gb() {
  rusage own{}, children{};
  getrusage(RUSAGE_SELF, &own);
  getrusage(RUSAGE_CHILDREN, &children);
  return static_cast<double>(own.ru_maxrss + children.ru_maxrss) / 1e6;
}

struct Row {
  std::string text = "{";
  void add(const std::string& name, double value) {
    text += fmt::format("{}\"{}\": {:.6g}", text.size() > 1 ? ", " : "", name, value);
  }
  std::string done() const { return text + "}"; }
};

struct Solved {
  std::unique_ptr<WaveField> field;
  double seconds = 0;          ///< from the mesh to transfer functions
  double solving_seconds = 0;  ///< of these, the part that replaces direct solves: without mesh and matrices
};

WaveOptions usual_options() {
  WaveOptions options;
  options.top_hz = top_hz;
  return options;
}

/// From the mesh to transfer functions, and its parts.
Solved solve(const WaveCase& of, Row& row) {
  Solved solved;
  double meshed = 0;
  const double start = seconds();
  solved.field = std::make_unique<WaveField>(of.cabin(), of.medium, of.question.ears, usual_options(),
                                             [&](double) { meshed = meshed == 0 ? seconds() : meshed; });
  const double reduced = seconds();
  solved.field->solve(of.question);
  const double end = seconds();
  solved.seconds = end - start;
  row.add("mesh_to_transfer_s", solved.seconds);
  row.add("memory_gb", peak_memory_gb());
  const WaveCabin& cabin = solved.field->solved();
  const double matrices_s = least_s(1, [&] { WaveMatrices(*cabin.space, of.cabin()); });
  row.add("mesh_s", meshed - start);
  row.add("matrices_s", matrices_s);
  row.add("reduction_s", reduced - meshed - matrices_s);
  solved.solving_seconds = end - meshed - matrices_s;
  row.add("frequencies_s", end - reduced);
  row.add("modes_in_words_s", least_s(1, [&] { solved.field->modes(250); }));
  row.add("unknowns", cabin.space->degrees_of_freedom());
  row.add("columns", static_cast<double>(cabin.reduced.basis.cols()));
  row.add("ears", static_cast<double>(of.question.ears.size()));
  row.add("shifts", static_cast<double>(cabin.reduced.shift_hz.size()));
  row.add("estimated_error", cabin.reduced.estimate.error);
  return solved;
}

/// Error of the reduced-order model at some frequencies solved in full, relative to the larger of the
/// pressure and its third-octave RMS, at every ear and every given frequency (indices). Direct: [frequencies]
/// of [degrees of freedom, ears].
double worst_error(const WaveCase& of, const FiniteElementSpace& space, const std::vector<Source>& sources,
                   const Table<Complex, 3>& answer, const std::vector<std::size_t>& asked,
                   const std::vector<Eigen::MatrixXcd>& direct) {
  const std::vector<double>& all_hz = of.question.frequency_hz;
  double worst = 0;
  for (std::size_t d = 0; d < sources.size(); ++d) {
    const Source& source = sources[d];
    const PointValue place = space.at(source.position, source.face >= 0 ? source.axis : Vector3::Zero());
    for (std::size_t n = 0; n < of.question.ears.size(); ++n)
      for (std::size_t i = 0; i < asked.size(); ++i) {
        const double hz = all_hz[asked[i]], omega = 2 * pi * hz;
        Complex exact = 0;
        for (int corner = 0; corner < 10; ++corner)
          exact +=
              place.weight[corner] * direct[i](place.degree_of_freedom[corner], static_cast<Eigen::Index>(n));
        exact *= Complex(0, omega * of.scene.air.density_kg_m3) *
                 std::polar(1.0, -omega / of.scene.air.sound_speed_m_s * source.setback_m);
        double squares = 0;
        int count = 0;
        for (std::size_t g = 0; g < all_hz.size(); ++g)
          if (std::abs(std::log2(all_hz[g] / hz)) <= 1.0 / 6) {
            squares += std::norm(answer(d, n, g));
            ++count;
          }
        worst = std::max(worst, std::abs(answer(d, n, asked[i]) - exact) /
                                    std::max(std::abs(exact), std::sqrt(squares / count)));
      }
  }
  return worst;
}

/// Direct: a factorisation at every frequency in double precision, all ears at once. The mean is measured at
/// a tenth of the frequencies, evenly spread; the ordering counts once.
void against_direct(const WaveCase& of, const Solved& solved, const ReciprocalSolutions& reciprocal_solutions,
                    Row& row) {
  const WaveCabin& cabin = solved.field->solved();
  std::vector<PointValue> ears;
  for (const Vector3& ear : of.question.ears) ears.push_back(cabin.space->at(ear));
  const ModelReducer reducer(*cabin.matrices, of.cabin(), ears);
  std::vector<std::size_t> asked;
  std::vector<double> asked_hz;
  for (std::size_t f = 5; f < frequencies; f += 10) {
    asked.push_back(f);
    asked_hz.push_back(of.question.frequency_hz[f]);
  }
  std::vector<Eigen::MatrixXcd> direct;
  /// Seconds for all frequencies with that many processes, extrapolated from part of a share; the first
  /// includes the ordering.
  auto all_s = [&](double first_s, double sample_s, std::size_t processes) {
    const double each_s = (sample_s - first_s) / (static_cast<double>(asked.size() / processes) - 1);
    return first_s + each_s * (static_cast<double>(frequencies) / static_cast<double>(processes) - 1);
  };
  const double first_s = least_s(1, [&] { reducer.solve_in_full(of.medium, {asked_hz.back()}); });
  const double sample_s = least_s(1, [&] { direct = reducer.solve_in_full(of.medium, asked_hz); });
  const double one_core_s = all_s(first_s, sample_s, 1);
  // On all cores: each process solves a share of the frequencies.
  const auto cores = static_cast<std::size_t>(omp_get_max_threads());
  auto shared_s = [&](std::size_t each) {
    return least_s(1, [&] {
      process_for(cores, [&](std::size_t share) {
        std::vector<double> own;
        for (std::size_t i = share; own.size() < each; i += cores) own.push_back(asked_hz[i]);
        reducer.solve_in_full(of.medium, own);
      });
    });
  };
  const double all_cores_s = all_s(shared_s(1), shared_s(asked.size() / cores), cores);
  row.add("direct_one_core_s_of_200", one_core_s);
  row.add("direct_s_of_200", all_cores_s);
  row.add("direct_one_core_over_reduced", one_core_s / solved.seconds);
  row.add("direct_over_reduced", all_cores_s / solved.seconds);
  // Direct solves need the mesh and the matrices too.
  row.add("direct_over_reduced_on_a_given_mesh", all_cores_s / solved.solving_seconds);

  // None of these is in the reduced basis.
  auto worst_of = [&](const std::vector<Source>& sources) {
    return worst_error(of, *cabin.space, sources, reciprocal_solutions.transfer(sources), asked, direct);
  };
  row.add("worst_error_of_drivers", worst_of(of.question.sources));
  row.add("worst_error_of_200_places", worst_of(places_in(*cabin.space, 200)));
}

/// One more position, and ten thousand of them, after the reciprocal solutions are computed.
void places(const WaveCase& of, const Solved& solved, const ReciprocalSolutions& reciprocal_solutions,
            Row& row) {
  constexpr std::size_t count = 10000, at_once = 250;
  const Source one = of.question.sources.front();
  row.add("one_more_place_us", 1e6 * least_s(500, [&] { reciprocal_solutions.transfer({one}); }));
  const std::vector<Source> many = places_in(*solved.field->solved().space, count);
  row.add("ten_thousand_places_s", least_s(3, [&] { reciprocal_solutions.transfer(many); }));
  // As in a study, which stores only part of the result.
  const double many_s = least_s(3, [&] {
    for (auto first = many.begin(); first != many.end(); first += at_once)
      reciprocal_solutions.transfer({first, first + at_once});
  });
  row.add("ten_thousand_places_by_250_s", many_s);
  const double operations =
      2.0 * count *
      static_cast<double>(reciprocal_solutions.basis_vectors() * 2 * of.question.ears.size() * frequencies);
  constexpr int size = 1000;
  const Eigen::MatrixXd a = Eigen::MatrixXd::Random(size, size), b = a;
  Eigen::MatrixXd c = a;
  openblas_set_num_threads(omp_get_max_threads());
  const double peak_s = least_s(10, [&] {
    cblas_dgemm(CblasColMajor, CblasNoTrans, CblasNoTrans, size, size, size, 1, a.data(), size, b.data(),
                size, 0, c.data(), size);
  });
  openblas_set_num_threads(1);
  const double peak_gflop_s = 2e-9 * size * size * size / peak_s;
  row.add("places_gflop_s", 1e-9 * operations / many_s);
  row.add("matrix_multiply_peak_gflop_s", peak_gflop_s);
  row.add("share_of_matrix_multiply_peak", 1e-9 * operations / many_s / peak_gflop_s);
}

/// Replaces the absorption table that covers most of the cabin by one that absorbs a third less.
void other_material(const WaveCase& of, const Solved& solved, Row& row) {
  const WaveCabin& cabin = solved.field->solved();
  std::map<int, double> area_m2;
  for (const WallGroup& wall : cabin.matrices->walls())
    if (const Material& material = of.medium.materials[wall.material];
        !material.absorption.empty() && !material.panel)
      area_m2[wall.material] += wall.area_m2;
  const auto most = std::max_element(area_m2.begin(), area_m2.end(),
                                     [](const auto& a, const auto& b) { return a.second < b.second; });
  WaveMedium other = of.medium;
  for (auto& [hz, absorption] : other.materials[most->first].absorption) absorption *= 2.0 / 3;
  std::unique_ptr<WaveField> again;
  row.add("other_material_area_m2", most->second);
  row.add("other_material_s", least_s(3, [&] {
            again = std::make_unique<WaveField>(of.cabin(), other, cabin, usual_options());
          }));
  row.add("other_material_frequencies_s", least_s(3, [&] { again->solve(of.question); }));
  row.add("other_material_columns_held", again->basis_sufficed() ? 1 : 0);
  row.add("other_material_estimated_error", again->solved().reduced.estimate.error);
  // Faces with other materials need the walls assembled again.
  row.add("walls_gathered_anew_s", least_s(2, [&] { regrouped(cabin, of.cabin()); }));
}

std::string whole_scene(const std::string& name, const std::string& folder) {
  const WaveCase of(name);
  Row row;
  const Solved solved = solve(of, row);
  const ReciprocalSolutions reciprocal_solutions(*solved.field, of.question.ears, of.question.frequency_hz);
  against_direct(of, solved, reciprocal_solutions, row);
  places(of, solved, reciprocal_solutions, row);
  other_material(of, solved, row);
  if (!folder.empty()) write_matrices(folder, of, *solved.field->solved().matrices);
  return row.done();
}

/// Seconds for an empty box with glass walls, to show how the cost grows.
std::string grown(double volume_m3, double to_hz) {
  const double scale = std::cbrt(volume_m3 / (2.0 * 1.4 * 1.1));
  CabinShape shape = box_shape({2.0 * scale, 1.4 * scale, 1.1 * scale}, {1, 1, 1, 1, 1, 1});
  std::vector<ShapeProblem> problems;
  const Cabin cabin = Cabin::build(std::move(shape), problems);
  WaveMedium medium;
  medium.air = air_at({});
  medium.materials.resize(2);
  medium.materials[1].specific_impedance = 30;
  std::vector<Vector3> ears;
  for (double y : {-0.4, -0.2, 0.2, 0.4}) ears.push_back(scale * Vector3(1.2, y, 0.8));
  WaveOptions options;
  options.top_hz = to_hz;
  Row row;
  std::unique_ptr<WaveField> field;
  row.add("volume_m3", volume_m3);
  row.add("top_hz", to_hz);
  row.add("seconds", least_s(2, [&] { field = std::make_unique<WaveField>(cabin, medium, ears, options); }));
  row.add("unknowns", field->solved().space->degrees_of_freedom());
  row.add("columns", static_cast<double>(field->solved().reduced.basis.cols()));
  return row.done();
}

}  // namespace

int main(int count, char** words) {
  keep_freed_memory();  // as the program does
  omp_set_num_threads(omp_get_num_procs());
  const std::string what = count > 1 ? words[1] : "hatchback";
  if (what != "growth") {
    fmt::print("{}\n", whole_scene(what, count > 2 ? words[2] : ""));
    return 0;
  }
  const std::pair<double, double> cases[] = {{1.5, 400}, {3, 400}, {6, 400}, {3, 200}, {3, 283}, {3, 566}};
  for (std::size_t i = 0; i < std::size(cases); ++i)
    fmt::print("{} {}", i == 0 ? "[" : ",\n", grown(cases[i].first, cases[i].second));
  fmt::print("]\n");
}
