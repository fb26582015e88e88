#include "field/wave/wave_medium.h"

#include <algorithm>

namespace cabinfield {

Table<Complex, 2> WaveMedium::properties(const WaveMatrices& matrices, const Cabin& cabin,
                                         const std::vector<double>& frequency_hz) const {
  const std::size_t terms = matrices.terms().size(), frequencies = frequency_hz.size();
  const double impedance = air.characteristic_impedance(), bulk_modulus_pa = impedance * air.sound_speed_m_s;
  Table<Complex, 2> property({terms, frequencies});
  for (std::size_t t = 0; t < terms; ++t) {
    const OperatorTerm& term = matrices.terms()[t];
    Complex* row = property.row(t);
    switch (term.kind) {
      case OperatorTerm::Kind::stiffness:
      case OperatorTerm::Kind::mass: {
        std::fill(row, row + frequencies, Complex(1));
        if (term.index == Mesh::air) break;
        const EquivalentFluid fluid =
            equivalent_fluid(fillings.at(cabin.shape().blocks.at(term.index).filling), air, frequency_hz);
        for (std::size_t f = 0; f < frequencies; ++f)
          row[f] = term.kind == OperatorTerm::Kind::stiffness ? air.density_kg_m3 / fluid.density_kg_m3[f]
                                                              : bulk_modulus_pa / fluid.bulk_modulus_pa[f];
        break;
      }
      case OperatorTerm::Kind::wall: {
        const WallGroup& wall = matrices.walls()[term.index];
        const std::vector<Complex> beta = specific_admittance(materials.at(wall.material), air, frequency_hz);
        std::copy(beta.begin(), beta.end(), row);
        double surface_area_m2 = 0;
        for (const WallGroup& other : matrices.walls())
          if (other.surface == wall.surface) surface_area_m2 += other.area_m2;
        for (const SurfaceLeak& leak : leaks)
          if (leak.surface == wall.surface)
            for (std::size_t f = 0; f < frequencies; ++f)
              row[f] +=
                  impedance * leak_admittance_m3_s_pa(leak.leak, air, frequency_hz[f]) / surface_area_m2;
        break;
      }
      case OperatorTerm::Kind::sheet: {
        const TransferImpedance& transfer_impedance = transfer_impedances.at(term.index);
        for (std::size_t f = 0; f < frequencies; ++f)
          row[f] = transfer_impedance.rigid()
                       ? Complex(0)
                       : impedance / transfer_impedance_pa_s_m(transfer_impedance, air, frequency_hz[f]);
        break;
      }
    }
  }
  return property;
}

int wavenumber_power(OperatorTerm::Kind kind) {
  switch (kind) {
    case OperatorTerm::Kind::stiffness:
      return 0;
    case OperatorTerm::Kind::mass:
      return 2;
    case OperatorTerm::Kind::wall:
    case OperatorTerm::Kind::sheet:
      return 1;
  }
  return 0;
}

Complex term_weight(OperatorTerm::Kind kind, Complex property, Complex wavenumber_per_m) {
  switch (kind) {
    case OperatorTerm::Kind::stiffness:
      return property;
    case OperatorTerm::Kind::mass:
      return -wavenumber_per_m * wavenumber_per_m * property;
    case OperatorTerm::Kind::wall:
    case OperatorTerm::Kind::sheet:
      return Complex(0, 1) * wavenumber_per_m * property;
  }
  return 0;
}

}  // namespace cabinfield
