#include "listening/impulse.h"

#include <fftw3.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <mutex>
#include <stdexcept>

#include "base/constants.h"

namespace cabinfield {
namespace {

/// Width of the transition of the band limit, which ends at half the sample rate, over the sample rate.
constexpr double fall_share = 1.0 / 12;
/// Shape of the transition: a larger value gives a lower but longer pre-ringing. At 6 it is 80 dB down at the
/// end of its first lobe.
constexpr double fall_beta = 6;
/// FFTW counts in int.
constexpr int most_samples = 1 << 30;

void require(bool good, const char* what) {
  if (!good) throw std::invalid_argument(what);
}

/// End of the first lobe of sinh(sqrt(beta^2 - y^2))/sqrt(beta^2 - y^2), at y^2 = beta^2 + pi^2, in samples.
std::size_t lead_samples() {
  return static_cast<std::size_t>(std::ceil(std::hypot(fall_beta, pi) / (pi * fall_share)));
}

bool positive(double value) { return value > 0 && std::isfinite(value); }

/// Integral of I0(beta sqrt(1 - u^2)) from 0 to x, 0 <= x <= 1, term by term of I0(z) = sum_k
/// (z/2)^2k/(k!)^2.
double window_integral(double x) {
  constexpr int terms = 30;  // the last is 1e-35 of the first
  const double square = 1 - x * x;
  double power = 1, coefficient = 1, moment = x, sum = x;
  for (int k = 1; k < terms; ++k) {
    power *= square;
    coefficient *= fall_beta * fall_beta / (4.0 * k * k);
    moment = (x * power + 2 * k * moment) / (2 * k + 1);  // integral of (1 - u^2)^k, by parts
    sum += coefficient * moment;
  }
  return sum;
}

/// The smallest 2^a 3^b 5^c with a >= 1 that is at least `least`: an efficient length for a Fourier
/// transform.
std::size_t smooth_even_length(std::size_t least) {
  std::size_t best = 2;
  while (best < least) best *= 2;
  for (std::size_t five = 2; five < best; five *= 5)
    for (std::size_t three = five; three < best; three *= 3) {
      std::size_t length = three;
      while (length < least) length *= 2;
      best = std::min(best, length);
    }
  return best;
}

double decibel(double value, double reference) {
  return value > 0 ? 20 * std::log10(value / reference) : -std::numeric_limits<double>::infinity();
}

double peak_of(std::span<const double> samples) {
  double peak = 0;
  for (double sample : samples) peak = std::max(peak, std::abs(sample));
  return peak;
}

/// Memory aligned by FFTW, which makes the arithmetic of a plan the same every time.
struct Release {
  void operator()(void* memory) const { fftw_free(memory); }
};

template <typename T>
std::unique_ptr<T[], Release> aligned(std::size_t count) {
  auto* memory = static_cast<T*>(fftw_malloc(count * sizeof(T)));
  if (memory == nullptr) throw std::bad_alloc();
  return std::unique_ptr<T[], Release>(memory);
}

/// FFTW's planner may run on one thread at a time only.
std::mutex& planner() {
  static std::mutex guard;
  return guard;
}

}  // namespace

std::vector<double> ImpulseGrid::frequency_hz() const {
  std::vector<double> frequency(length / 2 - 1);
  for (std::size_t k = 1; k < length / 2; ++k)
    frequency[k - 1] = static_cast<double>(k) * sample_rate_hz / static_cast<double>(length);
  return frequency;
}

ImpulseGrid impulse_grid(double sample_rate_hz, double latest_arrival_s, double decay_s) {
  require(positive(sample_rate_hz), "an impulse response needs a sample rate above 0 Hz");
  require(latest_arrival_s >= 0 && std::isfinite(latest_arrival_s), "the latest arrival must be 0 s or more");
  require(decay_s >= 0 && std::isfinite(decay_s), "a decay must be 0 s or more");
  const double time_constants = -wrap_around_limit_db / 20 * std::log(10.0);
  const double heard_s = latest_arrival_s + time_constants * decay_s + 2 * band_limit_lead_s(sample_rate_hz);
  // An eighth is reserved for tail_level_db.
  const double samples = std::ceil(heard_s * sample_rate_hz * 8 / 7);
  require(samples <= most_samples, "an impulse response would be longer than 2^30 samples");
  return {sample_rate_hz, smooth_even_length(static_cast<std::size_t>(samples))};
}

double band_limit(double frequency_hz, double sample_rate_hz) {
  const double share = frequency_hz / sample_rate_hz;
  const double x = (share - (0.5 - fall_share / 2)) / (fall_share / 2);
  if (x <= -1) return 1;
  if (x >= 1) return 0;
  // The window's integral over -1 .. 1 is 2 sinh(beta)/beta.
  return 0.5 - std::copysign(window_integral(std::abs(x)), x) * fall_beta / (2 * std::sinh(fall_beta));
}

double band_limit_lead_s(double sample_rate_hz) {
  return static_cast<double>(lead_samples()) / sample_rate_hz;
}

struct ImpulseTransform::Plan {
  explicit Plan(std::size_t length) {
    auto spectrum = aligned<fftw_complex>(length / 2 + 1);
    auto samples = aligned<double>(length);
    const std::lock_guard lock(planner());
    // Measured plans differ from run to run, and so do their last bits.
    plan = fftw_plan_dft_c2r_1d(static_cast<int>(length), spectrum.get(), samples.get(), FFTW_ESTIMATE);
    if (plan == nullptr) throw std::bad_alloc();
  }
  ~Plan() {
    const std::lock_guard lock(planner());
    fftw_destroy_plan(plan);
  }
  Plan(const Plan&) = delete;
  Plan& operator=(const Plan&) = delete;

