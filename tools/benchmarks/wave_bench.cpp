// The wave field: from the mesh to transfer functions, against direct solves of the same matrices, and what
// another place or another material costs then. Prints one JSON object.
//
//   cabinfield_wave_bench [FOLDER]    also writes K.mtx, M.mtx, C.mtx of the hatchback there (MatrixMarket)
#include <cblas.h>
#include <fmt/format.h>
#include <omp.h>
#include <sys/resource.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <fstream>
#include <random>
#include <string>

#include "base/constants.h"
#include "field/wave/ear_fields.h"
#include "field/wave/mesher.h"
#include "field/wave/wave_field.h"
#include "input/scene_file.h"

namespace {

using namespace cabinfield;

constexpr std::size_t frequencies = 200;
constexpr double top_hz = 400;

double seconds() {
  return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count();
}

/// Least of some runs: what the work takes where nothing else disturbs it.
template <typename Work>
double least_s(int runs, const Work& work) {
  double least = 1e9;
  for (int run = 0; run < runs; ++run) {
    const double start = seconds();
    work();
    least = std::min(least, seconds() - start);
  }
  return least;
}

std::vector<double> asked_hz() {
  std::vector<double> hz;
  for (std::size_t i = 0; i < frequencies; ++i)
    hz.push_back(10 * std::pow(top_hz / 10, double(i) / (frequencies - 1)));
  return hz;
}

struct Case {
  Scene scene;
  WaveMedium medium;
  FieldQuestion question;

