#include "driver/loading.h"

#include <cmath>
#include <stdexcept>

#include "base/constants.h"
#include "base/wavenumber.h"

namespace cabinfield {
namespace {

double end_corrections_m(const VentedBox& box) {
  return (flanged_end_correction + free_end_correction) * box.port_diameter_m / 2;
}

void require_volume_and_port(const VentedBox& box) {
  if (!(box.volume_m3 > 0 && box.port_diameter_m > 0 && box.ports >= 1))
    throw std::invalid_argument(
        "a vented box needs a volume and a port diameter above 0, and one port or more");
}

}  // namespace

double port_area_m2(const VentedBox& box) {
  return box.ports * pi / 4 * box.port_diameter_m * box.port_diameter_m;
}

double port_length_m(const VentedBox& box, double sound_speed_m_s) {
  require_volume_and_port(box);
  if (!(box.tuning_hz > 0)) throw std::invalid_argument("a port length follows only from a tuning above 0");
  const double tuned_wavenumber = wavenumber_at(box.tuning_hz, sound_speed_m_s);
  return port_area_m2(box) / (box.volume_m3 * tuned_wavenumber * tuned_wavenumber) - end_corrections_m(box);
}

double tuning_hz(const VentedBox& box, double sound_speed_m_s) {
  if (box.tuning_hz > 0) return box.tuning_hz;
  require_volume_and_port(box);
  if (!(box.port_length_m > 0))
    throw std::invalid_argument("a vented box needs a tuning or a port length above 0");
  const double length_m = box.port_length_m + end_corrections_m(box);
  return sound_speed_m_s / (2 * pi) * std::sqrt(port_area_m2(box) / (box.volume_m3 * length_m));
}

}  // namespace cabinfield
