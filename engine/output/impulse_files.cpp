#include "output/impulse_files.h"

#include <fmt/format.h>

#include <algorithm>
#include <ctime>

#include "base/quantity.h"
#include "output/sofa_file.h"
#include "output/sound_files.h"

namespace cabinfield {
namespace {

/// Field solvers of a scene, for the history of a file.
std::string field_words(const Scene& scene) {
  const std::string top = readable_quantity(scene.computation.wave_top_hz, Quantity::frequency);
  switch (scene.cabin ? scene.computation.field : FieldKind::free) {
    case FieldKind::free:
      return "in free air";
    case FieldKind::images:
      return "by the image method";
    case FieldKind::wave:
      return "by the wave field up to " + top;
    case FieldKind::joined:
      return fmt::format("by the wave field up to {} and the image method above", top);
  }
  return "";
}

}  // namespace

std::vector<std::string> impulse_file_paths(const Scene& scene, const std::string& stem) {
  std::vector<std::string> paths;
  for (const Channel& channel : scene.channels)
    for (const Seat& seat : scene.seats)
      paths.push_back(fmt::format("{}.{}.{}.wav", stem, channel.name, seat.name));
  paths.push_back(stem + ".sofa");
  return paths;
}

std::vector<std::string> write_impulse_files(const Scene& scene, const Results& results,
                                             const Table<double, 4>& channel_impulse,
                                             const std::string& stem) {
  if (channel_impulse.empty()) return {};
  std::vector<std::string> paths = impulse_file_paths(scene, stem);
  const std::size_t length = channel_impulse.shape()[3];
  const double sample_rate_hz = 1 / results.impulse_time_s[1];
  for (std::size_t c = 0; c < scene.channels.size(); ++c)
    for (std::size_t s = 0; s < scene.seats.size(); ++s) {
      Sound sound;
      sound.sample_rate_hz = sample_rate_hz;
      sound.title = fmt::format("{} at {}", scene.channels[c].name, scene.seats[s].name);
      sound.comment =
          "impulse response, preset as_drawn, left and right ear; 1 is 1 Pa; sample 0 is the time of "
          "emission";
      sound.sample = Table<double, 2>({2, length});
      for (std::size_t e : {0, 1}) std::copy_n(channel_impulse.row(c, s, e), length, sound.sample.row(e));
      write_wav_file(paths[c * scene.seats.size() + s], sound);
    }
  SofaFile sofa;
  sofa.title = scene.title.empty() ? "cabin" : scene.title;
  sofa.comment = "channels of preset as_drawn, Pa for a full-scale impulse";
  sofa.history = "computed from a scene " + field_words(scene);
  sofa.program_version = results.program_version;
  sofa.created = std::time(nullptr);
  sofa.sample_rate_hz = sample_rate_hz;
  for (const Seat& seat : scene.seats) sofa.listener.push_back({seat.name, seat.ear});
  for (const Channel& channel : scene.channels) {
    SofaEmitter emitter{channel.name, Vector3::Zero(), Vector3::Zero()};
    for (int d : channel.drivers) {
      emitter.position_m += scene.drivers[d].source.position / static_cast<double>(channel.drivers.size());
      emitter.view += scene.drivers[d].source.axis;
    }
    emitter.view = emitter.view.norm() > 1e-6 ? Vector3(emitter.view.normalized()) : Vector3::UnitX();
    sofa.emitter.push_back(emitter);
  }
  sofa.impulse = Table<double, 4>({scene.seats.size(), 2, scene.channels.size(), length});
  for (std::size_t c = 0; c < scene.channels.size(); ++c)
    for (std::size_t s = 0; s < scene.seats.size(); ++s)
      for (std::size_t e : {0, 1})
        std::copy_n(channel_impulse.row(c, s, e), length, sofa.impulse.row(s, e, c));
  write_sofa_file(paths.back(), sofa);
  return paths;
}

}  // namespace cabinfield
