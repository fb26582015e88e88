#include "wave_case.h"

#include <Eigen/Geometry>
#include <cmath>
#include <fstream>
#include <random>
#include <stdexcept>

#include "input/scene_file.h"

namespace cabinfield::bench {
namespace {

std::vector<double> asked_hz() {
  std::vector<double> hz;
  for (std::size_t i = 0; i < frequencies; ++i)
    hz.push_back(10 * std::pow(top_hz / 10, double(i) / (frequencies - 1)));
  return hz;
}

void matrix_market(const std::string& path, const WaveMatrices& matrices,
                   const std::vector<Complex>& values) {
  std::ofstream out(path);
  out << "%%MatrixMarket matrix coordinate complex symmetric\n"
      << matrices.degrees_of_freedom() << ' ' << matrices.degrees_of_freedom() << ' ' << values.size()
      << '\n';
  out.precision(17);
  for (std::size_t e = 0; e < values.size(); ++e)
    out << matrices.row()[e] + 1 << ' ' << matrices.column()[e] + 1 << ' ' << values[e].real() << ' '
        << values[e].imag() << '\n';
}

}  // namespace

WaveCase::WaveCase(const std::string& name) {
  const auto file = read_scene_file(std::string(CABINFIELD_SOURCE_DIR "/scenes/") + name + ".yaml");
  if (!file.scene) throw std::runtime_error("the scene " + name + " has faults");
  scene = *file.scene;
  const CabinState& state = scene.states.front();
  medium = {scene.air, scene.materials, scene.fillings, state.transfer_impedances, {}};
  for (const CabinLeak& leak : state.leaks) medium.leaks.push_back({leak.leak, leak.surface});
  for (const Seat& seat : scene.seats)
    question.ears.insert(question.ears.end(), seat.ear.begin(), seat.ear.end());
  for (std::size_t d = 0; d < scene.drivers.size(); ++d)
    question.sources.push_back(source_in(scene, static_cast<int>(d), 0));
  question.frequency_hz = asked_hz();
}

std::vector<Source> places_in(const FiniteElementSpace& space, std::size_t count) {
  Eigen::AlignedBox3d box;
  for (const Vector3& node : space.mesh().node) box.extend(node);
  std::mt19937 random(7);
  std::uniform_real_distribution<double> share(0, 1);
  std::vector<Source> places;
  while (places.size() < count) {
    Source place;
    place.name = "place";
    for (int axis = 0; axis < 3; ++axis)
      place.position[axis] = box.min()[axis] + share(random) * box.sizes()[axis];
    const PointValue at = space.at(place.position);
    if (at.outside_m == 0 && space.mesh().region[at.tetrahedron] == Mesh::air) places.push_back(place);
  }
  return places;
}

void write_matrices(const std::string& folder, const WaveCase& of, const WaveMatrices& matrices) {
  const Table<Complex, 2> property = of.medium.properties(matrices, of.cabin(), {200.0});
  const double c = of.scene.air.sound_speed_m_s;
  const std::pair<const char*, OperatorTerm::Kind> files[] = {
      {"K", OperatorTerm::Kind::stiffness}, {"M", OperatorTerm::Kind::mass}, {"C", OperatorTerm::Kind::wall}};
  for (const auto& [name, kind] : files) {
    std::vector<Complex> weight;
    for (std::size_t t = 0; t < matrices.terms().size(); ++t) {
      const OperatorTerm::Kind own = matrices.terms()[t].kind;
      const bool counts =
          own == kind || (own == OperatorTerm::Kind::sheet && kind == OperatorTerm::Kind::wall);
      weight.push_back(counts ? property(t, 0) / (*name == 'K' ? 1 : *name == 'M' ? c * c : c) : Complex(0));
    }
    matrix_market(folder + "/" + name + ".mtx", matrices, matrices.weighed(std::span<const Complex>(weight)));
  }
}

}  // namespace cabinfield::bench