  explicit Case(const std::string& name) {
    const auto file = read_scene_file(std::string(CABINFIELD_SOURCE_DIR "/scenes/") + name + ".yaml");
    scene = *file.scene;
    const CabinState& state = scene.states.front();
    medium = {scene.air, scene.materials, scene.fillings, state.passages, {}};
    for (const CabinLeak& leak : state.leaks) medium.leaks.push_back({leak.leak, leak.surface});
    for (const Seat& seat : scene.seats)
      question.ears.insert(question.ears.end(), seat.ear.begin(), seat.ear.end());
    for (std::size_t d = 0; d < scene.drivers.size(); ++d)
      question.sources.push_back(source_in(scene, static_cast<int>(d), 0));
    question.frequency_hz = asked_hz();
  }
  const Cabin& cabin() const { return *scene.states.front().cabin; }
};

double peak_memory_gb() {
  rusage own{}, children{};
  getrusage(RUSAGE_SELF, &own);
  getrusage(RUSAGE_CHILDREN, &children);
  return static_cast<double>(own.ru_maxrss + children.ru_maxrss) / 1e6;
}

void matrix_market(const std::string& path, const WaveMatrices& matrices,
                   const std::vector<Complex>& values) {
  std::ofstream out(path);
  out << "%%MatrixMarket matrix coordinate complex symmetric\n"
      << matrices.unknowns() << ' ' << matrices.unknowns() << ' ' << values.size() << '\n';
  out.precision(17);
  for (std::size_t e = 0; e < values.size(); ++e)
    out << matrices.row()[e] + 1 << ' ' << matrices.column()[e] + 1 << ' ' << values[e].real() << ' '
        << values[e].imag() << '\n';
}

/// K + j omega C - omega^2 M with the materials of one frequency held.
void write_matrices(const std::string& folder, const Case& of, const WaveMatrices& matrices) {
  const Table<Complex, 2> property = of.medium.properties(matrices, of.cabin(), {200.0});
  const double c = of.scene.air.sound_speed_m_s;
  const std::pair<const char*, WaveTerm::Kind> files[] = {
      {"K", WaveTerm::Kind::stiffness}, {"M", WaveTerm::Kind::mass}, {"C", WaveTerm::Kind::wall}};
  for (const auto& [name, kind] : files) {
    std::vector<Complex> weight;
    for (std::size_t t = 0; t < matrices.terms().size(); ++t) {
      const WaveTerm::Kind own = matrices.terms()[t].kind;
      const bool counts = own == kind || (own == WaveTerm::Kind::sheet && kind == WaveTerm::Kind::wall);
      weight.push_back(counts ? property(t, 0) / (*name == 'K' ? 1 : *name == 'M' ? c * c : c) : Complex(0));
    }
    matrix_market(folder + "/" + name + ".mtx", matrices, matrices.weighed(std::span<const Complex>(weight)));
  }
}

struct Row {
  std::string text = "{";
  void add(const std::string& name, double value) {
    text += fmt::format("{}\"{}\": {:.6g}", text.size() > 1 ? ", " : "", name, value);
  }
  std::string done() const { return text + "}"; }
};

std::string whole_cabin(const std::string& name, const std::string& folder) {
  const Case of(name);
  WaveWish wish;
  wish.top_hz = top_hz;
  Row row;
  std::unique_ptr<WaveField> field;
  FieldAnswer answer;
  const double start = seconds();
  field = std::make_unique<WaveField>(of.cabin(), of.medium, of.question.ears, wish);
  const double solved = seconds();
  answer = field->solve(of.question);
  const double end = seconds();
  row.add("mesh_to_transfer_s", end - start);
  row.add("frequencies_s", end - solved);
  row.add("memory_gb", peak_memory_gb());
  row.add("unknowns", field->solved().space->unknowns());
  row.add("columns", static_cast<double>(field->solved().reduced.basis.cols()));
  row.add("shifts", static_cast<double>(field->solved().reduced.shift_hz.size()));
  row.add("estimated_error", field->solved().reduced.estimate.error);

  MeshWish mesh;
  mesh.size_m = of.scene.air.sound_speed_m_s / (7 * top_hz);
  mesh.edge_size_m = 0.8 * mesh.size_m;
  row.add("mesh_s", least_s(1, [&] { mesh_cabin(of.cabin(), mesh); }));
  row.add("modes_in_words_s", least_s(1, [&] { field->modes(250); }));

  // Direct: factored anew at every frequency, all ears at once; as many as tell the mean, evenly spread.
  const WaveMatrices& matrices = *field->solved().matrices;
  std::vector<PointValue> ears;
  for (const Vector3& ear : of.question.ears) ears.push_back(field->solved().space->at(ear));
  const CabinReducer reducer(matrices, of.cabin(), ears);
  constexpr std::size_t sample = 20;
  std::vector<double> sample_hz;
  for (std::size_t i = 0; i < sample; ++i) sample_hz.push_back(of.question.frequency_hz[i * 10 + 5]);
  std::vector<Eigen::MatrixXcd> direct;
  const double direct_s = least_s(1, [&] { direct = reducer.solve_in_full(of.medium, sample_hz); });
  row.add("direct_s_of_200", direct_s / sample * frequencies);
  row.add("direct_over_reduced", direct_s / sample * frequencies / (end - start));

  // What the columns miss at these frequencies: of the larger of the pressure and its third-octave RMS, at
  // every ear, of the scene's drivers and of places at random, none of which the columns know of.
  double worst = 0;
  for (std::size_t d = 0; d < of.question.sources.size(); ++d) {
    const Source& source = of.question.sources[d];
    const PointValue place =
        field->solved().space->at(source.position, source.face >= 0 ? source.axis : Vector3::Zero());
    for (std::size_t n = 0; n < of.question.ears.size(); ++n) {
      const Complex* row_of = answer.transfer_pa_s_m3.row(d, n);
      for (std::size_t i = 0; i < sample; ++i) {
        const std::size_t f = i * 10 + 5;
        Complex exact = 0;
        for (int corner = 0; corner < 10; ++corner)
          exact += place.weight[corner] * direct[i](place.unknown[corner], static_cast<Eigen::Index>(n));
        const double omega = 2 * pi * sample_hz[i];
        exact *= Complex(0, omega * of.scene.air.density_kg_m3) *
                 std::polar(1.0, -omega / of.scene.air.sound_speed_m_s * source.setback_m);
        double squares = 0;
        int count = 0;
        for (std::size_t g = 0; g < frequencies; ++g)
          if (std::abs(std::log2(of.question.frequency_hz[g] / sample_hz[i])) <= 1.0 / 6) {
            squares += std::norm(row_of[g]);
            ++count;
          }
        worst = std::max(worst,
                         std::abs(row_of[f] - exact) / std::max(std::abs(exact), std::sqrt(squares / count)));
      }
    }
  }
  row.add("worst_error_at_20_frequencies", worst);

  // One more place, and ten thousand of them, once the fields of the ears are there.
  const EarFields ear_fields(*field, of.question.ears, of.question.frequency_hz);
  const Source one = of.question.sources.front();
  row.add("one_more_place_us", 1e6 * least_s(200, [&] { ear_fields.transfer({one}); }));
  std::mt19937 random(7);
  std::vector<Source> many;
  const auto& corners = field->solved().space->position();
  while (many.size() < 10000) {
    Source source;
    source.name = "place";
    source.position = corners[random() % corners.size()];
    many.push_back(source);
  }
  const double many_s = least_s(2, [&] { ear_fields.transfer(many); });
  row.add("ten_thousand_places_s", many_s);
  row.add("us_a_place_of_many", many_s * 100);
  const double flops =
      2.0 * 1e4 * static_cast<double>(ear_fields.columns() * 2 * of.question.ears.size() * frequencies);
  Eigen::MatrixXd a = Eigen::MatrixXd::Random(1500, 1500), b = a, c = a;
  openblas_set_num_threads(omp_get_num_procs());
  const double peak_s = least_s(3, [&] {
    cblas_dgemm(CblasColMajor, CblasNoTrans, CblasNoTrans, 1500, 1500, 1500, 1, a.data(), 1500, b.data(),
                1500, 0, c.data(), 1500);
  });
  openblas_set_num_threads(1);
  row.add("share_of_matrix_multiply_peak", flops / many_s / (2 * 1500.0 * 1500 * 1500 / peak_s));

  // Another material where the columns hold: the first one that is not rigid is softened by a tenth.
  WaveMedium other = of.medium;
  for (Material& material : other.materials)
    if (material.specific_impedance) {
      *material.specific_impedance *= 0.9;
      break;
    }
  std::unique_ptr<WaveField> again;
  row.add("other_material_s",
          least_s(3, [&] { again = std::make_unique<WaveField>(of.cabin(), other, field->solved(), wish); }));
  row.add("columns_held", again->columns_held() ? 1 : 0);
  if (!folder.empty()) write_matrices(folder, of, matrices);
  return row.done();
}

/// Seconds for an empty box with glass walls: how the cost grows.
std::string grown(double volume_m3, double to_hz) {
  const Case hatchback("hatchback");
  const double scale = std::cbrt(volume_m3 / (2.0 * 1.4 * 1.1));
  CabinShape shape = box_shape({2.0 * scale, 1.4 * scale, 1.1 * scale}, {1, 1, 1, 1, 1, 1});
  std::vector<ShapeProblem> problems;
  const Cabin cabin = Cabin::build(std::move(shape), problems);
  WaveMedium medium;
  medium.air = hatchback.scene.air;
  medium.materials.resize(2);
  medium.materials[1].specific_impedance = 30;
  std::vector<Vector3> ears;
  for (double y : {-0.4, -0.2, 0.2, 0.4}) ears.push_back(scale * Vector3(1.2, y, 0.8));
  WaveWish wish;
  wish.top_hz = to_hz;
  Row row;
  std::unique_ptr<WaveField> field;
  row.add("volume_m3", volume_m3);
  row.add("top_hz", to_hz);
  row.add("seconds", least_s(1, [&] { field = std::make_unique<WaveField>(cabin, medium, ears, wish); }));
  row.add("unknowns", field->solved().space->unknowns());
  row.add("columns", static_cast<double>(field->solved().reduced.basis.cols()));
  return row.done();
}

}  // namespace

int main(int count, char** words) {
  omp_set_num_threads(omp_get_num_procs());
  const std::string folder = count > 1 ? words[1] : "";
  fmt::print("{{\n \"hatchback\": {},\n", whole_cabin("hatchback", folder));
  fmt::print(" \"people_carrier\": {},\n", whole_cabin("people_carrier", ""));
  fmt::print(" \"saloon\": {},\n", whole_cabin("saloon", ""));
  fmt::print(" \"growth\": [\n");
  const std::pair<double, double> cases[] = {{1.5, 400}, {3, 400}, {6, 400}, {3, 200}, {3, 283}, {3, 566}};
  for (std::size_t i = 0; i < std::size(cases); ++i)
    fmt::print("  {}{}\n", grown(cases[i].first, cases[i].second), i + 1 < std::size(cases) ? "," : "");
  fmt::print(" ]\n}}\n");
}
