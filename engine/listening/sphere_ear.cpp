#include "listening/sphere_ear.h"

#include <algorithm>
#include <cmath>

namespace cabinfield {
namespace {

class SphereEar : public ReceiverPattern {
 public:
  SphereEar(std::shared_ptr<const SphereHead> head, const Vector3& side)
      : head_(std::move(head)), side_(side) {}

  void evaluate(const Vector3& arrival, std::span<Complex> factor) const override {
    head_->evaluate(std::acos(std::clamp(arrival.dot(side_), -1.0, 1.0)), factor);
  }

 private:
  std::shared_ptr<const SphereHead> head_;
  Vector3 side_;
};

}  // namespace

std::array<std::shared_ptr<const ReceiverPattern>, 2> sphere_ears(const std::vector<double>& wavenumber_per_m,
                                                                  double radius_m) {
  const auto head = std::make_shared<const SphereHead>(wavenumber_per_m, radius_m);
  return {std::make_shared<const SphereEar>(head, -Vector3::UnitY()),
          std::make_shared<const SphereEar>(head, Vector3::UnitY())};
}

}  // namespace cabinfield
