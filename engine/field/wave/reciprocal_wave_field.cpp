#include "field/wave/reciprocal_wave_field.h"

#include <algorithm>
#include <stdexcept>

namespace cabinfield {
namespace {

std::vector<Vector3> long_wave_ears(const FieldQuestion& question) {
  std::vector<Vector3> ears;
  for (std::size_t n = 0; n < question.ears.size(); ++n) ears.push_back(long_wave_ear(question, n));
  return ears;
}

}  // namespace

ReciprocalWaveField::ReciprocalWaveField(std::shared_ptr<const WaveField> waves, const FieldQuestion& like)
    : waves_(std::move(waves)),
      ears_(long_wave_ears(like)),
      frequency_hz_(like.frequency_hz),
      fields_(*waves_, ears_, frequency_hz_) {}

FieldAnswer ReciprocalWaveField::solve(const FieldQuestion& question, const Progress&) const {
  if (question.frequency_hz != frequency_hz_ || long_wave_ears(question) != ears_)
    throw std::invalid_argument("the wave field was solved for other ears or frequencies");
  // The last digits of a product depend on its number of sources: pad to full blocks.
  std::vector<Source> sources = question.sources;
  const std::size_t count = sources.size();
  while (!sources.empty() && sources.size() % sources_at_once != 0) sources.push_back(sources.back());
  const Table<Complex, 3> found = fields_.transfer(sources);
  FieldAnswer answer;
  answer.transfer_pa_s_m3 = Table<Complex, 3>({count, ears_.size(), frequency_hz_.size()});
  std::copy_n(found.values().begin(), answer.transfer_pa_s_m3.values().size(),
              answer.transfer_pa_s_m3.values().begin());
  return answer;
}

}  // namespace cabinfield
