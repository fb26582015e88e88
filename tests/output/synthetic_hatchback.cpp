#include "output/synthetic_hatchback.h"

#include <Eigen/Geometry>
#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <limits>
#include <utility>

#include "base/constants.h"

namespace cabinfield::synthetic {
namespace {

constexpr double sound_speed = 343.2;
constexpr double density = 1.204;

struct Located {
  std::string name;
  Vector3 position;
  Vector3 axis;
  double radius_m;
  double low_hz, high_hz;
  double volume_velocity;  ///< m3/s per volt at 1 kHz, falling with frequency
};

std::vector<Located> drivers() {
  auto mirrored = [](Located located) {
    located.name.replace(located.name.find("left"), 4, "right");
    located.position.y() *= -1;
    located.axis.y() *= -1;
    return located;
  };
  const Located tweeter{
      "tweeter_left", {0.48, -0.64, 0.86}, Vector3(0.75, 0.6, 0.25).normalized(), 0.0135, 2800, 20000, 5e-6};
  const Located mid{"mid_left", {0.70, -0.68, 0.30}, {0, 1, 0}, 0.064, 70, 2800, 6e-6};
  const Located rear{"rear_left", {1.75, -0.69, 0.42}, {0, 1, 0}, 0.050, 120, 6000, 3e-6};
  return {tweeter,
          mirrored(tweeter),
          mid,
          mirrored(mid),
          rear,
          mirrored(rear),
          {"tail_woofer", {2.45, 0.20, 0.30}, {-1, 0, 0}, 0.130, 25, 70, 8e-6}};
}

/// Half width of the cabin at a height.
double half_width(double z) { return z < 0.65 ? 0.68 + 0.04 * z / 0.65 : 0.72 - 0.20 * (z - 0.65) / 0.57; }

class Drawing {
 public:
  /// A flat polygon, convex, corner by corner; turned to run counter-clockwise as seen from the air.
  void face(const std::string& surface, std::vector<Vector3> corners, const Vector3& middle,
            bool air_inside) {
    const Vector3 normal = (corners[1] - corners[0]).cross(corners[2] - corners[0]);
    if ((normal.dot(middle - corners[0]) > 0) != air_inside) std::reverse(corners.begin(), corners.end());
    const int first = static_cast<int>(drawn.vertex_m.size());
    drawn.vertex_m.insert(drawn.vertex_m.end(), corners.begin(), corners.end());
    const int number = number_of(surface);
    for (int corner = 2; corner < static_cast<int>(corners.size()); ++corner) {
      drawn.triangle.push_back({first, first + corner - 1, first + corner});
      drawn.triangle_surface.push_back(number);
    }
  }

  /// A side view swept across, with a face for every edge and the two ends.
  void block(const std::string& name, const std::vector<Vector2>& side_view, double left, double right) {
    auto at = [](const Vector2& point, double y) { return Vector3(point.x(), y, point.y()); };
    std::vector<Vector3> left_end, right_end;
    Vector3 middle = Vector3::Zero();
    for (const Vector2& point : side_view)
      middle += at(point, (left + right) / 2) / static_cast<double>(side_view.size());
    for (std::size_t index = 0; index < side_view.size(); ++index) {
      const Vector2& here = side_view[index];
      const Vector2& next = side_view[(index + 1) % side_view.size()];
      face(name + ".edge" + std::to_string(index),
           {at(here, left), at(next, left), at(next, right), at(here, right)}, middle, false);
      left_end.push_back(at(here, left));
      right_end.push_back(at(here, right));
    }
    face(name + ".left", left_end, middle, false);
    face(name + ".right", right_end, middle, false);
  }

