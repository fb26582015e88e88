#include "support/wave_oracles.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <stdexcept>

#include "base/constants.h"

namespace cabinfield::test {
namespace {

constexpr Complex j{0, 1};

double bisected(const std::function<double(double)>& function, double low, double high) {
  const bool rises = function(low) < 0;
  for (int step = 0; step < 100; ++step) {
    const double middle = 0.5 * (low + high);
    ((function(middle) < 0) == rises ? low : high) = middle;
  }
  return 0.5 * (low + high);
}

/// (s - omega^2 m + j omega r) sin(k L)/omega + rho c cos(k L), its zero at 0 divided out.
struct PanelDuct {
  double length, sound_speed, resistance, mass, stiffness, damping;

  PanelDuct(double length_m, const Panel& panel, const Air& air)
      : length(length_m),
        sound_speed(air.sound_speed_m_s),
        resistance(air.characteristic_impedance()),
        mass(panel.surface_density_kg_m2) {
    const double omega0 = 2 * pi * panel.resonance_hz;
    stiffness = mass * omega0 * omega0;
    damping = panel.loss_factor * mass * omega0;
  }

  Complex operator()(Complex omega, double share_of_damping = 1) const {
    const Complex kl = omega * length / sound_speed;
    return (stiffness - omega * omega * mass + j * omega * damping * share_of_damping) * std::sin(kl) /
               omega +
           resistance * std::cos(kl);
  }
};

}  // namespace

Complex vessel_pressure(double volume_m3, const Air& air, double frequency_hz) {
  return air.characteristic_impedance() * air.sound_speed_m_s / (j * (2 * pi * frequency_hz) * volume_m3);
}

std::vector<double> rigid_box_modes(const Vector3& size_m, const Air& air, int count) {
  std::vector<double> mode;
  for (int l = 0; l <= count; ++l)
    for (int m = 0; m <= count; ++m)
      for (int n = 0; n <= count; ++n)
        mode.push_back(0.5 * air.sound_speed_m_s * Vector3(l, m, n).cwiseQuotient(size_m).norm());
  std::sort(mode.begin(), mode.end());
  return {mode.begin() + 1, mode.begin() + 1 + count};
}

Complex rigid_box_pressure(const Vector3& size_m, const Air& air, double frequency_hz, const Vector3& source,
                           const Vector3& ear, double up_to_hz) {
  const double k = 2 * pi * frequency_hz / air.sound_speed_m_s;
  const double limit = 2 * pi * up_to_hz / air.sound_speed_m_s;
  std::array<std::vector<double>, 3> square, share;
  for (int axis = 0; axis < 3; ++axis)
    for (int n = 0; n * pi / size_m[axis] <= limit; ++n) {
      const double wave = n * pi / size_m[axis];
      square[axis].push_back(wave * wave);
      share[axis].push_back((n == 0 ? 1 : 2) / size_m[axis] * std::cos(wave * source[axis]) *
                            std::cos(wave * ear[axis]));
    }
  double sum = 0;
  for (std::size_t l = 0; l < square[0].size(); ++l)
    for (std::size_t m = 0; m < square[1].size(); ++m)
      for (std::size_t n = 0; n < square[2].size(); ++n) {
        const double mode = square[0][l] + square[1][m] + square[2][n];
        if (mode <= limit * limit) sum += share[0][l] * share[1][m] * share[2][n] / (mode - k * k);
      }
  return j * (2 * pi * frequency_hz) * air.density_kg_m3 * sum;
}

double duct_mass_kg_m4(double area_m2, double depth_m, const Air& air) {
  return air.density_kg_m3 * (depth_m + 16 / (3 * pi) * std::sqrt(area_m2 / pi)) / area_m2;
}

double helmholtz_hz(double volume_m3, double mass_kg_m4, const Air& air) {
  return air.sound_speed_m_s * std::sqrt(air.density_kg_m3 / (volume_m3 * mass_kg_m4)) / (2 * pi);
}

double helmholtz_in_duct_hz(double length_m, double section_m2, double mass_kg_m4, const Air& air) {
  const auto reactance = [&](double frequency) {
    const double omega = 2 * pi * frequency;
    const double kl = omega / air.sound_speed_m_s * length_m;
    return omega * mass_kg_m4 * section_m2 / air.characteristic_impedance() * std::sin(kl) - std::cos(kl);
  };
  return bisected(reactance, 0, air.sound_speed_m_s / (4 * length_m));
}

std::vector<Complex> panel_duct_resonances(double length_m, const Panel& panel, const Air& air,
                                           double up_to_hz) {
  if (!(panel.loss_factor < 2)) throw std::invalid_argument("an overdamped panel has no resonance");
  const PanelDuct duct(length_m, panel, air);
  const auto undamped = [&](double omega) { return duct(omega, 0).real(); };
  std::vector<Complex> root;
  // Panel and duct may come close: a step far below the distance of the duct's own resonances.
  const double step = pi * air.sound_speed_m_s / length_m / 5000;
  const double top = 2 * pi * up_to_hz;
  for (double omega = step; omega < 1.5 * top; omega += step) {
    if ((undamped(omega) < 0) == (undamped(omega + step) < 0)) continue;
    Complex damped = bisected(undamped, omega, omega + step);
    for (int share = 1; share <= 20; ++share)
      for (int newton = 0; newton < 8; ++newton) {
        const double h = 1e-6 * std::abs(damped);
        const double part = share / 20.0;
        damped -= duct(damped, part) * 2.0 * h / (duct(damped + h, part) - duct(damped - h, part));
      }
    if (std::abs(damped) < top) root.push_back(damped);
  }
  std::sort(root.begin(), root.end(), [](Complex a, Complex b) { return a.real() < b.real(); });
  for (std::size_t i = 1; i < root.size(); ++i)
    if (std::abs(root[i] - root[i - 1]) < 1e-6 * top) throw std::runtime_error("two resonances coincide");

  double turned = 0;
  Complex before = duct(top);
  const int steps = 200000;
  for (int i = 1; i <= steps; ++i) {
    const Complex now = duct(std::polar(top, 2 * pi * i / steps));
    turned += std::arg(now / before);
    before = now;
  }
  // Every resonance stands on both sides of the imaginary axis.
  if (std::lround(turned / (2 * pi)) != 2 * static_cast<long>(root.size()))
    throw std::runtime_error("a resonance of panel and duct is missing");
  for (Complex& omega : root) omega /= 2 * pi;
  return root;
}

Complex partition_transmission(Complex impedance, const Air& air) {
  return 2.0 / (2.0 + impedance / air.characteristic_impedance());
}

Complex two_point_reflection(Complex farther, Complex nearer, double farther_m, double nearer_m,
                             double wavenumber) {
  const Complex ratio = nearer / farther;
  const Complex way = std::exp(j * wavenumber * (farther_m - nearer_m));
  return (ratio - 1.0 / way) / (way - ratio) * std::exp(2.0 * j * wavenumber * farther_m);
}

double peak_hz(const std::function<double(double)>& level, double from_hz, double to_hz) {
  constexpr double golden = 1 / std::numbers::phi;
  double low = from_hz, high = to_hz;
  double left = high - golden * (high - low), right = low + golden * (high - low);
  double at_left = level(left), at_right = level(right);
  while (high - low > 1e-7 * to_hz) {
    if (at_left > at_right) {
      high = right;
      right = left;
      at_right = at_left;
      left = high - golden * (high - low);
      at_left = level(left);
    } else {
      low = left;
      left = right;
      at_left = at_right;
      right = low + golden * (high - low);
      at_right = level(right);
    }
  }
  return 0.5 * (low + high);
}

}  // namespace cabinfield::test
