// A box on a regular mesh, with the full or the reduced-order model.
#pragma once

#include <vector>

#include "field/wave/wave_field.h"
#include "support/box_mesh.h"

namespace cabinfield::test {

struct SolvedBox {
  Cabin cabin;
  FiniteElementSpace space;
  WaveMatrices matrices;
  WaveMedium medium;
  std::vector<Vector3> ear_positions;
  std::vector<PointValue> ears;
  ModelReducer reducer;

  SolvedBox(Cabin box, const BoxMeshOptions& options, WaveMedium stuff, const std::vector<Vector3>& at);
  SolvedBox(const SolvedBox&) = delete;

  /// Pressure at an ear per volume velocity at a point, Pa s/m3.
  Complex in_full(const Vector3& source, double frequency_hz, Eigen::Index ear = 0) const;
  Complex reduced(const ReducedOrderModel& basis_vectors, const Vector3& source, double frequency_hz,
                  Eigen::Index ear = 0) const;

  /// The same as a field. This box must outlive it.
  WaveField field(double top_hz) const;
};

}  // namespace cabinfield::test
