#include "scene/cabin_shelf.h"

#include <algorithm>

namespace cabinfield {

std::shared_ptr<const Cabin> CabinShelf::cabin(const CabinShape& shape, std::vector<ShapeProblem>& problems) {
  const std::lock_guard lock(guard_);
  const auto found = std::find_if(standing_.begin(), standing_.end(),
                                  [&](const Standing& one) { return one.shape == shape; });
  if (found != standing_.end()) {
    standing_.splice(standing_.begin(), standing_, found);
    return standing_.front().cabin;
  }
  const std::size_t before = problems.size();
  auto built = std::make_shared<const Cabin>(Cabin::build(shape, problems));
  if (problems.size() > before) return built;
  standing_.push_front({shape, built, nullptr});
  if (standing_.size() > most_) standing_.pop_back();
  return built;
}

std::shared_ptr<const DiffractionPath> CabinShelf::ways(const std::shared_ptr<const Cabin>& cabin) {
  const std::lock_guard lock(guard_);
  const auto found = std::find_if(standing_.begin(), standing_.end(),
                                  [&](const Standing& one) { return one.cabin == cabin; });
  if (found == standing_.end()) return std::make_shared<const DiffractionPath>(*cabin);
  if (!found->ways) found->ways = std::make_shared<const DiffractionPath>(*cabin);
  return found->ways;
}

}  // namespace cabinfield
