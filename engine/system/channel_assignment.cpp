#include "system/channel_assignment.h"

#include <algorithm>
#include <cmath>
#include <compare>
#include <cstdlib>
#include <map>
#include <optional>
#include <stdexcept>
#include <tuple>

namespace cabinfield {
namespace {

/// Whole milliwatts: the order of summation must not decide.
double rounded_w(double watts) { return std::round(watts * 1000) / 1000; }

/// Cost of the channels from some point on.
struct Rest {
  int missing = 0;
  double short_w = 0, spare_w = 0;
  int bridged = 0;
  auto key() const { return std::tuple(missing, rounded_w(short_w), rounded_w(spare_w), bridged); }
};

/// Free outputs of a unit.
struct Left {
  int outputs = 0, pairs = 0;
  auto operator<=>(const Left&) const = default;

  bool has(bool bridged) const { return bridged ? pairs > 0 : outputs > 0; }
  /// A single output breaks a pair only where no other is free.
  Left without(bool bridged) const {
    if (bridged) return {outputs - 2, pairs - 1};
    return {outputs - 1, std::min(pairs, (outputs - 1) / 2)};
  }
};

class Division {
 public:
  Division(const std::vector<OutputOptions>& options, const std::vector<OutputOffer>& offers, unsigned chosen)
      : options_(options), offers_(offers), chosen_(chosen) {}

  std::vector<OutputChoice> best() {
    std::vector<Left> left;
    for (const OutputOffer& offer : offers_) left.push_back({offer.outputs, offer.pairs});
    std::vector<OutputChoice> choice;
    for (std::size_t w = 0; w < options_.size(); ++w) {
      choice.push_back(from(w, left).second);
      if (choice.back().unit < 0) continue;
      Left& of = left[static_cast<std::size_t>(choice.back().unit)];
      of = of.without(choice.back().bridged);
    }
    return choice;
  }

 private:
  using Found = std::pair<Rest, OutputChoice>;

  Found from(std::size_t options, const std::vector<Left>& left) {
    if (options == options_.size()) return {};
    if (auto known = known_.find({options, left}); known != known_.end()) return known->second;
    // Without an output.
    Found best{from(options + 1, left).first, {}};
    best.first.missing += 1;
    for (std::size_t u = 0; u < offers_.size(); ++u) {
      if ((chosen_ >> u & 1U) == 0) continue;
      for (bool bridged : {false, true}) {
        const OutputOffer& offer = offers_[u];
        if (!left[u].has(bridged)) continue;
        const double power_w = bridged ? offer.bridged_power_w[options] : offer.power_w[options];
        if (!(power_w > 0)) continue;
        std::vector<Left> then = left;
        then[u] = left[u].without(bridged);
        Rest rest = from(options + 1, then).first;
        rest.short_w += short_of_w(options_[options], power_w);
        rest.spare_w += std::max(0.0, power_w - options_[options].power_w);
        rest.bridged += bridged ? 1 : 0;
        if (rest.key() < best.first.key()) best = {rest, {static_cast<int>(u), bridged}};
      }
    }
    return known_[{options, left}] = best;
  }

  const std::vector<OutputOptions>& options_;
  const std::vector<OutputOffer>& offers_;
  unsigned chosen_;
  std::map<std::pair<std::size_t, std::vector<Left>>, Found> known_;
};

}  // namespace

bool is_pair(int output, int other) {
  return std::min(output, other) % 2 == 1 && std::abs(output - other) == 1;
}

FreeOutputs::FreeOutputs(int outputs, bool bridges)
    : free_(static_cast<std::size_t>(std::max(0, outputs)), true), bridges_(bridges) {}

void FreeOutputs::take(int output) {
  if (output >= 1 && static_cast<std::size_t>(output) <= free_.size())
    free_[static_cast<std::size_t>(output) - 1] = false;
}

int FreeOutputs::count() const { return static_cast<int>(std::count(free_.begin(), free_.end(), true)); }

int FreeOutputs::pairs() const {
  int found = 0;
  for (std::size_t first = 0; bridges_ && first + 1 < free_.size(); first += 2)
    found += free_[first] && free_[first + 1] ? 1 : 0;
  return found;
}

int FreeOutputs::next(int pairs_to_come) const {
  for (std::size_t i = 0; i < free_.size(); ++i) {
    if (!free_[i]) continue;
    FreeOutputs then = *this;
    then.free_[i] = false;
    if (then.pairs() >= pairs_to_come) return static_cast<int>(i) + 1;
  }
  return 0;
}

int FreeOutputs::next_pair() const {
  for (std::size_t first = 0; bridges_ && first + 1 < free_.size(); first += 2)
    if (free_[first] && free_[first + 1]) return static_cast<int>(first) + 1;
  return 0;
}

double short_of_w(const OutputOptions& options, double power_w) {
  return power_w >= enough_power_part * options.power_w ? 0 : options.power_w - power_w;
}

bool better(const Assignment& one, const Assignment& other) {
  auto key = [](const Assignment& a) {
    return std::tuple(a.missing, rounded_w(a.short_w), a.units, rounded_w(a.spare_w), a.bridged);
  };
  return key(one) < key(other);
}

Assignment judged(const std::vector<OutputOptions>& options, const std::vector<OutputOffer>& offers,
                  std::vector<OutputChoice> choice) {
  Assignment result;
  std::vector<bool> used(offers.size(), false);
  for (std::size_t w = 0; w < options.size(); ++w) {
    if (choice[w].unit < 0) {
      ++result.missing;
      continue;
    }
    const auto u = static_cast<std::size_t>(choice[w].unit);
    used[u] = true;
    const double power_w = choice[w].bridged ? offers[u].bridged_power_w[w] : offers[u].power_w[w];
    result.short_w += short_of_w(options[w], power_w);
    result.spare_w += std::max(0.0, power_w - options[w].power_w);
    result.bridged += choice[w].bridged ? 1 : 0;
  }
  result.units = static_cast<int>(std::count(used.begin(), used.end(), true));
  result.choice = std::move(choice);
  return result;
}

Assignment propose_assignment(const std::vector<OutputOptions>& options,
                              const std::vector<OutputOffer>& offers) {
  if (offers.size() > most_assigned_units) throw std::invalid_argument("at most 12 units");
  std::optional<Assignment> best;
  for (unsigned chosen = 0; chosen < 1U << offers.size(); ++chosen) {
    const Assignment found = judged(options, offers, Division(options, offers, chosen).best());
    if (!best || better(found, *best)) best = found;
  }
  return *best;
}

}  // namespace cabinfield