  void shell() {
    const std::vector<Vector2> outline = {{0, 0.08},    {0, 0.65},    {0.95, 1.18}, {2.00, 1.22}, {2.45, 1.1},
                                          {2.85, 0.65}, {2.85, 0.15}, {2.75, 0.05}, {0.35, 0}};
    const std::vector<std::string> names = {"bulkhead", "windscreen", "roof",  "roof",    "tailgate_glass",
                                            "tailgate", "tailgate",   "floor", "footwell"};
    const Vector3 middle(1.4, 0, 0.6);
    std::vector<Vector2> low, high;
    for (std::size_t index = 0; index < outline.size(); ++index) {
      const Vector2& here = outline[index];
      const Vector2& next = outline[(index + 1) % outline.size()];
      auto at = [](const Vector2& point, int side) {
        return Vector3(point.x(), side * half_width(point.y()), point.y());
      };
      face(names[index], {at(here, -1), at(next, -1), at(next, 1), at(here, 1)}, middle, true);
      if (here.y() <= 0.65) low.push_back(here);
      if (here.y() >= 0.65) high.push_back(here);
    }
    for (const auto& [side, suffix] : {std::pair(-1, "_left"), std::pair(1, "_right")})
      for (const auto& [part, name] : {std::pair(&low, "door"), std::pair(&high, "side_glass")}) {
        std::vector<Vector3> corners;
        for (const Vector2& point : *part)
          corners.emplace_back(point.x(), side * half_width(point.y()), point.y());
        face(std::string(name) + suffix, corners, middle, true);
      }
  }

  DrawnGeometry drawn;

