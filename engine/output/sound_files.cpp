#include "output/sound_files.h"

#include <fmt/format.h>
#include <sndfile.h>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <cstdio>
#include <cstring>
#include <limits>
#include <memory>
#include <stdexcept>
#include <vector>

#include "base/fault.h"
#include "storage/whole_file.h"

namespace cabinfield {
namespace {

constexpr std::size_t most_channels = 1024;
/// Room for header and texts, bytes.
constexpr std::size_t header_room = 64 * 1024;

/// A file in memory for libsndfile.
struct Memory {
  std::vector<std::byte> bytes;
  std::size_t position = 0;

  static Memory& of(void* memory) { return *static_cast<Memory*>(memory); }
  static sf_count_t size(void* memory) { return static_cast<sf_count_t>(of(memory).bytes.size()); }
  static sf_count_t tell(void* memory) { return static_cast<sf_count_t>(of(memory).position); }
  static sf_count_t seek(sf_count_t offset, int from, void* memory) {
    const sf_count_t base = from == SEEK_SET ? 0 : from == SEEK_CUR ? tell(memory) : size(memory);
    of(memory).position = static_cast<std::size_t>(std::max<sf_count_t>(0, base + offset));
    return tell(memory);
  }
  static sf_count_t read(void* target, sf_count_t count, void* memory) {
    Memory& self = of(memory);
    if (self.position >= self.bytes.size()) return 0;
    const std::size_t got = std::min(static_cast<std::size_t>(count), self.bytes.size() - self.position);
    std::memcpy(target, self.bytes.data() + self.position, got);
    self.position += got;
    return static_cast<sf_count_t>(got);
  }
  static sf_count_t write(const void* source, sf_count_t count, void* memory) {
    Memory& self = of(memory);
    const auto size = static_cast<std::size_t>(count);
    if (self.position + size > self.bytes.size()) self.bytes.resize(self.position + size);
    std::memcpy(self.bytes.data() + self.position, source, size);
    self.position += size;
    return count;
  }
};

void require(bool good, const std::string& what) {
  if (!good) throw std::invalid_argument("sound for a WAV file: " + what);
}

void check(const Sound& sound) {
  const auto& [channels, length] = sound.sample.shape();
  require(channels > 0 && length > 0, "there is none");
  require(channels <= most_channels,
          fmt::format("{} channels, at most {} go into one file", channels, most_channels));
  require(sound.sample_rate_hz >= 1 && sound.sample_rate_hz <= std::numeric_limits<int>::max() &&
              sound.sample_rate_hz == std::floor(sound.sample_rate_hz),
          fmt::format("a sample rate of {:g} Hz; it must be a whole number of hertz", sound.sample_rate_hz));
  require(sound.sample.size() < (std::numeric_limits<std::uint32_t>::max() - header_room) / sizeof(float),
          "it is longer than the 4 GiB of a WAV file");
  for (double sample : sound.sample.values())
    require(std::abs(sample) <= static_cast<double>(std::numeric_limits<float>::max()),
            "a sample is no finite 32-bit number");
}

std::vector<float> interleaved(const Table<double, 2>& sample) {
  const auto& [channels, length] = sample.shape();
  std::vector<float> frames(channels * length);
  for (std::size_t channel = 0; channel < channels; ++channel)
    for (std::size_t n = 0; n < length; ++n)
      frames[n * channels + channel] = static_cast<float>(sample(channel, n));
  return frames;
}

}  // namespace

void write_wav_file(const std::string& path, const Sound& sound) {
  check(sound);
  const auto fail = [&](const char* why) { throw MachineError(path + ": cannot be written: " + why); };
  SF_VIRTUAL_IO access{Memory::size, Memory::seek, Memory::read, Memory::write, Memory::tell};
  Memory memory;
  SF_INFO info{};
  info.samplerate = static_cast<int>(sound.sample_rate_hz);
  info.channels = static_cast<int>(sound.sample.shape()[0]);
  info.format = SF_FORMAT_WAV | SF_FORMAT_FLOAT;
  std::unique_ptr<SNDFILE, int (*)(SNDFILE*)> file(sf_open_virtual(&access, SFM_WRITE, &info, &memory),
                                                   sf_close);
  if (!file) fail(sf_strerror(nullptr));
  // The peak chunk contains the time of writing: omit it, so that the same sound gives the same bytes.
  sf_command(file.get(), SFC_SET_ADD_PEAK_CHUNK, nullptr, SF_FALSE);
  sf_set_string(file.get(), SF_STR_TITLE, sound.title.c_str());
  sf_set_string(file.get(), SF_STR_COMMENT, sound.comment.c_str());
  const std::vector<float> frames = interleaved(sound.sample);
  if (sf_write_float(file.get(), frames.data(), static_cast<sf_count_t>(frames.size())) !=
      static_cast<sf_count_t>(frames.size()))
    fail(sf_strerror(file.get()));
  if (sf_close(file.release()) != 0) fail("the sound could not be encoded");
  write_whole_file(path, memory.bytes);
}

}  // namespace cabinfield
