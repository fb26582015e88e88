#include "predict/impulse_responses.h"

#include <gtest/gtest.h>
#include <sndfile.h>

#include <cmath>
#include <filesystem>
#include <fstream>
#include <iterator>

#include "input/scene_file.h"
#include "listening/impulse.h"
#include "output/impulse_files.h"
#include "predict/prediction.h"

namespace cabinfield {
namespace {

const char* const room = R"(
cabinfield: 1
cabin:
  box: {length: 2 m, width: 1.4 m, height: 1.1 m}
  materials: {all: {absorption: {125 Hz: 0.4, 1 kHz: 0.6, 4 kHz: 0.7}}}
  blocks: [{name: post, plan: [[1.8, 0.4], [1.9, 0.4], [1.9, 0.5]], z: [0, 1], material: rigid}]
seats: {driver: {head: [1.4, -0.3, 0.8]}}
drivers: {tweeter: {model: tweeter_25, position: [0.3, -0.6, 0.9], aim: {seat: driver}}}
channels: {high: {drives: [tweeter], highpass: {frequency: 3 kHz}, delay: 1 ms}}
)";

/// Whether a file contains this text.
bool holds(const std::string& path, const std::string& words) {
  std::ifstream file(path, std::ios::binary);
  const std::string bytes(std::istreambuf_iterator<char>(file), {});
  return bytes.find(words) != std::string::npos;
}

TEST(ImpulseResponses, PeakAtTheArrivalAndAreCausal) {
  const SceneFile file = read_scene_text(room, "room.yaml");
  ASSERT_TRUE(file.scene) << to_string(file.faults.faults().front());
  for (double rate : {48000.0, 96000.0}) {
    Results results = predict(*file.scene);
    const auto heard = add_impulse_responses(*file.scene, rate, results);
    for (std::size_t e : {0, 1}) {
      const double arrival = results.arrival_s(0, e, 0);
      const std::vector<double> impulse(results.impulse_pa_m3.row(0, 0, e),
                                        results.impulse_pa_m3.row(0, 0, e) + results.impulse_time_s.size());
      std::size_t peak = 0;
      for (std::size_t n = 0; n < impulse.size(); ++n)
        if (std::abs(impulse[n]) > std::abs(impulse[peak])) peak = n;
      // A differentiated pulse (j omega) peaks within a sample or two of its arrival.
      EXPECT_NEAR(results.impulse_time_s[peak], arrival, 2.5 / rate);
      // The tweeter's pod is 25 mm wide: its near rim and the loss of the air come a little early, far down.
      EXPECT_LT(level_before_db(impulse, rate, arrival - band_limit_lead_s(rate)), -60);
      EXPECT_LT(tail_level_db(impulse), wrap_around_limit_db);
    }
    EXPECT_EQ(heard.shape()[3], results.impulse_time_s.size());
  }
}

TEST(ImpulseResponses, AreWrittenAsWavAndSofaBesideTheResults) {
  const SceneFile file = read_scene_text(room, "room.yaml");
  ASSERT_TRUE(file.scene);
  Results results = predict(*file.scene);
  const auto heard = add_impulse_responses(*file.scene, 48000, results);
  const auto folder = std::filesystem::temp_directory_path() / "cabinfield_impulse_files";
  std::filesystem::create_directories(folder);
  const auto written = write_impulse_files(*file.scene, results, heard, (folder / "room").string());
  ASSERT_EQ(written.size(), 2u);
  EXPECT_TRUE(written[0].ends_with("room.high.driver.wav"));
  EXPECT_TRUE(written[1].ends_with("room.sofa"));
  EXPECT_TRUE(holds(written[1], "from a scene by the wave field up to 400 Hz and the image method above"));
  SF_INFO info{};
  SNDFILE* sound = sf_open(written[0].c_str(), SFM_READ, &info);
  ASSERT_NE(sound, nullptr);
  EXPECT_EQ(info.samplerate, 48000);
  EXPECT_EQ(info.channels, 2);
  std::vector<float> samples(static_cast<std::size_t>(info.frames) * 2);
  EXPECT_EQ(sf_readf_float(sound, samples.data(), info.frames), info.frames);
  sf_close(sound);
  for (std::size_t n = 0; n < samples.size() / 2; ++n) {
    EXPECT_EQ(samples[2 * n], static_cast<float>(heard(0, 0, 0, n)));
    EXPECT_EQ(samples[2 * n + 1], static_cast<float>(heard(0, 0, 1, n)));
  }
  Scene images = *file.scene;
  images.computation.field = FieldKind::images;
  const auto others = write_impulse_files(images, results, heard, (folder / "images").string());
  EXPECT_TRUE(holds(others[1], "computed from a scene by the image method"));
  std::filesystem::remove_all(folder);
}

}  // namespace
}  // namespace cabinfield
