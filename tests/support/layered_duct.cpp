#include "support/layered_duct.h"

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "base/constants.h"

namespace cabinfield::test {
namespace {

constexpr Complex j{0, 1};

/// A duct as one transverse mode sees it, the source left of the ear.
struct ModeLine {
  std::vector<double> length;
  std::vector<Complex> gamma, wave_admittance, sheet;
  Complex front, back;  ///< admittances of the ends

  /// What a wave that leaves an end of a layer brings back after a way through that layer.
  Complex back_through(std::size_t layer, Complex admittance, double way) const {
    const Complex reflection = (wave_admittance[layer] - admittance) / (wave_admittance[layer] + admittance);
    return reflection * std::exp(-2.0 * j * gamma[layer] * way);
  }
  Complex seen_through(std::size_t layer, Complex admittance, double way) const {
    const Complex returned = back_through(layer, admittance, way);
    return wave_admittance[layer] * (1.0 - returned) / (1.0 + returned);
  }

  Complex pressure(double source, double ear) const {
    const auto place = [&](double x) {
      std::size_t layer = 0;
      double start = 0;
      while (layer + 1 < length.size() && x > start + length[layer]) start += length[layer++];
      return std::pair(layer, x - start);
    };
    const auto [source_layer, source_at] = place(source);
    const auto [ear_layer, ear_at] = place(ear);

    Complex left = front;
    for (std::size_t i = 0; i < source_layer; ++i) {
      left = seen_through(i, left, length[i]);
      left /= 1.0 + sheet[i] * left;
    }
    left = seen_through(source_layer, left, source_at);

    // Admittance to the right at the far end of each layer, before its sheet.
    std::vector<Complex> right(length.size());
    right.back() = back;
    for (std::size_t i = length.size() - 1; i-- > 0;) {
      const Complex behind = seen_through(i + 1, right[i + 1], length[i + 1]);
      right[i] = behind / (1.0 + sheet[i] * behind);
    }
    const double rest = length[source_layer] - source_at;
    Complex p = 1.0 / (left + seen_through(source_layer, right[source_layer], rest));

    double at = source_at;
    for (std::size_t i = source_layer;; ++i, at = 0) {
      const double whole = length[i] - at;
      const double way = i == ear_layer ? ear_at - at : whole;
      const Complex returned_here = back_through(i, right[i], whole);
      const Complex returned_there = back_through(i, right[i], whole - way);
      p *= std::exp(-j * gamma[i] * way) * (1.0 + returned_there) / (1.0 + returned_here);
      if (i == ear_layer) return p;
      p *= 1.0 - sheet[i] * right[i];
    }
  }
};

ModeLine line_of(const LayeredDuct& duct, const Air& air, double omega, double across) {
  ModeLine line;
  for (const DuctLayer& layer : duct.layer) {
    Complex gamma = std::sqrt(omega * omega * layer.density_kg_m3 / layer.bulk_modulus_pa - across * across);
    if (gamma.imag() > 0) gamma = -gamma;
    line.length.push_back(layer.length_m);
    line.gamma.push_back(gamma);
    line.wave_admittance.push_back(gamma / (omega * layer.density_kg_m3));
    line.sheet.push_back(layer.sheet_after_pa_s_m);
  }
  line.front = duct.front_admittance / air.characteristic_impedance();
  line.back = duct.back_admittance / air.characteristic_impedance();
  return line;
}

LayeredDuct turned(const LayeredDuct& duct) {
  LayeredDuct other = duct;
  std::reverse(other.layer.begin(), other.layer.end());
  std::swap(other.front_admittance, other.back_admittance);
  for (std::size_t i = 0; i + 1 < other.layer.size(); ++i)
    other.layer[i].sheet_after_pa_s_m = other.layer[i + 1].sheet_after_pa_s_m;
  other.layer.back().sheet_after_pa_s_m = 0;
  return other;
}

double length_of(const LayeredDuct& duct) {
  double sum = 0;
  for (const DuctLayer& layer : duct.layer) sum += layer.length_m;
  return sum;
}

}  // namespace

DuctLayer air_layer(double length_m, const Air& air, Complex sheet_after_pa_s_m) {
  return {length_m, air.density_kg_m3, air.characteristic_impedance() * air.sound_speed_m_s,
          sheet_after_pa_s_m};
}

Complex layered_duct_pressure(const LayeredDuct& duct, const Air& air, double frequency_hz,
                              const Vector3& source, const Vector3& ear) {
  const double apart = std::abs(ear.x() - source.x());
  if (!(apart >= 0.05)) throw std::invalid_argument("source and ear are less than 5 cm apart along the duct");
  const bool forward = ear.x() > source.x();
  const LayeredDuct& ahead = forward ? duct : turned(duct);
  const double length = length_of(duct);
  const double from = forward ? source.x() : length - source.x();
  const double to = forward ? ear.x() : length - ear.x();
  const double omega = 2 * pi * frequency_hz;
  // exp(-36) is rounding.
  const double highest = 36 / apart + 3 * omega / air.sound_speed_m_s;
  Complex sum = 0;
  for (int m = 0; m * pi / duct.width_m <= highest; ++m)
    for (int n = 0; n * pi / duct.height_m <= highest; ++n) {
      const double ky = m * pi / duct.width_m;
      const double kz = n * pi / duct.height_m;
      const double shape = std::cos(ky * source.y()) * std::cos(ky * ear.y()) * std::cos(kz * source.z()) *
                           std::cos(kz * ear.z());
      const double norm = duct.width_m * duct.height_m / ((m == 0 ? 1 : 2) * (n == 0 ? 1 : 2));
      sum += shape / norm * line_of(ahead, air, omega, std::hypot(ky, kz)).pressure(from, to);
    }
  return sum;
}

Complex layered_duct_plane_pressure(const LayeredDuct& duct, const Air& air, double frequency_hz,
                                    double source_m, double ear_m) {
  const bool forward = ear_m >= source_m;
  const LayeredDuct& ahead = forward ? duct : turned(duct);
  const double length = length_of(duct);
  const ModeLine line = line_of(ahead, air, 2 * pi * frequency_hz, 0);
  return line.pressure(forward ? source_m : length - source_m, forward ? ear_m : length - ear_m) /
         (duct.width_m * duct.height_m);
}

}  // namespace cabinfield::test
