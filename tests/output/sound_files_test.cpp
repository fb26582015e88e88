// WAV files read back by libsndfile itself, by the layout of the RIFF format and by scipy.
#include "output/sound_files.h"

#include <gtest/gtest.h>
#include <sndfile.h>
#include <unistd.h>

#include <array>
#include <cmath>
#include <cstdlib>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <limits>
#include <stdexcept>

#include "base/fault.h"

namespace cabinfield {
namespace {

namespace fs = std::filesystem;

Sound invented(std::size_t channels, std::size_t length, double sample_rate_hz) {
  Sound sound{sample_rate_hz, Table<double, 2>({channels, length}), "front left, driver's seat",
              "1 is 1 Pa for 2.83 V, größer geht"};
  for (std::size_t channel = 0; channel < channels; ++channel)
    for (std::size_t n = 0; n < length; ++n)
      sound.sample(channel, n) = 3.5 * std::sin(0.37 * static_cast<double>(n + 7 * channel)) *
                                 std::exp(-0.01 * static_cast<double>(n));
  return sound;
}

class SoundFiles : public testing::Test {
 protected:
  void SetUp() override {
    std::string pattern = (fs::temp_directory_path() / "cabinfield_sound_XXXXXX").string();
    ASSERT_NE(mkdtemp(pattern.data()), nullptr);
    folder_ = pattern;
    file_ = (folder_ / "sound.wav").string();
  }
  void TearDown() override { fs::remove_all(folder_); }

  std::string bytes() const {
    std::ifstream stream(file_, std::ios::binary);
    return {std::istreambuf_iterator<char>(stream), {}};
  }

