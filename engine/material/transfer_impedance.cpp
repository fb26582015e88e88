#include "material/transfer_impedance.h"

#include <cmath>
#include <stdexcept>

#include "base/constants.h"

namespace cabinfield {

Complex transfer_impedance_pa_s_m(const TransferImpedance& transfer_impedance, const Air& air,
                                  double frequency_hz) {
  if (transfer_impedance.rigid()) throw std::invalid_argument("nothing passes a rigid partition");
  if (!(frequency_hz > 0)) throw std::invalid_argument("a frequency must be greater than 0 Hz");
  Complex impedance = 0;
  if (transfer_impedance.panel)
    impedance +=
        air.characteristic_impedance() / panel_admittance(*transfer_impedance.panel, air, frequency_hz);
  if (transfer_impedance.porous) {
    const double thickness = transfer_impedance.porous->thickness_m;
    if (!(thickness > 0 && std::isfinite(thickness)))
      throw std::invalid_argument("the thickness of a porous partition must be greater than 0");
    const EquivalentFluid fluid = equivalent_fluid(transfer_impedance.porous->filling, air, {frequency_hz});
    impedance += Complex(0, 2 * pi * frequency_hz) * fluid.density_kg_m3[0] * thickness;
  }
  return impedance;
}

}  // namespace cabinfield