  fftw_plan plan;
};

ImpulseTransform::ImpulseTransform(const ImpulseGrid& grid) : grid_(grid) {
  require(positive(grid.sample_rate_hz), "an impulse response needs a sample rate above 0 Hz");
  require(grid.length >= 2 && grid.length % 2 == 0 && grid.length <= most_samples,
          "an impulse response needs an even number of samples");
  const auto length = static_cast<double>(grid.length);
  weight_.push_back(1 / length);
  for (double frequency : grid.frequency_hz())
    weight_.push_back(band_limit(frequency, grid.sample_rate_hz) / length);
  plan_ = std::make_unique<const Plan>(grid.length);
}

ImpulseTransform::~ImpulseTransform() = default;

std::vector<double> ImpulseTransform::operator()(std::span<const Complex> transfer, double at_rest) const {
  require(transfer.size() + 1 == weight_.size(), "a response and its grid have different lengths");
  require(std::isfinite(at_rest), "a response is not finite at 0 Hz");
  auto spectrum = aligned<fftw_complex>(grid_.length / 2 + 1);
  auto samples = aligned<double>(grid_.length);
  const auto set = [&](std::size_t k, Complex value) {
    spectrum[k][0] = value.real();
    spectrum[k][1] = value.imag();
  };
  set(0, at_rest * weight_[0]);
  for (std::size_t k = 0; k < transfer.size(); ++k) {
    require(std::isfinite(transfer[k].real()) && std::isfinite(transfer[k].imag()),
            "a response is not finite");
    set(k + 1, transfer[k] * weight_[k + 1]);
  }
  set(grid_.length / 2, 0);
  fftw_execute_dft_c2r(plan_->plan, spectrum.get(), samples.get());
  // The last samples of a period are the time before emission.
  const std::size_t lead = std::min(lead_samples(), grid_.length);
  std::fill_n(samples.get() + (grid_.length - lead), lead, 0.0);
  return {samples.get(), samples.get() + grid_.length};
}

double level_before_db(std::span<const double> impulse, double sample_rate_hz, double time_s) {
  const double before =
      std::clamp(std::ceil(time_s * sample_rate_hz), 0.0, static_cast<double>(impulse.size()));
  return decibel(peak_of(impulse.first(static_cast<std::size_t>(before))), peak_of(impulse));
}

double tail_level_db(std::span<const double> impulse) {
  // The very last samples are the time before emission, which operator() clears.
  const std::size_t end = impulse.size() - std::min(impulse.size(), lead_samples());
  const std::size_t count = std::min(end, impulse.size() / 8);
  return decibel(peak_of(impulse.subspan(end - count, count)), peak_of(impulse));
}

}  // namespace cabinfield
