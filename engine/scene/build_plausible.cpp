// Warnings about settings that are legal but implausible, in a scene without faults.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/constants.h"
#include "channel/channel.h"
#include "field/frequency_grid.h"
#include "scene/build_steps.h"

namespace cabinfield::build {
namespace {

/// The largest cabins of road vehicles, vans included, hold some 20 m3 (common practice, no source).
constexpr double largest_cabin_m3 = 40;
/// Of a surface, beyond which it is no wall any more (common practice, no source).
constexpr double largest_leak_part = 0.5;
/// Direct radiators convert some per cent of their power (common practice, no source); 100 % is a limit of
/// nature.
constexpr double greatest_efficiency = 0.1;
/// Equaliser and gain together (common practice, no source): 20 dB are a hundredfold power.
constexpr double greatest_boost_db = 20;
/// Sound travels 10 m in it; no path in a cabin comes near.
constexpr double longest_delay_s = 0.030;
/// A channel that lets through less than this at its loudest is silent.
constexpr double silent_db = -40;
/// Two cones, or two heads, have no room closer together than this.
constexpr double same_place_m = 0.01;

struct Plausible {
  const SceneSpec& spec;
  const Scene& scene;
  Faults& faults;

  void cabin() const {
    if (!scene.cabin) return;
    const double volume_m3 = scene.cabin->air_volume_m3();
    if (volume_m3 > largest_cabin_m3)
      faults.warn(
          spec.cabin->location,
          fmt::format("cabin: {:.0f} m3 of air; cabins of road vehicles hold up to 20 m3: check the units",
                      volume_m3));
    std::vector<double> leak_m2(scene.cabin->surfaces().size(), 0.0);
    for (const CabinLeak& leak : scene.leaks)
      if (leak.surface >= 0) leak_m2[static_cast<std::size_t>(leak.surface)] += leak.leak.area_m2;
    for (std::size_t s = 0; s < leak_m2.size(); ++s) {
      if (!(leak_m2[s] > 0)) continue;
      const double area_m2 = scene.cabin->surface_area_m2(static_cast<int>(s));
      if (leak_m2[s] > largest_leak_part * area_m2)
        faults.warn(
            spec.cabin->at("leaks"),
            fmt::format("leaks: {:.2f} m2 of openings in surface '{}' of {:.2f} m2: draw it as absent "
                        "instead, or check the area",
                        leak_m2[s], scene.cabin->surfaces()[s], area_m2));
    }
  }

  template <typename List, typename Position>
  void apart(const List& list, const char* noun, Position position, auto location) const {
    for (std::size_t i = 0; i < list.size(); ++i)
      for (std::size_t j = i + 1; j < list.size(); ++j)
        if ((position(list[i]) - position(list[j])).norm() < same_place_m)
          faults.warn(location(j), fmt::format("{}s '{}' and '{}' are at the same position", noun,
                                               list[i].name, list[j].name));
  }

  void drivers() const {
    apart(
        scene.seats, "seat", [](const Seat& seat) { return seat.head; },
        [&](std::size_t j) {
          const int listed = position_of(spec.seats, scene.seats[j].name);
          return listed < 0 ? spec.at("seats") : spec.seats[static_cast<std::size_t>(listed)].location;
        });
    apart(
        scene.drivers, "driver", [](const MountedDriver& driver) { return driver.source.position; },
        [&](std::size_t j) { return scene.drivers[j].location; });
    for (const MountedDriver& driver : scene.drivers) {
      const double efficiency = reference_efficiency(driver.thiele_small, scene.air);
      if (efficiency > greatest_efficiency)
        faults.warn(driver.location,
                    fmt::format("driver '{}': its parameters give an efficiency of {:.0f} %, above {:.0f} %: "
                                "check Fs, Vas and Qes",
                                driver.name, 100 * efficiency, 100 * greatest_efficiency));
      // Moving mass contains the air that the cone carries: a piston in a baffle, both sides, 2 x 8/3 rho a^3
      // (Rayleigh; Beranek & Mellow, Acoustics, ch. 4).
      const double air_kg = 16.0 / 3 * scene.air.density_kg_m3 * std::pow(driver.thiele_small.radius_m(), 3);
      if (driver.thiele_small.Mms_kg < air_kg)
        faults.warn(
            driver.location,
            fmt::format("driver '{}': a moving mass of {:.3g} g is less than the {:.3g} g of air that its "
                        "cone carries: check Fs, Vas and Sd",
                        driver.name, 1000 * driver.thiele_small.Mms_kg, 1000 * air_kg));
    }
  }

