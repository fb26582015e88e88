#include "support/reduction_miss.h"

#include <algorithm>
#include <cmath>

#include "base/constants.h"

namespace cabinfield::test {
namespace {

/// Pressure of each source at each ear, solved in full. [D,N,F]
Table<Complex, 3> in_full(const WaveField& field, const Cabin& cabin, const std::vector<Source>& sources,
                          const std::vector<Vector3>& ears, const std::vector<double>& frequency_hz) {
  const WaveCabin& solved = field.solved();
  const Air& air = field.medium().air;
  std::vector<PointValue> heard, place;
  for (const Vector3& ear : ears) heard.push_back(solved.space->at(ear));
  for (const Source& source : sources)
    place.push_back(solved.space->at(source.position, source.face >= 0 ? source.axis : Vector3::Zero()));
  const ModelReducer reducer(*solved.matrices, cabin, heard);
  Table<Complex, 3> pressure({sources.size(), ears.size(), frequency_hz.size()});
  // Whole fields are large: some at a time.
  constexpr std::size_t at_once = 25;
  for (std::size_t from = 0; from < frequency_hz.size(); from += at_once) {
    const std::size_t to = std::min(from + at_once, frequency_hz.size());
    const auto fields = reducer.solve_in_full(
        field.medium(), std::vector<double>(frequency_hz.begin() + static_cast<std::ptrdiff_t>(from),
                                            frequency_hz.begin() + static_cast<std::ptrdiff_t>(to)));
    for (std::size_t f = from; f < to; ++f)
      for (std::size_t d = 0; d < sources.size(); ++d)
        for (std::size_t n = 0; n < ears.size(); ++n) {
          Complex sum = 0;
          for (int i = 0; i < 10; ++i)
            sum += place[d].weight[i] *
                   fields[f - from](place[d].degree_of_freedom[i], static_cast<Eigen::Index>(n));
          const double omega = 2 * pi * frequency_hz[f];
          pressure(d, n, f) = Complex(0, omega * air.density_kg_m3) * sum *
                              std::polar(1.0, -omega / air.sound_speed_m_s * sources[d].setback_m);
        }
  }
  return pressure;
}

}  // namespace

ReductionMiss reduction_miss(const WaveField& field, const Cabin& cabin, const std::vector<Source>& sources,
                             const std::vector<Vector3>& ears, const std::vector<double>& frequency_hz) {
  const Table<Complex, 3> full = in_full(field, cabin, sources, ears, frequency_hz);
  FieldQuestion question;
  question.sources = sources;
  question.ears = ears;
  question.frequency_hz = frequency_hz;
  const Table<Complex, 3> reduced = field.solve(question).transfer_pa_s_m3;
  ReductionMiss miss;
  miss.basis_vectors = static_cast<int>(field.solved().reduced.basis.cols());
  miss.degrees_of_freedom = field.solved().space->degrees_of_freedom();
  const double sixth = std::pow(2, 1 / 6.0);
  for (std::size_t d = 0; d < sources.size(); ++d)
    for (std::size_t n = 0; n < ears.size(); ++n)
      for (std::size_t f = 0; f < frequency_hz.size(); ++f) {
        double square = 0;
        int count = 0;
        for (std::size_t g = 0; g < frequency_hz.size(); ++g)
          if (frequency_hz[g] < frequency_hz[f] * sixth && frequency_hz[g] * sixth > frequency_hz[f]) {
            square += std::norm(full(d, n, g));
            ++count;
          }
        const double of = std::abs(reduced(d, n, f) - full(d, n, f)) /
                          std::max(std::abs(full(d, n, f)), std::sqrt(square / count));
        if (of > miss.worst) {
          miss.worst = of;
          miss.frequency_hz = frequency_hz[f];
          miss.source = d;
          miss.ear = n;
        }
      }
  return miss;
}

std::vector<double> frequencies_up_to(double top_hz, int count) {
  std::vector<double> list;
  for (int i = 0; i < count; ++i) list.push_back(10 * std::pow(top_hz / 10, i / (count - 1.0)));
  return list;
}

}  // namespace cabinfield::test