 private:
  int number_of(const std::string& surface) {
    for (std::size_t index = 0; index < drawn.surface.size(); ++index)
      if (drawn.surface[index] == surface) return static_cast<int>(index);
    drawn.surface.push_back(surface);
    return static_cast<int>(drawn.surface.size()) - 1;
  }
};

DrawnGeometry cabin() {
  Drawing drawing;
  drawing.shell();
  drawing.block("dash", {{-0.05, 0.65}, {0.30, 0.80}, {0.55, 0.78}, {0.45, 0.40}, {-0.05, 0.40}}, -0.80,
                0.80);
  for (const auto& [name, left] : {std::pair("left", -0.62), std::pair("right", 0.18)}) {
    drawing.block(std::string("cushion_") + name, {{1.00, 0.15}, {1.00, 0.34}, {1.48, 0.28}, {1.48, 0.15}},
                  left, left + 0.44);
    drawing.block(std::string("back_") + name, {{1.46, 0.25}, {1.62, 0.85}, {1.74, 0.83}, {1.60, 0.22}}, left,
                  left + 0.44);
  }
  drawing.block("bench_cushion", {{1.85, 0.15}, {1.85, 0.36}, {2.28, 0.30}, {2.28, 0.15}}, -0.60, 0.60);
  drawing.block("bench_back", {{2.24, 0.28}, {2.38, 0.82}, {2.48, 0.80}, {2.34, 0.25}}, -0.60, 0.60);
  return drawing.drawn;
}

/// Fourth-order Linkwitz-Riley band-pass: two second-order Butterworth sections at each end, in cascade.
Complex band(double frequency, double low, double high) {
  auto lowpass = [](Complex s) { return 1.0 / (s * s + std::sqrt(2.0) * s + 1.0); };
  const Complex upper = lowpass(Complex(0, frequency / high));
  const Complex lower = lowpass(Complex(0, -low / frequency));
  return upper * upper * lower * lower;
}

Complex transfer(const Vector3& from, const Vector3& to, double frequency) {
  const std::array<std::pair<Vector3, double>, 3> sources = {
      std::pair(from, 2.0), std::pair(Vector3(from.x(), from.y(), -from.z()), 0.7),
      std::pair(Vector3(from.x(), (from.y() < 0 ? 1.4 : -1.4) - from.y(), from.z()), 1.1)};
  const Complex j(0, 1);
  const double omega = 2 * pi * frequency;
  Complex sum = 0;
  for (const auto& [point, strength] : sources) {
    const double distance = (to - point).norm();
    sum +=
        strength * j * omega * density / (4 * pi * distance) * std::exp(-j * omega * distance / sound_speed);
  }
  return sum;
}

/// Two amplifiers, two batteries, three cables and what limits the level: with different numbers throughout.
void plan(Results& results) {
  const std::size_t channels = results.channel.size(), presets = results.preset.size(),
                    seats = results.seat.size();
  double next = 1;
  auto filled = [&](auto table) {
    for (auto& value : table.values()) value = static_cast<std::decay_t<decltype(value)>>(next += 1);
    return table;
  };
  SystemReport& system = results.system;
  system.amplifier = {"front_amp", "tail_amp"};
  system.battery = {"start", "second"};
  system.cable = {"start to second", "second to front_amp", "second to tail_amp"};
  system.load_case = {"music, engine running", "full bass, engine running"};
  for (std::size_t c = 0; c < channels; ++c)
    system.feed.push_back({.amplifier = c < 6 ? 0 : 1,
                           .output = static_cast<int>(c < 6 ? c + 1 : 1),
                           .bridged_with = 0,
                           .processor_output = static_cast<int>(c + 1),
                           .proposed = c == 6,
                           .load_ohm = 3.2,
                           .load_hz = 430,
                           .power_w = 75,
                           .wanted_w = 60,
                           .why = "enough power"});
  system.wiring = {{6, "coils in series", 4, 3.4, 31, true, 240, true, true},
                   {6, "coils in parallel", 1, 0.85, 31, false, 0, false, false}};
  system.amplifier_a = filled(Table<double, 2>({2, 2}));
  system.amplifier_v = filled(Table<double, 2>({2, 2}));
  system.battery_a = filled(Table<double, 2>({2, 2}));
  system.battery_opens = Table<int, 2>({2, 2}, 0);
  system.battery_opens(1, 1) = 1;
  system.load_case_settled = {1, 0};
  system.cable_a = filled(Table<double, 2>({2, 3}));
  system.cable_drop_v = filled(Table<double, 2>({2, 3}));
  system.cable_c = {52, 47, 44};
  system.cable_limit_a = {160, 130, 130};
  system.cable_least_metric = {"16 mm2", "10 mm2", ""};
  system.cable_least_gauge = {"6 AWG", "8 AWG", ""};
  system.cable_fuse_a = {60, 40, 0};
  system.playing_hours = 3.5;
  system.total_kg = 42;
  system.front_kg = 11;
  system.rear_kg = 31;
  LimitReport& limits = results.limits;
  limits.kind = {"none", "signal", "amplifier voltage", "excursion"};
  limits.third_octave_hz = {100, 1000};
  limits.sine_db = filled(Table<double, 4>({presets, channels, seats, results.frequency_hz.size()}));
  limits.sine_kind = Table<int, 3>({presets, channels, results.frequency_hz.size()}, 3);
  limits.music_db = filled(Table<double, 4>({presets, channels, seats, 2}));
  limits.music_kind = Table<int, 2>({presets, channels}, 2);
  limits.system_sine_db = filled(Table<double, 3>({presets, seats, 2}));
  limits.system_music_db = filled(Table<double, 3>({presets, seats, 2}));
  limits.system_music_a_db = limits.system_music_c_db = limits.hours =
      filled(Table<double, 2>({presets, seats}));
  limits.system_music_kind.assign(presets, 2);
  limits.system_music_channel.assign(presets, 6);
}

}  // namespace

Results hatchback(std::size_t frequencies) {
  const std::vector<Located> located = drivers();
  const std::size_t D = located.size(), C = D, P = 2, S = 4, F = frequencies;
  Results results;
  results.program_version = "0.1.0";
  results.title = "Invented hatchback \"Überlänge\", $5 to $6 a seat \xF0\x9F\x9A\x97";
  results.scene_source = "cabinfield: 1\ntitle: invented  # every number made up\n";
  results.scene_resolved = "cabinfield: 1\nunits: {length: m}\n";
  results.field = FieldKind::images;
  results.wheel_side = "left";
  for (std::size_t index = 0; index < F; ++index)
    results.frequency_hz.push_back(10 * std::exp2(static_cast<double>(index) / 48));
  results.seat = {"driver", "passenger", "rear_left", "rear_right"};
  results.preset = {"as_drawn", "driver_only"};
  results.sound_speed_m_s = sound_speed;
  results.density_kg_m3 = density;
  results.geometry = cabin();
  for (const Located& driver : located) {
    results.driver.push_back(driver.name);
    results.channel.push_back(driver.name + "_channel");
    results.driver_position_m.push_back(driver.position);
    results.driver_axis.push_back(driver.axis);
    results.driver_radius_m.push_back(driver.radius_m);
  }
  const std::array<Vector3, 4> heads = {
      Vector3(1.42, -0.38, 1.00), {1.42, 0.38, 1.00}, {2.16, -0.36, 0.98}, {2.16, 0.36, 0.98}};
  results.ear_position_m = Table<Vector3, 2>({S, 2}, Vector3::Zero());
  for (std::size_t seat = 0; seat < S; ++seat)
    for (std::size_t ear = 0; ear < 2; ++ear)
      results.ear_position_m(seat, ear) = heads[seat] + Vector3(0, ear == 0 ? -0.0875 : 0.0875, 0);
  results.mark = {"door_edge_left", "door_edge_right", "tailgate_latch"};
  results.mark_position_m = {{0.45, -0.70, 0.60}, {0.45, 0.70, 0.60}, {2.84, 0, 0.30}};

  results.path_length_m = Table<double, 3>({S, 2, D});
  results.arrival_s = Table<double, 3>({S, 2, D});
  results.direct = Table<int, 3>({S, 2, D}, 1);
  results.angle_deg = Table<double, 3>({S, D, 3});
  results.transfer_pa_s_m3 = Table<Complex, 4>({D, S, 2, F});
  results.terminal_voltage_v = 2.83;
  results.volume_velocity_m3_s = Table<Complex, 2>({D, F});
  results.excursion_m = Table<Complex, 2>({D, F});
  results.impedance_ohm = Table<Complex, 2>({D, F});
  results.channel_pa = Table<Complex, 5>({P, C, S, 2, F});
  results.signal_pa = Table<Complex, 5>({P, 3, S, 2, F});
  results.drives = Table<int, 2>({C, D}, 0);
  results.delay_s = Table<double, 2>({P, C});
  results.gain_db = Table<double, 2>({P, C}, -3.0);
  results.mute = Table<int, 2>({P, C}, 0);

  const Complex j(0, 1);
  for (std::size_t d = 0; d < D; ++d) {
    const Located& driver = located[d];
    results.drives(d, d) = 1;
    results.delay_s(1, d) = 0.00002 * static_cast<double>(10 + 7 * d);
    results.mute(1, d) = driver.name.starts_with("rear") ? 1 : 0;
    for (std::size_t f = 0; f < F; ++f) {
      const double frequency = results.frequency_hz[f], omega = 2 * pi * frequency;
      const double area = pi * driver.radius_m * driver.radius_m;
      results.volume_velocity_m3_s(d, f) = driver.volume_velocity * 1000.0 / frequency / j;
      results.excursion_m(d, f) = std::sqrt(2.0) * results.volume_velocity_m3_s(d, f) / (j * omega * area);
      results.impedance_ohm(d, f) =
          3.2 + j * omega * 2e-4 + 18.0 / (1.0 + j * (frequency / 60 - 60 / frequency));
    }
    for (std::size_t seat = 0; seat < S; ++seat) {
      const Vector3 offset = driver.position - heads[seat];
      results.angle_deg(seat, d, 0) = std::atan2(offset.y(), -offset.x()) * 180 / pi;
      results.angle_deg(seat, d, 1) = std::asin(offset.z() / offset.norm()) * 180 / pi;
      results.angle_deg(seat, d, 2) = std::acos(-offset.normalized().dot(driver.axis)) * 180 / pi;
      for (std::size_t ear = 0; ear < 2; ++ear) {
        const Vector3 at = results.ear_position_m(seat, ear);
        const bool blocked = seat > 1 && driver.name.starts_with("mid");
        const double length = (at - driver.position).norm() + (blocked ? 0.04 : 0.0);
        results.path_length_m(seat, ear, d) = length;
        results.arrival_s(seat, ear, d) = length / sound_speed;
        results.direct(seat, ear, d) =
            blocked ? 0 : (seat > 1 && driver.name == "tail_woofer" ? int(ear) : 1);
        for (std::size_t f = 0; f < F; ++f) {
          const double frequency = results.frequency_hz[f];
          const Complex heard = transfer(driver.position, at, frequency);
          results.transfer_pa_s_m3(d, seat, ear, f) = heard;
          for (std::size_t p = 0; p < P; ++p) {
            if (results.mute(p, d) != 0) continue;
            const Complex pressure = heard * results.volume_velocity_m3_s(d, f) * 2.83 *
                                     std::pow(10.0, results.gain_db(p, d) / 20) *
                                     band(frequency, driver.low_hz, driver.high_hz) *
                                     std::exp(-j * 2.0 * pi * frequency * results.delay_s(p, d));
            results.channel_pa(p, d, seat, ear, f) = pressure;
            const bool left = driver.name.ends_with("left"), right = driver.name.ends_with("right");
            if (!right) results.signal_pa(p, 0, seat, ear, f) += pressure * (left ? 1.0 : 0.5);
            if (!left) results.signal_pa(p, 1, seat, ear, f) += pressure * (right ? 1.0 : 0.5);
            results.signal_pa(p, 2, seat, ear, f) += pressure;
          }
        }
      }
    }
  }
  results.checks = {
      {Rule::mounting_depth, "mid_left", Outcome::met, Margin{0.012}, "Depth of mid_left: 12 mm to spare."},
      {Rule::mounting_depth, "mid_right", Outcome::violated, Margin{-0.004},
       "mid_right is 4 mm too deep, glass down."},
      {Rule::inputs, "driver_only", Outcome::caution, {}, "The rear channels are muted."}};
  const std::array<std::size_t, 2> judged{results.preset.size(), results.seat.size()};
  results.interaural_known = Table<int, 2>(judged, 1);
  results.interaural_time_s = Table<double, 2>(judged, -0.00021);
  results.interaural_coherence = Table<double, 2>(judged, 0.83);
  results.interaural_level_db = Table<double, 2>(judged, -2.4);
  results.side_angle_deg = Table<double, 2>(judged, -24.0);
  const std::array<std::size_t, 2> alone{results.channel.size(), results.seat.size()};
  results.channel_interaural_known = Table<int, 2>(alone, 1);
  results.channel_interaural_time_s = Table<double, 2>(alone, 0.00034);
  results.channel_interaural_coherence = Table<double, 2>(alone, 0.91);
  results.channel_interaural_level_db = Table<double, 2>(alone, 3.1);
  results.channel_side_angle_deg = Table<double, 2>(alone, 38.0);
  results.impulse_time_s = {0.0, 1.0 / 48000, 2.0 / 48000};
  results.impulse_pa_m3 = Table<double, 4>({results.driver.size(), results.seat.size(), 2, 3}, 0.25);
  results.reflection = {{0, 0, 0, 1, "windscreen", 1.21, 0.00353, -3.4, 1430.0},
                        {0, 1, 1, 2, "dash.top > windscreen", 1.62, 0.00472, -7.9, 690.0}};
  results.notch = {{0, 0, 0, 0, 1430.0, -9.2, "windscreen", 0.12}, {1, 1, 1, 1, 820.0, -6.1, "", 0.0}};
  results.join_coherence = Table<double, 3>({D, S, 2}, 0.93);
  results.join_mismatch_db = Table<double, 3>({D, S, 2}, -1.5);
  results.wave_top_hz = 400;
  results.wave_error = 0.004;
  results.wave_degrees_of_freedom = 21804;
  results.wave_basis_vectors = 176;
  results.maps.frequency_hz = {40, 63};
  results.maps.surface = {"floor", "ear height"};
  results.maps.point_m = {{0, 0, 0}, {1, 0, 0}, {0, 1, 0}, {0, 0, 1}, {1, 0, 1}, {0, 1, 1}};
  results.maps.triangle = {{0, 1, 2}, {3, 4, 5}};
  results.maps.triangle_surface = {0, 1};
  results.maps.driver_pa = Table<Complex, 3>({results.driver.size(), 2, 6}, Complex(0.5, -0.25));
  results.maps.channel_pa = Table<Complex, 3>({results.channel.size(), 2, 6}, Complex(0.25, 0.125));
  results.mode_frequency_hz = {68.2, 118.0, 131.5};
  results.mode_damped_hz = {66.9, 116.1, 129.0};
  results.mode_q = {5.1, 4.4, 3.8};
  results.mode_along = {{0.94, 0.01, 0.05}, {0.02, 0.95, 0.03}, {0.55, 0.02, 0.43}};
  results.mode_ear_level = Table<double, 3>({3, S, 2}, 0.4);
  plan(results);
  results.notes = {"block dash: moved by up to 3 mm so that the cabin can be meshed"};
  results.warnings = {"absorption of 'carpet' at 4 kHz clamped to 0.95"};
  return results;
}

}  // namespace cabinfield::synthetic