  void port_of(const MountedDriver& driver) const {
    const auto* box = std::get_if<VentedBox>(&driver.loading);
    if (box == nullptr || !(box->port_diameter_m > 0)) return;
    const double length_m =
        box->tuning_hz > 0 ? port_length_m(*box, scene.air.sound_speed_m_s) : box->port_length_m;
    const double port_m3 = port_area_m2(*box) * std::max(0.0, length_m);
    if (port_m3 > box->volume_m3)
      faults.warn(
          driver.location,
          fmt::format("driver '{}': ports of {:.3g} m length and {:.3g} L are larger than their box of "
                      "{:.3g} L: check volume, tuning and port_diameter",
                      driver.name, length_m, 1000 * port_m3, 1000 * box->volume_m3));
  }

  void ports() const {
    std::vector<std::string> boxes;
    for (const MountedDriver& driver : scene.drivers) {
      if (!driver.box.empty() && std::count(boxes.begin(), boxes.end(), driver.box) > 0) continue;
      boxes.push_back(driver.box);
      port_of(driver);
    }
  }

  /// Once for each channel: presets mostly repeat it.
  void channel(std::size_t c) const {
    static const std::vector<double> frequency_hz = octave_grid_hz(20, 20000, 12);
    const std::string& name = scene.channels[c].name;
    const int listed = position_of(spec.channels, name);
    const SourceLocation location =
        listed < 0 ? spec.at("channels") : spec.channels[static_cast<std::size_t>(listed)].location;
    bool late = false, loud = false, silent = false;
    for (const Preset& preset : scene.presets) {
      ChannelSettings settings = preset.channels[c];
      if (settings.mute) continue;
      auto warn = [&](bool& told, bool wrong, const std::string& words) {
        if (!told && wrong)
          faults.warn(location, fmt::format("channel '{}': in preset '{}' {}", name, preset.name, words));
        told = told || wrong;
      };
      warn(
          late, settings.delay_s > longest_delay_s,
          fmt::format(
              "it is delayed by {:.0f} ms, the time for {:.0f} m of path: no cabin needs more than {:.0f} ms",
              1000 * settings.delay_s, settings.delay_s * scene.air.sound_speed_m_s, 1000 * longest_delay_s));
      double loudest = 0, at_hz = 0;
      const auto response = channel_response(settings, frequency_hz, scene.computation.sample_rate_hz);
      for (std::size_t f = 0; f < frequency_hz.size(); ++f)
        if (std::abs(response[f]) > loudest) loudest = std::abs(response[f]), at_hz = frequency_hz[f];
      const double boost_db = 20 * std::log10(std::max(loudest, 1e-20));
      warn(loud, boost_db > greatest_boost_db,
           fmt::format("equaliser and gain raise {:.0f} Hz by {:.0f} dB: more than {:.0f} dB only clips",
                       at_hz, boost_db, greatest_boost_db));
      const bool crossed = settings.highpass && settings.lowpass &&
                           settings.highpass->frequency_hz > settings.lowpass->frequency_hz;
      warn(silent, crossed || boost_db - settings.gain_db < silent_db,
           crossed
               ? fmt::format("its high-pass at {:.0f} Hz is above its low-pass at {:.0f} Hz: little is left",
                             settings.highpass->frequency_hz, settings.lowpass->frequency_hz)
               : fmt::format("its filters let nothing through: {:.0f} dB at most", boost_db));
    }
  }

  void presets() const {
    for (const Preset& preset : scene.presets) {
      const bool none = !preset.listen.empty() && std::all_of(preset.listen.begin(), preset.listen.end(),
                                                              [](double weight) { return weight == 0; });
      const int listed = position_of(spec.presets, preset.name);
      if (none && listed >= 0)
        faults.warn(spec.presets[static_cast<std::size_t>(listed)].value.at("listen"),
                    fmt::format("preset '{}': every seat under listen has the weight 0: it serves no one",
                                preset.name));
    }
  }
};

}  // namespace

void warn_of_implausible(const SceneSpec& spec, const Scene& scene, Faults& faults) {
  if (faults.any()) return;
  const Plausible plausible{spec, scene, faults};
  plausible.cabin();
  plausible.drivers();
  plausible.ports();
  for (std::size_t c = 0; c < scene.channels.size(); ++c) plausible.channel(c);
  plausible.presets();
}

}  // namespace cabinfield::build
