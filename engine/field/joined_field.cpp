#include "field/joined_field.h"

#include <algorithm>
#include <cmath>

#include "base/constants.h"

namespace cabinfield {
namespace {

/// The question for a range of frequencies; patterns refer to the whole list and stay as they are.
FieldQuestion part(const FieldQuestion& question, std::size_t from, std::size_t to) {
  FieldQuestion result = question;
  result.frequency_hz.assign(question.frequency_hz.begin() + static_cast<std::ptrdiff_t>(from),
                             question.frequency_hz.begin() + static_cast<std::ptrdiff_t>(to));
  return result;
}

}  // namespace

double upper_weight(double frequency_hz, double top_hz) {
  const double octave = std::clamp(std::log2(2 * frequency_hz / top_hz), 0.0, 1.0);
  const double root = std::sin(0.5 * pi * octave);
  return root * root;
}

Complex blended(Complex lower, Complex upper, double weight) {
  if (lower == Complex(0) || upper == Complex(0)) return (1 - weight) * lower + weight * upper;
  const double level = (1 - weight) * std::log(std::abs(lower)) + weight * std::log(std::abs(upper));
  return std::polar(std::exp(level), std::arg(lower) + weight * std::arg(upper / lower));
}

JoinedField::JoinedField(const Field& lower, const Field& upper, double top_hz)
    : lower_(lower), upper_(upper), top_hz_(top_hz) {}

FieldAnswer JoinedField::solve(const FieldQuestion& question, const Progress& progress) const {
  const std::vector<double>& frequency = question.frequency_hz;
  const std::size_t sources = question.sources.size(), ears = question.ears.size();
  const std::size_t low_end = static_cast<std::size_t>(
      std::upper_bound(frequency.begin(), frequency.end(), top_hz_) - frequency.begin());
  const std::size_t join = static_cast<std::size_t>(
      std::upper_bound(frequency.begin(), frequency.end(), 0.5 * top_hz_) - frequency.begin());
  FieldAnswer lower, upper;
  if (low_end > 0) lower = lower_.solve(part(question, 0, low_end));
  // The upper field answers all frequencies: the patterns of its ears refer to the whole list.
  if (join < frequency.size()) upper = upper_.solve(question, progress);

  FieldAnswer answer;
  answer.transfer_pa_s_m3 = Table<Complex, 3>({sources, ears, frequency.size()});
  answer.join_coherence = answer.join_mismatch_db = Table<double, 2>({sources, ears});
  for (const FieldAnswer* from : {&lower, &upper})
    answer.warnings.insert(answer.warnings.end(), from->warnings.begin(), from->warnings.end());
  for (std::size_t d = 0; d < sources; ++d)
    for (std::size_t n = 0; n < ears; ++n) {
      const Complex* low = low_end > 0 ? lower.transfer_pa_s_m3.row(d, n) : nullptr;
      const Complex* high = join < frequency.size() ? upper.transfer_pa_s_m3.row(d, n) : nullptr;
      Complex* out = answer.transfer_pa_s_m3.row(d, n);
      Complex across = 0;
      double low_power = 0, high_power = 0;
      for (std::size_t f = join; f < low_end; ++f) {
        across += low[f] * std::conj(high[f]);
        low_power += std::norm(low[f]);
        high_power += std::norm(high[f]);
      }
      const bool both = low_power > 0 && high_power > 0;
      answer.join_coherence(d, n) = both ? std::abs(across) / std::sqrt(low_power * high_power) : 0;
      answer.join_mismatch_db(d, n) = both ? 10 * std::log10(high_power / low_power) : 0;
      for (std::size_t f = 0; f < frequency.size(); ++f)
        out[f] = f < join       ? low[f]
                 : f >= low_end ? high[f]
                                : blended(low[f], high[f], upper_weight(frequency[f], top_hz_));
    }
  return answer;
}

}  // namespace cabinfield
