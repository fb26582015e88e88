#include "field/wave/reciprocal_solutions.h"

#include <cblas.h>

#include <algorithm>

#include "base/constants.h"
#include "base/wavenumber.h"

namespace cabinfield {
namespace {

/// Fewer sources are multiplied one by one.
constexpr std::size_t handful = 6;

/// Numbers of a result from one product, so that few sources are shared among threads too.
constexpr std::size_t numbers_at_once = 512;

}  // namespace

ReciprocalSolutions::ReciprocalSolutions(const WaveField& field, const std::vector<Vector3>& ears,
                                         const std::vector<double>& frequency_hz)
    : field_(field), ears_(ears.size()), frequency_hz_(frequency_hz) {
  const std::vector<Eigen::MatrixXcd> of_ears = field.reciprocal_coordinates(ears, frequency_hz);
  const Eigen::Index basis_vectors = field.solved().reduced.basis.cols();
  fields_.resize(basis_vectors, static_cast<Eigen::Index>(2 * ears.size() * frequency_hz.size()));
  for (std::size_t n = 0; n < ears.size(); ++n)
    for (std::size_t f = 0; f < frequency_hz.size(); ++f) {
      const auto at = static_cast<Eigen::Index>(2 * (n * frequency_hz.size() + f));
      const Complex scale(0, 2 * pi * frequency_hz[f] * field.medium().air.density_kg_m3);
      const Eigen::VectorXcd solution = scale * of_ears[f].col(static_cast<Eigen::Index>(n));
      fields_.col(at) = solution.real();
      fields_.col(at + 1) = solution.imag();
    }
}

Table<Complex, 3> ReciprocalSolutions::transfer(const std::vector<Source>& sources) const {
  const std::size_t numbers = static_cast<std::size_t>(fields_.cols()), basis_vectors = this->basis_vectors();
  Table<Complex, 3> transfer({sources.size(), ears_, frequency_hz_.size()});
  if (sources.empty() || numbers == 0) return transfer;
  const std::size_t blocks = (sources.size() + sources_at_once - 1) / sources_at_once;
  BasisMatrix at_sources(static_cast<Eigen::Index>(sources.size()), fields_.rows());
  parallel_for(sources.size(), [&](std::size_t d) {
    at_sources.row(static_cast<Eigen::Index>(d)) = field_.basis_at(sources[d]).transpose();
  });
  const double sound_speed_m_s = field_.medium().air.sound_speed_m_s;
  const std::size_t strips = (numbers + numbers_at_once - 1) / numbers_at_once;
  openblas_set_num_threads(1);
  parallel_for(blocks * strips, [&](std::size_t share) {
    const std::size_t first = share / strips * sources_at_once, strip = share % strips * numbers_at_once;
    const std::size_t width = std::min(numbers_at_once, numbers - strip),
                      count = std::min(sources_at_once, sources.size() - first);
    // [strip, source] = fields^T at_sources^T, written directly into the result.
    const double* fields = fields_.col(static_cast<Eigen::Index>(strip)).data();
    const double* at_source = at_sources.row(static_cast<Eigen::Index>(first)).data();
    double* made = reinterpret_cast<double*>(transfer.row(first, 0)) + strip;
    const int length = static_cast<int>(basis_vectors);
    if (sources.size() < handful)
      for (std::size_t d = 0; d < count; ++d)
        cblas_dgemv(CblasColMajor, CblasTrans, length, static_cast<int>(width), 1, fields, length,
                    at_source + d * basis_vectors, 1, 0, made + d * numbers, 1);
    else
      cblas_dgemm(CblasColMajor, CblasTrans, CblasNoTrans, static_cast<int>(width), static_cast<int>(count),
                  length, 1, fields, length, at_source, length, 0, made, static_cast<int>(numbers));
  });
  for (std::size_t d = 0; d < sources.size(); ++d) {
    if (sources[d].setback_m == 0) continue;
    // Behind its surface: the same delay for every wave.
    for (std::size_t n = 0; n < ears_; ++n)
      for (std::size_t f = 0; f < frequency_hz_.size(); ++f)
        transfer(d, n, f) *=
            std::polar(1.0, -wavenumber_at(frequency_hz_[f], sound_speed_m_s) * sources[d].setback_m);
  }
  return transfer;
}

}  // namespace cabinfield
