#include "study/monte_carlo.h"

#include <cmath>
#include <stdexcept>
#include <string_view>

#include "base/spread.h"
#include "driver/thiele_small.h"
#include "geometry/shape_members.h"

namespace cabinfield {
namespace {

/// A number of its own for each name (FNV-1a).
std::uint32_t stream_of(std::string_view kind, std::string_view name) {
  std::uint32_t hash = 2166136261u;
  for (const std::string_view part : {kind, std::string_view(":"), name})
    for (const char c : part) hash = (hash ^ static_cast<unsigned char>(c)) * 16777619u;
  return hash;
}

/// Draws of one thing, one after the other.
class Sampler {
 public:
  Sampler(const Uncertainty& uncertainty, std::uint64_t sample, std::string_view kind, std::string_view name)
      : random_(uncertainty.seed), sample_(sample), stream_(stream_of(kind, name)) {}

  double value(SpreadKind kind, double size, double of) {
    const Spread spread{kind, size, 0, 0};
    return sampled(spread, of, spread_sample(random_, sample_, stream_, next_++));
  }
  double within(double low, double high) {
    const Spread spread{SpreadKind::range, 0, low, high};
    return sampled(spread, low, spread_sample(random_, sample_, stream_, next_++));
  }
  Vector3 shift(double x_m, double y_m, double z_m) {
    const double x = value(SpreadKind::plus_minus, x_m, 0), y = value(SpreadKind::plus_minus, y_m, 0),
                 z = value(SpreadKind::plus_minus, z_m, 0);
    return {x, y, z};
  }

