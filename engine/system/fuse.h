// Fuses of cables: standard ratings, and the one that protects a cable and carries its load.
#pragma once

#include <optional>
#include <vector>

namespace cabinfield {

/// Rated currents of road-vehicle fuses, A: ISO 8820-3 (blade, to 40 A), 8820-4 and 8820-5 (bolted, to 500
/// A); values from memory.
const std::vector<double>& fuse_steps_a();

/// A fuse carries this part of its rating continuously (ISO 8820: operation at up to 70 to 80 %; value from
/// memory).
inline constexpr double fuse_continuous_part = 0.75;

/// The smallest fuse that carries `continuous_a` continuously and whose rating is within the cable's limit;
/// empty where there is none.
std::optional<double> cable_fuse_a(double continuous_a, double cable_limit_a);

/// True for a standard rating.
bool is_fuse_step(double rating_a);

}  // namespace cabinfield
