#include "field/images/path_sum.h"

#include <algorithm>
#include <cmath>

#include "base/wavenumber.h"
#include "field/frequency_grid.h"
#include "field/images/screen.h"

namespace cabinfield {
namespace {

using kernels::Lanes;
using kernels::padded;

/// A copy padded to whole lanes with its last value.
Lanes in_lanes(const std::vector<double>& values) {
  Lanes lanes(values.begin(), values.end());
  lanes.resize(padded(values.size()), values.empty() ? 0.0 : values.back());
  return lanes;
}

/// Keeps the quotient (cos - beta)/(cos + beta) finite where both vanish: a grazing wave on a rigid wall.
constexpr double least_admittance = 1e-12;

}  // namespace

PathMedium::PathMedium(const Air& air, std::vector<double> frequency_hz,
                       const std::vector<std::vector<Complex>>& admittance)
    : density_kg_m3_(air.density_kg_m3), frequency_hz_(std::move(frequency_hz)) {
  wavenumber_plain_ = wavenumbers_at(frequency_hz_, air.sound_speed_m_s);
  wavenumber_ = in_lanes(wavenumber_plain_);
  std::vector<double> half = air.energy_attenuation_per_m(frequency_hz_);
  for (double& value : half) value *= 0.5;
  half_attenuation_ = in_lanes(half);
  octave_step_ = octave_step(frequency_hz_);
  if (octave_step_ < static_cast<int>(kernels::lane_width)) octave_step_ = 0;

  for (const std::vector<Complex>& beta : admittance) {
    Admittance entry;
    std::vector<double> re, im;
    for (const Complex& value : beta) {
      re.push_back(value.real());
      im.push_back(value.imag());
    }
    auto zero = [](double value) { return value == 0; };
    entry.real = std::all_of(im.begin(), im.end(), zero);
    entry.rigid = entry.real && std::all_of(re.begin(), re.end(), zero);
    entry.constant =
        entry.real && std::all_of(re.begin(), re.end(), [&](double value) { return value == re.front(); });
    for (double& value : re) value = std::max(value, least_admittance);
    entry.re = in_lanes(re);
    entry.im = in_lanes(im);
    for (std::size_t i = 0; i < entry.re.size(); i += kernels::lane_width) {
      const auto run = entry.re.begin() + static_cast<std::ptrdiff_t>(i);
      entry.steady.push_back(i > 0 && std::all_of(run - kernels::lane_width, run + kernels::lane_width,
                                                  [&](double value) { return value == *run; }));
    }
    admittance_.push_back(std::move(entry));
  }
}

PathSum::PathSum(const PathMedium& medium, const Source& source, const SpherePistonDirectivity* sphere,
                 const ReceiverPattern* receiver)
    : medium_(medium),
      kernel_(kernels::best()),
      piston_radius_m_(source.face >= 0 ? source.piston_radius_m : 0),
      setback_m_(source.setback_m),
      sphere_(source.face >= 0 ? nullptr : sphere),
      receiver_(receiver),
      count_(medium.frequency_hz_.size()),
      pattern_(sphere_ != nullptr || receiver_ != nullptr ? count_ : 0) {
  // One lane more than the padding: doubled angles may be written across its end.
  const std::size_t room = padded(count_) + kernels::lane_width;
  for (Lanes* lanes : {&cosine_, &sine_, &amplitude_, &amplitude_im_, &piston_, &sum_re_, &sum_im_})
    lanes->resize(room);
}

void PathSum::add(const Path& path) {
  // Step 1: factors of the walls. Those constant over frequency go into the scale.
  const double length = path.length_m + setback_m_;
  const std::size_t count = padded(count_);
  double scale = 1 / (path.straight_m > 0 ? path.straight_m + setback_m_ : length);
  kernels::WallFactor real[kernels::most_factors], complex[kernels::most_factors];
  int real_count = 0, complex_count = 0;
  auto add_factor = [&](int material, double cosine, int times, bool departure) {
    const PathMedium::Admittance& beta = medium_.admittance_[static_cast<std::size_t>(material)];
    if (beta.rigid) {
      if (departure) scale *= 2;
      return;
    }
    if (beta.constant) {
      const double re = beta.re.front();
      scale *= departure ? 2 * cosine / (cosine + re) : std::pow((cosine - re) / (cosine + re), times);
      return;
    }
    kernels::WallFactor factor{
        beta.re.data(), beta.real ? nullptr : beta.im.data(), cosine, times, departure, beta.steady.data()};
    (beta.real ? real[real_count++] : complex[complex_count++]) = factor;
  };
  if (path.own_material >= 0) add_factor(path.own_material, path.own_cosine, 1, true);
  for (int w = 0; w < path.walls; ++w)
    add_factor(path.wall[w].material, path.wall[w].cosine, path.wall[w].times, false);

  // Step 2: real directivity of a piston in a wall, and the loss of a screen.
  const double* pattern = nullptr;
  if (piston_radius_m_ > 0) {
    piston_directivity(piston_radius_m_, path.sine_psi, {medium_.wavenumber_.data(), count_},
                       {piston_.data(), count_});
    pattern = piston_.data();
  }
  if (path.straight_m > 0) {
    screen_.resize(padded(count_), 0.0);
    screen_factor(path.length_m - path.straight_m, {medium_.wavenumber_.data(), count_},
                  {screen_.data(), count_});
    for (std::size_t f = 0; pattern != nullptr && f < count_; ++f) screen_[f] *= piston_[f];
    pattern = screen_.data();
  }
  // Step 3: the real amplitude, 1/r, air, directivity and walls of real admittance together.
  kernel_.real_amplitude(medium_.half_attenuation_.data(), length, scale, pattern, real, real_count, count,
                         amplitude_.data());
  const bool real_amplitude = sphere_ == nullptr && receiver_ == nullptr && complex_count == 0;
  const auto step = static_cast<std::size_t>(medium_.octave_step_);
  // Step 4: add amplitude times e^{-jkr}; where frequencies double, angles are doubled octave by octave.
  if (real_amplitude && step > 0 && step % kernels::lane_width == 0) {
    kernel_.accumulate_octaves(medium_.wavenumber_.data(), length, step, count, amplitude_.data(),
                               sum_re_.data(), sum_im_.data());
    return;
  }
  if (step > 0) {
    kernel_.phase(medium_.wavenumber_.data(), length, std::min(padded(step), count), cosine_.data(),
                  sine_.data());
    kernel_.double_angles(step, count_, cosine_.data(), sine_.data());
  } else {
    kernel_.phase(medium_.wavenumber_.data(), length, count, cosine_.data(), sine_.data());
  }
  if (real_amplitude) {
    kernel_.accumulate(amplitude_.data(), cosine_.data(), sine_.data(), count, sum_re_.data(),
                       sum_im_.data());
    return;
  }
  // Step 5: complex factors: a pod, a head, walls of complex admittance.
  std::fill(amplitude_im_.begin(), amplitude_im_.end(), 0.0);
  auto apply_pattern = [&] {
    for (std::size_t f = 0; f < count_; ++f) {
      const Complex product = Complex(amplitude_[f], amplitude_im_[f]) * pattern_[f];
      amplitude_[f] = product.real();
      amplitude_im_[f] = product.imag();
    }
  };
  if (sphere_ != nullptr) {
    sphere_->evaluate(std::acos(path.cosine_psi), pattern_);
    apply_pattern();
  }
  if (receiver_ != nullptr) {
    receiver_->evaluate(path.arrival, pattern_);
    apply_pattern();
  }
  kernel_.apply_complex_factors(complex, complex_count, count, amplitude_.data(), amplitude_im_.data());
  kernel_.accumulate_complex(amplitude_.data(), amplitude_im_.data(), cosine_.data(), sine_.data(), count,
                             sum_re_.data(), sum_im_.data());
}

std::vector<Complex> PathSum::pressure() const {
  std::vector<Complex> result(count_);
  for (std::size_t f = 0; f < count_; ++f) {
    const double factor = medium_.density_kg_m3_ * medium_.frequency_hz_[f] / 2;  // omega rho / (4 pi)
    result[f] = Complex(-factor * sum_im_[f], factor * sum_re_[f]);
  }
  return result;
}

}  // namespace cabinfield
