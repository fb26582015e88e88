// Smaller results files for the report, and rejected files.
#include "output/thinned_results.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>

#include "command/program.h"
#include "output/synthetic_hatchback.h"
#include "output/write_results.h"
#include "storage/hdf5_reader.h"

namespace cabinfield::test {
namespace {

using testing::HasSubstr;

std::string text_of(const std::vector<std::byte>& bytes) {
  return {reinterpret_cast<const char*>(bytes.data()), bytes.size()};
}

/// A page's worth of results on the disk.
class ThinnedFile : public testing::Test {
 protected:
  ThinnedFile() : path(folder.file("whole.h5")) { write_results(synthetic::hatchback(), path); }

  ThinnedResults thinned(std::size_t largest) const { return thinned_results(path, largest); }
  Hdf5Reader opened(const ThinnedResults& result) const {
    return Hdf5Reader(folder.write("thin.h5", text_of(result.bytes)));
  }
  std::string why_refused(const std::string& file) const {
    try {
      thinned_results(file, 1000000);
    } catch (const UnreadableFile& error) {
      return error.what();
    }
    return "not refused";
  }

  TemporaryFolder folder;
  std::string path;
};

TEST_F(ThinnedFile, WithinTheLimitIsUnchanged) {
  const ThinnedResults result = thinned(std::size_t{1} << 30);
  EXPECT_EQ(text_of(result.bytes), bytes_of(path));
  EXPECT_EQ(result.left_out, "");
}

TEST_F(ThinnedFile, ImpulsesGoFirstThenMapsOfDriversThenFrequencies) {
  const std::size_t whole = bytes_of(path).size();
  const ThinnedResults first = thinned(whole - 1);
  EXPECT_EQ(first.left_out, "impulse responses");
  const Hdf5Reader less = opened(first);
  EXPECT_FALSE(less.has("/field/impulse"));
  EXPECT_FALSE(less.has("/impulse_time"));
  EXPECT_TRUE(less.has("/map/of_driver"));
  const ThinnedResults second = thinned(first.bytes.size() - 1);
  EXPECT_EQ(second.left_out, "impulse responses, maps of single drivers");
  const ThinnedResults third = thinned(second.bytes.size() - 1);
  EXPECT_EQ(third.left_out, "impulse responses, maps of single drivers, all but one in 2 frequencies");
  EXPECT_LT(third.bytes.size(), second.bytes.size());
}

TEST_F(ThinnedFile, RemainingDatasetsAreUnchangedAndHaveAxes) {
  const ThinnedResults result = thinned(bytes_of(path).size() / 2);
  const Hdf5Reader whole(path), less = opened(result);
  EXPECT_LE(result.bytes.size(), bytes_of(path).size() / 2);
  const std::vector<double> all = whole.doubles("/frequency"), kept = less.doubles("/frequency");
  ASSERT_GT(kept.size(), 59U);
  const std::size_t step = (all.size() + kept.size() - 1) / kept.size();
  EXPECT_THAT(result.left_out, HasSubstr("all but one in " + std::to_string(step) + " frequencies"));
  for (std::size_t index = 0; index < kept.size(); ++index) EXPECT_EQ(kept[index], all[index * step]);
  const std::vector<double> response = whole.doubles("/response/channel"),
                            thin = less.doubles("/response/channel");
  const std::vector<std::size_t> shape = less.shape("/response/channel");
  EXPECT_EQ(shape[4], kept.size());
  const std::size_t rows = thin.size() / (2 * kept.size());
  for (std::size_t row = 0; row < rows; ++row)
    for (std::size_t index = 0; index < kept.size(); ++index)
      for (std::size_t part = 0; part < 2; ++part)
        ASSERT_EQ(thin[(row * kept.size() + index) * 2 + part],
                  response[(row * all.size() + index * step) * 2 + part]);
  for (const char* name : {"/seat", "/checks/words", "/paths/reflection/surfaces"})
    EXPECT_EQ(less.texts(name), whole.texts(name)) << name;
  EXPECT_EQ(less.doubles("/paths/arrival"), whole.doubles("/paths/arrival"));
  EXPECT_EQ(less.attribute("title"), whole.attribute("title"));
  EXPECT_EQ(less.integer_attribute("format_version"), whole.integer_attribute("format_version"));
}

TEST_F(ThinnedFile, NeverHasFewerThanSixtyFrequencies) {
  const ThinnedResults result = thinned(1);
  EXPECT_GE(opened(result).doubles("/frequency").size(), 60U);
  EXPECT_THAT(result.left_out, HasSubstr("maps"));
  EXPECT_EQ(result.left_out.find("maps of single drivers"), std::string::npos)
      << "told once, with all maps: " << result.left_out;
}

TEST_F(ThinnedFile, RejectsOtherFilesWithTheReason) {
  const std::string whole = bytes_of(path);
  EXPECT_THAT(why_refused(folder.file("none.h5")), HasSubstr("no such file"));
  EXPECT_THAT(why_refused(folder.path().string()), HasSubstr("it is a folder"));
  EXPECT_THAT(why_refused(folder.write("e.h5", "")), HasSubstr("is empty"));
  EXPECT_THAT(why_refused(folder.write("t.h5", "cabinfield: 1\n")), HasSubstr("not an HDF5 file"));
  EXPECT_THAT(why_refused(folder.write("s.h5", whole.substr(0, 20))), HasSubstr("cut short"));
  EXPECT_THAT(why_refused(folder.write("c.h5", whole.substr(0, whole.size() - 1))),
              HasSubstr("cut short: " + std::to_string(whole.size() - 1) + " of "));
  std::string damaged = whole;
  std::fill(damaged.begin() + 48, damaged.begin() + 4000, '\xff');
  const std::string why = why_refused(folder.write("d.h5", damaged));
  EXPECT_THAT(why, HasSubstr("damaged"));
  const auto made = [&](const std::string& name, const std::string& format, int major) {
    Hdf5File file;
    file.attribute("file_format", format);
    file.attribute("format_version", std::array{major, 0});
    return folder.write(name, text_of(file.bytes()));
  };
  EXPECT_THAT(why_refused(made("f.h5", "somebody's", 1)), HasSubstr("of another kind"));
  EXPECT_THAT(why_refused(made("n.h5", "cabinfield-results", 2)), HasSubstr("written in format 2.0"));
  EXPECT_EQ(why_refused(made("study.h5", "cabinfield-study", 1)), "not refused");
}

}  // namespace
}  // namespace cabinfield::test
