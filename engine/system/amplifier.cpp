#include "system/amplifier.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "base/constants.h"

namespace cabinfield {
namespace {

/// Data sheets round.
constexpr double rounding = 0.01;
/// Voltage without load over that into the highest rated one, at most (common practice, no source): a steeper
/// line is a limit of current or of power, which a small load does not meet.
constexpr double greatest_open_part = 1.2;

struct LinePoint {
  double current_a = 0, voltage_v = 0;
};

/// From no load to the lowest rated one: voltage nowhere rising, current nowhere falling, whatever rounding
/// the ratings carry.
std::vector<LinePoint> load_line(const std::vector<AmplifierRating>& ratings, double voltage_factor) {
  std::vector<LinePoint> line;
  for (const AmplifierRating& rating : ratings) {
    LinePoint point{std::sqrt(rating.power_w / rating.load_ohm) * voltage_factor,
                    std::sqrt(rating.power_w * rating.load_ohm) * voltage_factor};
    if (!line.empty()) {
      point.current_a = std::max(point.current_a, line.back().current_a);
      point.voltage_v = std::min(point.voltage_v, line.back().voltage_v);
    }
    line.push_back(point);
  }
  const LinePoint first = line.front();
  double open_v = first.voltage_v;
  if (line.size() > 1) {
    const double lost_v = first.voltage_v - line[1].voltage_v, more_a = line[1].current_a - first.current_a;
    const double most_v = greatest_open_part * first.voltage_v;
    open_v = more_a > 0 ? std::min(most_v, open_v + lost_v / more_a * first.current_a) : open_v;
  }
  line.insert(line.begin(), {0, open_v});
  return line;
}

}  // namespace

Efficiency usual_efficiency(AmplifierClass kind) {
  return kind == AmplifierClass::d ? Efficiency{0.825, 0.65} : Efficiency{0.55, 0.275};
}

std::string rating_error(const std::vector<AmplifierRating>& ratings) {
  for (const AmplifierRating& rating : ratings)
    if (!(rating.load_ohm > 0 && rating.power_w > 0)) return "loads and powers are above 0";
  for (std::size_t i = 1; i < ratings.size(); ++i) {
    const AmplifierRating &high = ratings[i - 1], &low = ratings[i];
    if (!(low.load_ohm < high.load_ohm)) return fmt::format("two ratings for {:g} ohm", low.load_ohm);
    const double high_v = std::sqrt(high.power_w * high.load_ohm),
                 low_v = std::sqrt(low.power_w * low.load_ohm);
    if (low_v > high_v * (1 + rounding))
      return fmt::format(
          "{:g} W into {:g} ohm is more than {:g} W into {:g} ohm allow: {:.1f} V against {:.1f} V, "
          "at most {:.0f} W",
          low.power_w, low.load_ohm, high.power_w, high.load_ohm, low_v, high_v,
          high_v * high_v / low.load_ohm);
    const double high_a = std::sqrt(high.power_w / high.load_ohm),
                 low_a = std::sqrt(low.power_w / low.load_ohm);
    if (low_a < high_a * (1 - rounding))
      return fmt::format(
          "{:g} W into {:g} ohm is less current than {:g} W into {:g} ohm: {:.1f} A against {:.1f} A, "
          "at least {:.0f} W",
          low.power_w, low.load_ohm, high.power_w, high.load_ohm, low_a, high_a,
          high_a * high_a * low.load_ohm);
  }
  return "";
}

double clipped_power_ratio(double distortion) {
  if (!(distortion >= 0 && distortion <= 0.4))
    throw std::invalid_argument("a clipped sine has a distortion of 0 to 0.4");
  if (distortion == 0) return 1;
  // A sine of amplitude 1/sin(edge) cut off at 1: it leaves its straight part at that phase.
  auto of_edge = [](double edge) {
    const double amplitude = 1 / std::sin(edge);
    const double below = edge / 2 - std::sin(2 * edge) / 4;  // of sin^2 from 0 to the edge
    const double mean_square = 2 / pi * (amplitude * amplitude * below + pi / 2 - edge);
    const double fundamental = 4 / pi * (amplitude * below + std::cos(edge));
    const double first = fundamental * fundamental / 2;
    return std::pair(mean_square, std::sqrt(std::max(0.0, mean_square - first) / first));
  };
  double low = 1e-3, high = pi / 2;  // distortion falls as the edge rises
  for (int i = 0; i < 80; ++i) {
    const double middle = (low + high) / 2;
    (of_edge(middle).second > distortion ? low : high) = middle;
  }
  return 2 * of_edge(high).first;
}

OutputReach output_reach(const Amplifier& amplifier, bool bridged, double load_ohm, double supply_v) {
  const auto& ratings = bridged ? amplifier.bridged : amplifier.ratings;
  if (ratings.empty() || !(load_ohm > 0))
    throw std::invalid_argument("an output needs a rating, and a load above 0");
  const double clean = 1 / std::sqrt(clipped_power_ratio(amplifier.distortion));
  const double lift = amplifier.regulated ? 1 : supply_v / amplifier.supply_v;
  const std::vector<LinePoint> line = load_line(ratings, clean);
  const double greatest_a = line.back().current_a;
  // Where the load, voltage = load times current, meets the line.
  OutputReach reach;
  reach.voltage_v = load_ohm * greatest_a;
  reach.limit = OutputLimit::current;
  for (std::size_t i = 1; i < line.size(); ++i) {
    const LinePoint &from = line[i - 1], &to = line[i];
    if (load_ohm * to.current_a < to.voltage_v * lift * (1 - 1e-12)) continue;
    // Not by the slope: between two ratings of one current it has none.
    const double more_a = to.current_a - from.current_a, more_v = to.voltage_v - from.voltage_v;
    const double current_a =
        (from.voltage_v * more_a - more_v * from.current_a) * lift / (load_ohm * more_a - more_v * lift);
    reach.voltage_v = load_ohm * current_a;
    reach.limit = more_a > 0 ? OutputLimit::voltage : OutputLimit::current;
    break;
  }
  return reach;
}

double power_into_w(const Amplifier& amplifier, bool bridged, double load_ohm, double supply_v) {
  const double voltage_v = output_reach(amplifier, bridged, load_ohm, supply_v).voltage_v;
  return voltage_v * voltage_v / load_ohm;
}

double draw_w(const Amplifier& amplifier, double output_w, double full_w, double supply_v) {
  const double idle_w = amplifier.idle_a * supply_v;
  if (!(full_w > 0) || !(output_w > 0)) return idle_w;
  const double idle = idle_w / full_w;
  // Losses over full power, less the idle current: at full power, and at an eighth of it.
  const double at_full = std::max(0.0, 1 / amplifier.efficiency.full - 1 - idle);
  const double at_eighth = std::max(0.0, (1 / amplifier.efficiency.eighth - 1) / 8 - idle);
  const double root = std::sqrt(1.0 / 8);
  const double a = std::max(0.0, (at_eighth - at_full / 8) / (root - 1.0 / 8));
  const double b = at_full - a;
  const double part = std::min(1.0, output_w / full_w);
  return output_w + idle_w + full_w * std::max(0.0, a * std::sqrt(part) + b * part);
}

}  // namespace cabinfield
