#include "support/solved_box.h"

#include "base/constants.h"

namespace cabinfield::test {
namespace {

std::vector<PointValue> values(const FiniteElementSpace& space, const std::vector<Vector3>& points) {
  std::vector<PointValue> result;
  for (const Vector3& point : points) result.push_back(space.at(point));
  return result;
}

Complex flow_to_pressure(double frequency_hz, const Air& air) {
  return {0, 2 * pi * frequency_hz * air.density_kg_m3};
}

}  // namespace

SolvedBox::SolvedBox(Cabin box, const BoxMeshOptions& options, WaveMedium stuff,
                     const std::vector<Vector3>& at)
    : cabin(std::move(box)),
      space(box_mesh(cabin, options)),
      matrices(space, cabin),
      medium(std::move(stuff)),
      ear_positions(at),
      ears(values(space, at)),
      reducer(matrices, cabin, ears) {}

Complex SolvedBox::in_full(const Vector3& source, double frequency_hz, Eigen::Index ear) const {
  const Eigen::MatrixXcd field = reducer.solve_in_full(medium, {frequency_hz}).front();
  const PointValue value = space.at(source);
  Complex sum = 0;
  for (int i = 0; i < 10; ++i) sum += value.weight[i] * field(value.degree_of_freedom[i], ear);
  return flow_to_pressure(frequency_hz, medium.air) * sum;
}

Complex SolvedBox::reduced(const ReducedOrderModel& basis_vectors, const Vector3& source, double frequency_hz,
                           Eigen::Index ear) const {
  const auto field =
      basis_vectors.solve(matrices.terms(), medium.properties(matrices, cabin, {frequency_hz}),
                          {2 * pi * frequency_hz / medium.air.sound_speed_m_s}, basis_vectors.ear);
  const Eigen::VectorXcd place = basis_vectors.coordinates(space.at(source)).cast<Complex>();
  return flow_to_pressure(frequency_hz, medium.air) * place.cwiseProduct(field[0].col(ear)).sum();
}

WaveField SolvedBox::field(double top_hz) const {
  WaveCabin solved;
  solved.space = std::make_shared<FiniteElementSpace>(space);
  solved.matrices = std::make_shared<WaveMatrices>(matrices);
  solved.ears = ear_positions;
  ReductionOptions reduction;
  reduction.top_hz = top_hz;
  solved.reduced = reducer.reduce(medium, reduction);
  WaveOptions options;
  options.top_hz = top_hz;
  return {cabin, medium, solved, options};
}

}  // namespace cabinfield::test