 private:
  CounterRandom random_;
  std::uint64_t sample_;
  std::uint32_t stream_, next_ = 0;
};

/// The shift, halved until it leads somewhere allowed; none where that does not help.
template <typename Allowed>
Vector3 allowed_shift(Vector3 shift, const Allowed& allowed) {
  if (shift.isZero(0)) return shift;
  for (int tries = 0; tries < 6; ++tries, shift *= 0.5)
    if (allowed(shift)) return shift;
  return Vector3::Zero();
}

Air sampled_air(const Air& air, const Uncertainty& uncertainty, std::uint64_t sample) {
  Sampler sampler(uncertainty, sample, "air", "temperature");
  AirConditions conditions = air.conditions;
  const double given_k = conditions.temperature_k;
  conditions.temperature_k = sampler.within(uncertainty.temperature_k[0], uncertainty.temperature_k[1]);
  if (conditions.temperature_k == given_k) return air;
  if (air == air_at(air.conditions)) return air_at(conditions);
  // Given by its sound speed and density: as an ideal gas at 20 degC would change.
  const double ratio = conditions.temperature_k / given_k;
  return air_with(air.sound_speed_m_s * std::sqrt(ratio), air.density_kg_m3 / ratio);
}

ThieleSmall sampled_parameters(const MountedDriver& driver, const Uncertainty& uncertainty, Sampler& sampler,
                               const Air& as_given, const Air& sampled) {
  const ThieleSmall& set = driver.thiele_small;
  const double fs = sampler.value(SpreadKind::relative, uncertainty.driver_resonance, 1),
               qes = sampler.value(SpreadKind::relative, uncertainty.driver_q, 1),
               qms = sampler.value(SpreadKind::relative, uncertainty.driver_q, 1),
               vas = sampler.value(SpreadKind::relative, uncertainty.driver_vas, 1);
  if (fs == 1 && qes == 1 && qms == 1 && vas == 1) return in_air(set, as_given, sampled);
  ThieleSmallGiven given;
  given.Fs_hz = set.Fs_hz * fs;
  given.Qes = set.Qes * qes;
  given.Qms = set.Qms * qms;
  given.Vas_m3 = set.Vas_m3 * vas;
  given.Re_ohm = set.Re_ohm;
  given.Le_h = set.Le_h;
  given.Sd_m2 = set.Sd_m2;
  given.Xmax_m = set.Xmax_m;
  const ThieleSmallResult derived = derive_thiele_small(given, as_given);
  return in_air(derived.errors.empty() ? derived.set : set, as_given, sampled);
}

Loading sampled_loading(Loading loading, double factor) {
  if (auto* sealed = std::get_if<SealedBox>(&loading)) sealed->volume_m3 *= factor;
  if (auto* door = std::get_if<DoorCavity>(&loading)) door->volume_m3 *= factor;
  if (auto* vented = std::get_if<VentedBox>(&loading)) {
    vented->volume_m3 *= factor;
    // The port stays: a larger box is tuned lower.
    if (vented->tuning_hz > 0) vented->tuning_hz /= std::sqrt(factor);
  }
  return loading;
}

void sample_drivers(Scene& scene, const Uncertainty& uncertainty, std::uint64_t sample, const Air& as_given) {
  for (std::size_t d = 0; d < scene.drivers.size(); ++d) {
    MountedDriver& driver = scene.drivers[d];
    Sampler sampler(uncertainty, sample, "driver", driver.name);
    Vector3 shift = sampler.shift(uncertainty.tape_m, uncertainty.tape_m, uncertainty.tape_m);
    const Vector3 from = driver.source.position;
    if (scene.cabin && driver.source.face >= 0) {
      const Face& face = scene.cabin->faces()[static_cast<std::size_t>(driver.source.face)];
      shift -= shift.dot(face.normal) * face.normal;
    }
    driver.source.position += allowed_shift(shift, [&](const Vector3& by) {
      for (const CabinState& state : scene.states) {
        if (!state.cabin) continue;
        const int face = state.face[d];
        if (face >= 0 ? !state.cabin->exposed(face, from + by) : !state.cabin->in_air(from + by))
          return false;
      }
      return true;
    });
    driver.thiele_small = sampled_parameters(driver, uncertainty, sampler, as_given, scene.air);
    driver.level_db += sampler.value(SpreadKind::plus_minus, uncertainty.driver_level_db, 0);
    // A box that several drivers share has one volume.
    Sampler of_box(uncertainty, sample, "box", driver.box);
    driver.loading = sampled_loading(
        driver.loading,
        (driver.box.empty() ? sampler : of_box).value(SpreadKind::relative, uncertainty.box_volume, 1));
  }
}

void sample_ears(Scene& scene, const Uncertainty& uncertainty, std::uint64_t sample) {
  for (Seat& seat : scene.seats) {
    Sampler sampler(uncertainty, sample, "seat", seat.name);
    const Vector3 shift =
        allowed_shift(sampler.shift(uncertainty.ear_along_m, uncertainty.ear_across_m, uncertainty.ear_up_m),
                      [&](const Vector3& by) {
                        for (const CabinState& state : scene.states)
                          for (const Vector3& ear : seat.ear)
                            if (state.cabin && !state.cabin->in_air(ear + by)) return false;
                        return true;
                      });
    seat.head += shift;
    for (Vector3& ear : seat.ear) ear += shift;
  }
}

void sample_materials(Scene& scene, const Uncertainty& uncertainty, std::uint64_t sample) {
  for (Material& material : scene.materials) {
    if (material.rigid()) continue;
    Sampler sampler(uncertainty, sample, "material", material.name);
    // A factor on the impedance, and so its inverse on the admittance.
    material.admittance_factor /= sampler.value(SpreadKind::factor, uncertainty.material_impedance, 1);
  }
  for (Filling& filling : scene.fillings) {
    Sampler sampler(uncertainty, sample, "filling", filling.name);
    filling.flow_resistivity_pa_s_m2 *= sampler.value(SpreadKind::factor, uncertainty.material_impedance, 1);
  }
}

/// Multiplies every coordinate by the factor of its axis.
struct Stretch {
  Vector3 by;
  void coordinate(GeometryRole role, double& value) const { value *= by[axis_of(role, 0)]; }
  void derived(GeometryRole role, double& value) const { coordinate(role, value); }
  void size(double&) const {}
  void name(const std::string&) const {}
  void topology(int) const {}
  void material(int) const {}
};

CabinShape stretched(CabinShape shape, const Vector3& by) {
  const Stretch stretch{by};
  visit_members(shape, stretch);
  return shape;
}

void stretch_cabin(Scene& scene, const Uncertainty& uncertainty, std::uint64_t sample, CabinShelf& cabins) {
  if (!scene.cabin || uncertainty.cabin_size_m == 0) return;
  Sampler sampler(uncertainty, sample, "cabin", "size");
  Vector3 low = Vector3::Constant(1e9), high = -low;
  for (const Face& face : scene.cabin->faces())
    for (const Vector3& corner : face.corner) {
      low = low.cwiseMin(corner);
      high = high.cwiseMax(corner);
    }
  const Vector3 longer =
      sampler.shift(uncertainty.cabin_size_m, uncertainty.cabin_size_m, uncertainty.cabin_size_m);
  if (longer.isZero(0)) return;
  const Vector3 by = Vector3::Ones() + longer.cwiseQuotient(high - low);
  for (CabinState& state : scene.states) {
    std::vector<ShapeProblem> problems;
    state.cabin = cabins.cabin(stretched(state.cabin->shape(), by), problems);
    if (!problems.empty())
      throw std::invalid_argument("the cabin cannot be stretched: " + problems.front().message);
    state.ways = cabins.ways(state.cabin);
  }
  scene.cabin = scene.states.front().cabin;
  scene.ways = scene.states.front().ways;
  for (MountedDriver& driver : scene.drivers) {
    driver.source.position = driver.source.position.cwiseProduct(by);
    if (driver.rear) driver.rear = driver.rear->cwiseProduct(by);
    if (driver.source.face < 0) continue;
    // Onto the plane again that rounding may have left.
    const Face& face = scene.cabin->faces()[static_cast<std::size_t>(driver.source.face)];
    driver.source.position -= (face.normal.dot(driver.source.position) - face.offset) * face.normal;
  }
  for (Seat& seat : scene.seats) {
    const Vector3 shift = seat.head.cwiseProduct(by) - seat.head;
    seat.head += shift;
    for (Vector3& ear : seat.ear) ear += shift;
  }
}

}  // namespace

Scene sampled_scene(const Scene& scene, const Uncertainty& uncertainty, std::uint64_t sample,
                    CabinShelf& cabins) {
  Scene result = scene;
  stretch_cabin(result, uncertainty, sample, cabins);
  result.air = sampled_air(scene.air, uncertainty, sample);
  sample_drivers(result, uncertainty, sample, scene.air);
  sample_ears(result, uncertainty, sample);
  sample_materials(result, uncertainty, sample);
  return result;
}

}  // namespace cabinfield