  fs::path folder_;
  std::string file_;
};

TEST_F(SoundFiles, ComesBackAsItWasWritten) {
  for (double rate : {48000.0, 96000.0})
    for (std::size_t channels : {1u, 2u, 5u}) {
      const Sound sound = invented(channels, 1201, rate);
      write_wav_file(file_, sound);
      SF_INFO info{};
      SNDFILE* file = sf_open(file_.c_str(), SFM_READ, &info);
      ASSERT_NE(file, nullptr) << sf_strerror(nullptr);
      EXPECT_EQ(info.samplerate, static_cast<int>(rate));
      EXPECT_EQ(info.channels, static_cast<int>(channels));
      ASSERT_EQ(info.frames, 1201);
      EXPECT_EQ(info.format & SF_FORMAT_TYPEMASK, SF_FORMAT_WAV);
      EXPECT_EQ(info.format & SF_FORMAT_SUBMASK, SF_FORMAT_FLOAT);
      std::vector<float> frames(1201 * channels);
      ASSERT_EQ(sf_readf_float(file, frames.data(), 1201), 1201);
      for (std::size_t n = 0; n < 1201; ++n)
        for (std::size_t channel = 0; channel < channels; ++channel)
          ASSERT_EQ(frames[n * channels + channel], static_cast<float>(sound.sample(channel, n))) << n;
      EXPECT_EQ(std::string(sf_get_string(file, SF_STR_TITLE)), sound.title);
      EXPECT_EQ(std::string(sf_get_string(file, SF_STR_COMMENT)), sound.comment);
      sf_close(file);
    }
}

TEST_F(SoundFiles, FollowsTheRiffFormat) {
  // Multimedia Programming Interface and Data Specifications 1.0 (1991), RIFF WAVE: chunk names,
  // little-endian sizes; format 3 is IEEE floating point (registered wave formats).
  const Sound sound = invented(2, 100, 48000);
  write_wav_file(file_, sound);
  const std::string text = bytes();
  const auto number = [&](std::size_t at, std::size_t size) {
    std::uint32_t value = 0;
    std::memcpy(&value, text.data() + at, size);
    return value;
  };
  EXPECT_EQ(text.substr(0, 4), "RIFF");
  EXPECT_EQ(number(4, 4), text.size() - 8);
  EXPECT_EQ(text.substr(8, 8), "WAVEfmt ");
  EXPECT_EQ(number(20, 2), 3u);
  EXPECT_EQ(number(22, 2), 2u);
  EXPECT_EQ(number(24, 4), 48000u);
  EXPECT_EQ(number(28, 4), 48000u * 8);
  EXPECT_EQ(number(32, 2), 8u);
  EXPECT_EQ(number(34, 2), 32u);
  const std::size_t data = text.find("data");
  ASSERT_NE(data, std::string::npos);
  EXPECT_EQ(number(data + 4, 4), 800u);
  float first_of_right = 0;
  std::memcpy(&first_of_right, text.data() + data + 12, 4);
  EXPECT_EQ(first_of_right, static_cast<float>(sound.sample(1, 0)));
}

TEST_F(SoundFiles, ScipyReadsTheSame) {
  write_wav_file(file_, invented(2, 400, 96000));
  const std::string script =
      "import numpy, scipy.io.wavfile, warnings\n"
      "warnings.simplefilter('ignore')\n"
      "rate, data = scipy.io.wavfile.read('" +
      file_ +
      "')\n"
      "n = numpy.arange(400)[:, None]\n"
      "expected = 3.5*numpy.sin(0.37*(n + 7*numpy.arange(2)))*numpy.exp(-0.01*n)\n"
      // Half a step of a 32-bit number of size 3.5.
      "assert rate == 96000 and data.dtype == numpy.float32 and abs(data - expected).max() < 2.4e-7\n";
  std::ofstream((folder_ / "read.py").string()) << script;
  EXPECT_EQ(std::system(("/usr/bin/python3 " + (folder_ / "read.py").string()).c_str()), 0);
}

TEST_F(SoundFiles, SameSoundSameBytes) {
  const Sound sound = invented(2, 300, 48000);
  write_wav_file(file_, sound);
  const std::string first = bytes();
  // Longer than the whole seconds in which some chunks count time.
  ::usleep(1100000);
  write_wav_file(file_, sound);
  EXPECT_EQ(bytes(), first);
  EXPECT_EQ(first.find("PEAK"), std::string::npos);
}

TEST_F(SoundFiles, EmptyTextsAreOmitted) {
  Sound sound = invented(1, 10, 48000);
  sound.title = sound.comment = "";
  write_wav_file(file_, sound);
  EXPECT_EQ(bytes().find("LIST"), std::string::npos);
}

TEST_F(SoundFiles, InvalidSoundIsRejectedAndTheOldFileStays) {
  std::ofstream(file_) << "old";
  const Sound good = invented(1, 10, 48000);
  for (double bad :
       {std::numeric_limits<double>::quiet_NaN(), std::numeric_limits<double>::infinity(), -1e39}) {
    Sound sound = good;
    sound.sample(0, 9) = bad;
    EXPECT_THROW(write_wav_file(file_, sound), std::invalid_argument) << bad;
  }
  for (double rate : {0.0, -48000.0, 44100.5, 1e10, std::numeric_limits<double>::quiet_NaN()}) {
    Sound sound = good;
    sound.sample_rate_hz = rate;
    EXPECT_THROW(write_wav_file(file_, sound), std::invalid_argument) << rate;
  }
  EXPECT_THROW(write_wav_file(file_, {48000, {}, "", ""}), std::invalid_argument);
  EXPECT_THROW(write_wav_file(file_, {48000, Table<double, 2>({1025, 1}), "", ""}), std::invalid_argument);
  EXPECT_EQ(bytes(), "old");
  EXPECT_EQ(std::distance(fs::directory_iterator(folder_), fs::directory_iterator()), 1);
}

TEST_F(SoundFiles, MaximumNumberOfChannelsIsAccepted) {
  write_wav_file(file_, {48000, Table<double, 2>({1024, 3}, 0.5), "", ""});
  SF_INFO info{};
  SNDFILE* file = sf_open(file_.c_str(), SFM_READ, &info);
  ASSERT_NE(file, nullptr);
  EXPECT_EQ(info.channels, 1024);
  EXPECT_EQ(info.frames, 3);
  sf_close(file);
}

TEST_F(SoundFiles, MissingFolderIsNamed) {
  const std::string path = (folder_ / "missing" / "sound.wav").string();
  try {
    write_wav_file(path, invented(1, 10, 48000));
    FAIL();
  } catch (const MachineError& error) {
    EXPECT_EQ(std::string(error.what()), path + ": cannot be written: its folder does not exist");
  }
}

}  // namespace
}  // namespace cabinfield
