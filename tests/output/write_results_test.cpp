// A written file is read back with the HDF5 C interface and compared with the values and with FORMAT.md.
#include "output/write_results.h"

#include <gtest/gtest.h>
#include <udunits2.h>

#include <chrono>
#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <limits>
#include <map>
#include <regex>
#include <set>
#include <sstream>
#include <thread>

#include "output/synthetic_hatchback.h"
#include "storage/hdf5_reading.h"

namespace cabinfield {
namespace {

namespace fs = std::filesystem;

std::string bytes_of(const fs::path& path) {
  std::ifstream stream(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(stream), {}};
}

class WriteResults : public testing::Test {
 protected:
  void SetUp() override {
    std::string pattern = (fs::temp_directory_path() / "cabinfield_results_XXXXXX").string();
    ASSERT_NE(mkdtemp(pattern.data()), nullptr);
    folder_ = pattern;
    file_ = (folder_ / "R.h5").string();
  }
  void TearDown() override { fs::remove_all(folder_); }

  std::map<std::string, reading::StoredDataset> written(const Results& results) {
    write_results(results, file_);
    std::map<std::string, reading::StoredDataset> stored;
    for (auto& dataset : reading::read_all(file_)) stored.emplace(dataset.path, dataset);
    return stored;
  }

  fs::path folder_;
  std::string file_;
};

using Shape = std::vector<std::size_t>;
using Names = std::vector<std::string>;

TEST_F(WriteResults, EveryValueComesBack) {
  const Results results = synthetic::hatchback(96);
  const auto stored = written(results);

  EXPECT_EQ(stored.at("/frequency").numbers, results.frequency_hz);
  EXPECT_EQ(stored.at("/seat").texts, results.seat);
  EXPECT_EQ(stored.at("/ear").texts, (Names{"left", "right"}));
  EXPECT_EQ(stored.at("/driver").texts, results.driver);
  EXPECT_EQ(stored.at("/channel").texts, results.channel);
  EXPECT_EQ(stored.at("/preset").texts, results.preset);
  EXPECT_EQ(stored.at("/signal").texts, (Names{"left", "right", "mono"}));
  EXPECT_EQ(stored.at("/complex").texts, (Names{"real", "imaginary"}));
  EXPECT_EQ(stored.at("/xyz").texts, (Names{"x", "y", "z"}));
  EXPECT_EQ(stored.at("/mark").texts, results.mark);
  EXPECT_EQ(stored.at("/scene/source").texts, Names{results.scene_source});
  EXPECT_EQ(stored.at("/scene/resolved").texts, Names{results.scene_resolved});
  EXPECT_EQ(stored.at("/scene/wheel_side").texts, Names{"left"});
  EXPECT_EQ(stored.at("/field/method").texts, Names{"images"});
  EXPECT_TRUE(stored.at("/air/sound_speed").shape.empty());
  EXPECT_EQ(stored.at("/air/sound_speed").numbers, std::vector<double>{results.sound_speed_m_s});
  EXPECT_EQ(stored.at("/air/density").numbers, std::vector<double>{results.density_kg_m3});
  EXPECT_EQ(stored.at("/source/terminal_voltage").numbers, std::vector<double>{2.83});
  EXPECT_EQ(stored.at("/geometry/surface").texts, results.geometry.surface);
  EXPECT_EQ(stored.at("/geometry/driver_radius").numbers, results.driver_radius_m);
  EXPECT_EQ(stored.at("/paths/length").numbers, results.path_length_m.values());
  EXPECT_EQ(stored.at("/paths/arrival").numbers, results.arrival_s.values());
  EXPECT_EQ(stored.at("/paths/angle").numbers, results.angle_deg.values());
  EXPECT_EQ(stored.at("/settings/delay").numbers, results.delay_s.values());
  EXPECT_EQ(stored.at("/settings/gain").numbers, results.gain_db.values());
  EXPECT_EQ(stored.at("/checks/warning").texts, results.warnings);
}

TEST_F(WriteResults, VectorsComplexNumbersAndIntegersKeepTheirOrder) {
  const Results results = synthetic::hatchback(96);
  const auto stored = written(results);
  const std::size_t S = 4, D = 7, C = 7, P = 2, F = 96;

  const auto& ears = stored.at("/geometry/ear_position");
  ASSERT_EQ(ears.shape, (Shape{S, 2, 3}));
  EXPECT_EQ(ears.numbers[(3 * 2 + 1) * 3 + 2], results.ear_position_m(3, 1).z());
  EXPECT_EQ(ears.numbers[(1 * 2 + 0) * 3 + 1], results.ear_position_m(1, 0).y());

  const auto& transfer = stored.at("/field/transfer");
  ASSERT_EQ(transfer.shape, (Shape{D, S, 2, F, 2}));
  for (std::size_t f : {0u, 41u, 95u}) {
    const std::size_t at = ((((2 * S + 3) * 2 + 1) * F) + f) * 2;
    EXPECT_EQ(transfer.numbers[at], results.transfer_pa_s_m3(2, 3, 1, f).real());
    EXPECT_EQ(transfer.numbers[at + 1], results.transfer_pa_s_m3(2, 3, 1, f).imag());
  }
  const auto& channel = stored.at("/response/channel");
  ASSERT_EQ(channel.shape, (Shape{P, C, S, 2, F, 2}));
  for (std::size_t p = 0; p < P; ++p)
    for (std::size_t c = 0; c < C; ++c)
      for (std::size_t s = 0; s < S; ++s)
        for (std::size_t e = 0; e < 2; ++e)
          for (std::size_t f = 0; f < F; ++f) {
            const std::size_t at = (((((p * C + c) * S + s) * 2 + e) * F) + f) * 2;
            ASSERT_EQ(channel.numbers[at], results.channel_pa(p, c, s, e, f).real());
            ASSERT_EQ(channel.numbers[at + 1], results.channel_pa(p, c, s, e, f).imag());
          }
  ASSERT_EQ(stored.at("/response/signal").shape, (Shape{P, 3, S, 2, F, 2}));
  const auto& impedance = stored.at("/source/impedance");
  EXPECT_EQ(impedance.numbers[(6 * F + 5) * 2 + 1], results.impedance_ohm(6, 5).imag());

  const auto& vertex = stored.at("/geometry/vertex");
  const auto& triangle = stored.at("/geometry/triangle");
  ASSERT_EQ(vertex.numbers.size(), 3 * results.geometry.vertex_m.size());
  for (std::size_t row = 0; row < results.geometry.triangle.size(); ++row)
    for (std::size_t corner = 0; corner < 3; ++corner) {
      const double number = triangle.numbers[row * 3 + corner];
      ASSERT_EQ(number, results.geometry.triangle[row][corner]);
      ASSERT_EQ(vertex.numbers[static_cast<std::size_t>(number) * 3],
                results.geometry.vertex_m[static_cast<std::size_t>(number)].x());
    }
  const auto& direct = stored.at("/paths/direct");
  EXPECT_TRUE(std::equal(direct.numbers.begin(), direct.numbers.end(), results.direct.values().begin(),
                         results.direct.values().end()));
}

TEST_F(WriteResults, PlanAndLimitsKeepTheirOrder) {
  const Results results = synthetic::hatchback(24);
  const auto stored = written(results);
  EXPECT_EQ(stored.at("/amplifier").texts, results.system.amplifier);
  EXPECT_EQ(stored.at("/cable").texts, results.system.cable);
  EXPECT_EQ(stored.at("/system/battery_current").numbers, results.system.battery_a.values());
  EXPECT_EQ(stored.at("/system/cable_drop").numbers, results.system.cable_drop_v.values());
  EXPECT_EQ(stored.at("/system/feed_output").numbers, (std::vector<double>{1, 2, 3, 4, 5, 6, 1}));
  EXPECT_EQ(stored.at("/system/feed_proposed").numbers, (std::vector<double>{0, 0, 0, 0, 0, 0, 1}));
  EXPECT_EQ(stored.at("/system/wiring/words").texts, (Names{"coils in series", "coils in parallel"}));
  EXPECT_EQ(stored.at("/system/wiring/least_load").numbers, (std::vector<double>{3.4, 0.85}));
  EXPECT_EQ(stored.at("/system/playing_time").numbers, std::vector<double>{3.5 * 3600});
  EXPECT_EQ(stored.at("/system/rear_axle_mass").numbers, std::vector<double>{31});
  EXPECT_EQ(stored.at("/limits/sine_level").shape, (Shape{2, 7, 4, 24}));
  EXPECT_EQ(stored.at("/limits/sine_level").numbers, results.limits.sine_db.values());
  EXPECT_EQ(stored.at("/limits/system_music_a").numbers, results.limits.system_music_a_db.values());
  EXPECT_EQ(stored.at("/limits/system_music_channel").numbers, (std::vector<double>{6, 6}));
}

TEST_F(WriteResults, ProcessorWithoutAmplifiersHasFeeds) {
  Results results = synthetic::hatchback(24);
  results.system = {};
  results.system.feed.resize(results.channel.size());
  EXPECT_FALSE(written(results).contains("/system/feed_processor_output"));
  std::vector<double> outputs;
  for (FeedRow& row : results.system.feed) {
    row.processor_output = static_cast<int>(outputs.size()) + 3;
    outputs.push_back(row.processor_output);
  }
  const auto stored = written(results);
  EXPECT_EQ(stored.at("/system/feed_processor_output").numbers, outputs);
  EXPECT_EQ(stored.at("/system/feed_amplifier").numbers, std::vector<double>(outputs.size(), -1.0));
  EXPECT_FALSE(stored.contains("/amplifier"));
}

TEST_F(WriteResults, RootAttributesIdentifyTheFile) {
  const Results results = synthetic::hatchback(24);
  written(results);
  EXPECT_EQ(reading::root_text(file_, "file_format"), "cabinfield-results");
  EXPECT_EQ(reading::root_integers(file_, "format_version"), (std::vector<int>{1, 0}));
  EXPECT_EQ(reading::root_text(file_, "program_version"), results.program_version);
  EXPECT_EQ(reading::root_text(file_, "title"), results.title);
  EXPECT_TRUE(std::regex_match(reading::root_text(file_, "created"),
                               std::regex(R"(\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ)")));
}

TEST_F(WriteResults, EveryDimensionHasAnAxisOfItsLengthAtTheRoot) {
  const auto stored = written(synthetic::hatchback(24));
  for (const auto& [path, dataset] : stored)
    for (std::size_t dimension = 0; dimension < dataset.shape.size(); ++dimension) {
      const std::string& axis = dataset.axes[dimension];
      ASSERT_FALSE(axis.empty()) << path;
      EXPECT_EQ(axis.find('/', 1), std::string::npos) << path << " " << axis;
      EXPECT_EQ(stored.at(axis).shape, Shape{dataset.shape[dimension]}) << path;
    }
}

TEST_F(WriteResults, EveryNumberIsFiniteAndHasUnits) {
  for (const auto& [path, dataset] : written(synthetic::hatchback(24))) {
    EXPECT_FALSE(dataset.long_name.empty()) << path;
    if (dataset.type == "text") continue;
    EXPECT_FALSE(dataset.units.empty()) << path;
    for (double number : dataset.numbers) ASSERT_TRUE(std::isfinite(number)) << path;
  }
}

TEST_F(WriteResults, UnitsAreThoseOfUdunits) {
  ut_set_error_message_handler(ut_ignore);
  ut_system* system = ut_read_xml(nullptr);
  ASSERT_NE(system, nullptr);
  for (const auto& [path, dataset] : written(synthetic::hatchback(24))) {
    if (dataset.type == "text" || dataset.units == "dB") continue;  // dB is not in that notation
    ut_unit* unit = ut_parse(system, dataset.units.c_str(), UT_UTF8);
    EXPECT_NE(unit, nullptr) << path << ": " << dataset.units;
    ut_free(unit);
  }
  ut_free_system(system);
}

TEST_F(WriteResults, MissingMarginIsDistinguishedFromZero) {
  const auto stored = written(synthetic::hatchback(24));
  EXPECT_EQ(stored.at("/checks/margin").numbers, (std::vector<double>{0.012, -0.004, 0}));
  EXPECT_EQ(stored.at("/checks/has_margin").numbers, (std::vector<double>{1, 1, 0}));
  EXPECT_EQ(stored.at("/checks/outcome").texts, (Names{"met", "violated", "caution"}));
}

TEST_F(WriteResults, EmptyDatasetsAreOmitted) {
  Results results;
  results.sound_speed_m_s = 343;
  results.density_kg_m3 = 1.2;
  results.seat = {"driver"};
  const auto stored = written(results);
  EXPECT_TRUE(stored.contains("/seat"));
  EXPECT_TRUE(stored.contains("/air/density"));
  for (const char* absent :
       {"/frequency", "/driver", "/preset", "/mark", "/vertex_index", "/scene/source", "/scene/wheel_side",
        "/paths/arrival", "/checks/rule", "/checks/warning", "/source/terminal_voltage", "/response/signal",
        "/amplifier", "/system/feed_output", "/system/playing_time", "/limits/sine_level", "/limit_kind"})
    EXPECT_FALSE(stored.contains(absent)) << absent;
}

TEST_F(WriteResults, SameResultsGiveTheSameBytes) {
  const Results results = synthetic::hatchback(200);
  ASSERT_EQ(setenv("SOURCE_DATE_EPOCH", "1700000000", 1), 0);
  write_results(results, file_);
  const std::string first = bytes_of(file_);
  // 1700000000 s after 1970 is this instant: POSIX.1-2017, 4.16 Seconds Since the Epoch (recomputed).
  EXPECT_EQ(reading::root_text(file_, "created"), "2023-11-14T22:13:20Z");
  // HDF5 stamps objects with whole seconds: a second later such a stamp would show.
  std::this_thread::sleep_for(std::chrono::milliseconds(1100));
  write_results(results, (folder_ / "another name.h5").string());
  EXPECT_TRUE(first == bytes_of(folder_ / "another name.h5"));

  ASSERT_EQ(setenv("SOURCE_DATE_EPOCH", "1800000000", 1), 0);
  write_results(results, file_);
  const std::string later = bytes_of(file_);
  unsetenv("SOURCE_DATE_EPOCH");
  ASSERT_EQ(first.size(), later.size());
  const std::string stamp = "2023-11-14T22:13:20Z";
  const std::size_t location = first.find(stamp);
  ASSERT_NE(location, std::string::npos);
  for (std::size_t at = 0; at < first.size(); ++at)
    if (first[at] != later[at]) {
      ASSERT_TRUE(at >= location && at < location + stamp.size()) << at;
    }
}

TEST_F(WriteResults, InfiniteValueIsRejectedByName) {
  for (double bad : {std::numeric_limits<double>::quiet_NaN(), std::numeric_limits<double>::infinity()}) {
    Results results = synthetic::hatchback(24);
    results.arrival_s(1, 0, 2) = bad;
    try {
      write_results(results, file_);
      FAIL();
    } catch (const std::logic_error& error) {
      EXPECT_NE(std::string(error.what()).find("/paths/arrival"), std::string::npos);
    }
    EXPECT_TRUE(fs::is_empty(folder_));
  }
}

TEST_F(WriteResults, WrongShapeIsRejectedByName) {
  Results results = synthetic::hatchback(24);
  results.mute = Table<int, 2>({3, 7}, 0);
  try {
    write_results(results, file_);
    FAIL();
  } catch (const std::logic_error& error) {
    EXPECT_NE(std::string(error.what()).find("/settings/mute"), std::string::npos);
  }
  EXPECT_TRUE(fs::is_empty(folder_));
}

/// Rows of the table in FORMAT.md: path to "axes | type | units | holds".
std::map<std::string, std::string> rows_of_the_page() {
  const fs::path page =
      fs::path(__FILE__).parent_path().parent_path().parent_path() / "engine/output/FORMAT.md";
  std::ifstream stream(page);
  const std::regex row(R"(\| `(/\S+)` \| (.*) \|)");
  std::map<std::string, std::string> rows;
  std::smatch match;
  for (std::string line; std::getline(stream, line);)
    if (std::regex_match(line, match, row)) {
      EXPECT_TRUE(rows.emplace(match[1], match[2]).second) << match[1] << " stands twice";
    }
  return rows;
}

TEST_F(WriteResults, PageAndFileAgree) {
  std::map<std::string, std::string> rows_of_the_file;
  for (const auto& [path, dataset] : written(synthetic::hatchback(24))) {
    std::ostringstream row;
    for (std::size_t dimension = 0; dimension < dataset.axes.size(); ++dimension)
      row << (dimension > 0 ? ", " : "") << dataset.axes[dimension].substr(1);
    row << (dataset.axes.empty() ? "scalar" : "") << " | " << dataset.type << " | " << dataset.units
        << (dataset.units.empty() ? "| " : " | ") << dataset.long_name;
    rows_of_the_file[path] = row.str();
  }
  EXPECT_EQ(rows_of_the_page(), rows_of_the_file);
}

}  // namespace
}  // namespace cabinfield
