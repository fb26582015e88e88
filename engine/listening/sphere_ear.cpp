#include "listening/sphere_ear.h"

#include <algorithm>
#include <cmath>

namespace cabinfield {
namespace {

class SphereEar : public ReceiverPattern {
 public:
  SphereEar(std::shared_ptr<const SphereHead> head, const Vector3& side, double radius_m)
      : head_(std::move(head)), side_(side), radius_m_(radius_m) {}

  void evaluate(const Vector3& arrival, std::span<Complex> factor) const override {
    head_->evaluate(std::acos(std::clamp(arrival.dot(side_), -1.0, 1.0)), factor);
  }
  // First-order term of the sphere's series: p + (3/2) a dp/dn at its surface.
  Vector3 long_wave_offset() const override { return 1.5 * radius_m_ * side_; }

 private:
  std::shared_ptr<const SphereHead> head_;
  Vector3 side_;
  double radius_m_;
};

}  // namespace

std::array<std::shared_ptr<const ReceiverPattern>, 2> sphere_ears(const std::vector<double>& wavenumber_per_m,
                                                                  double radius_m) {
  const auto head = std::make_shared<const SphereHead>(wavenumber_per_m, radius_m);
  return {std::make_shared<const SphereEar>(head, -Vector3::UnitY(), radius_m),
          std::make_shared<const SphereEar>(head, Vector3::UnitY(), radius_m)};
}

}  // namespace cabinfield
