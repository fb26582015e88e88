// The study file against its format page, and against the outcome.
#include <gtest/gtest.h>
#include <udunits2.h>

#include <cmath>
#include <fstream>
#include <limits>
#include <map>
#include <regex>
#include <sstream>

#include "storage/hdf5_reading.h"
#include "study/study_layout.h"
#include "study/study_run.h"
#include "study/study_text.h"

namespace cabinfield::test {
namespace {

namespace fs = std::filesystem;
using Shape = std::vector<std::size_t>;

/// Every feature: impossible variants, limits, a placement map, samples, a channel that one variant lacks.
const std::string of_everything = R"(title: Door and floor (invented)
move:
  - driver: mid_left
    places: {drawn: as_drawn, far: {position: [0.9, -0.7, 0.4]}, covered: {position: [0.3, -0.7, 0.55]}}
vary:
  - name: bass
    choices: {with: as_drawn, without: {remove: [channels.sub, groups.lows]}}
before_judging: {line_up_arrivals: driver, set_levels: {band: [50 Hz, 400 Hz]}}
judge:
  - {measure: level, band: [50 Hz, 400 Hz], weight: 0.3, at_least: 300 dB}
  - {measure: deepest_notch, band: [50 Hz, 400 Hz]}
  - {measure: path_difference, pair: [left, right], seats: [driver]}
paint: {driver: sub, over: floor, spacing: 150 mm, judge_by: level, with: {loading: {sealed: 20 L}}}
doubt: {draws: 5}
skip_impossible: yes
)";

class StudyFormat : public SmallStudy {
 protected:
  StudyFormat() {
    StudyFile file = read(of_everything);
    for (const Fault& fault : file.faults.sorted()) ADD_FAILURE() << to_string(fault);
    study = std::move(*file.study);
    StudyOptions options;
    options.checkpoint = folder_.file("S.h5.part");
    outcome = run_study(study, options, Communicator());
    write_study(study, outcome, folder_.file("S.h5"));
    for (auto& dataset : reading::read_all(folder_.file("S.h5"))) stored.emplace(dataset.path, dataset);
  }
  Study study;
  StudyOutcome outcome;
  std::map<std::string, reading::StoredDataset> stored;
};

/// Rows of the page's table: path to "axes | type | units | holds".
std::map<std::string, std::string> rows_of_the_page() {
  std::ifstream stream(fs::path(CABINFIELD_SOURCE_DIR) / "engine/study/FORMAT.md");
  const std::regex row(R"(\| `(/\S+)` \| (.*) \|)");
  std::map<std::string, std::string> rows;
  std::smatch match;
  for (std::string line; std::getline(stream, line);)
    if (std::regex_match(line, match, row)) {
      EXPECT_TRUE(rows.emplace(match[1], match[2]).second) << match[1] << " is listed twice";
    }
  return rows;
}

std::string row_of(const std::vector<std::string>& axes, const std::string& type, const std::string& units,
                   const std::string& holds) {
  std::ostringstream row;
  for (std::size_t dimension = 0; dimension < axes.size(); ++dimension)
    row << (dimension > 0 ? ", " : "") << axes[dimension];
  row << (axes.empty() ? "scalar" : "") << " | " << type << " | " << units << (units.empty() ? "| " : " | ")
      << holds;
  return row.str();
}

TEST_F(StudyFormat, PageAndFileAgree) {
  std::map<std::string, std::string> rows;
  for (const auto& [path, dataset] : stored) {
    std::vector<std::string> axes;
    for (const std::string& axis : dataset.axes)
      axes.push_back(axis.substr(std::min<std::size_t>(1, axis.size())));
    rows[path] = row_of(axes, dataset.type, dataset.units, dataset.long_name);
  }
  EXPECT_EQ(rows_of_the_page(), rows);
}

TEST_F(StudyFormat, PageAndLayoutAgree) {
  std::map<std::string, std::string> rows;
  for (const StudyDataset& one : study_datasets(study, outcome)) {
    const char* const type[] = {"real", "integer", "text"};
    rows[one.path] = row_of(one.axes, type[one.values.data.index()], one.units, one.long_name);
  }
  EXPECT_EQ(rows_of_the_page(), rows);
}

TEST_F(StudyFormat, EveryDimensionHasAnAxisOfItsLengthAtTheRoot) {
  for (const auto& [path, dataset] : stored)
    for (std::size_t dimension = 0; dimension < dataset.shape.size(); ++dimension) {
      const std::string& axis = dataset.axes[dimension];
      ASSERT_FALSE(axis.empty()) << path;
      EXPECT_EQ(axis.find('/', 1), std::string::npos) << path << " " << axis;
      EXPECT_EQ(stored.at(axis).shape, Shape{dataset.shape[dimension]}) << path;
    }
}

TEST_F(StudyFormat, UnitsAreThoseOfUdunitsAndNoNumberIsInfinite) {
  ut_set_error_message_handler(ut_ignore);
  ut_system* system = ut_read_xml(nullptr);
  ASSERT_NE(system, nullptr);
  for (const auto& [path, dataset] : stored) {
    EXPECT_FALSE(dataset.long_name.empty()) << path;
    if (dataset.type == "text") continue;
    for (double number : dataset.numbers) ASSERT_FALSE(std::isinf(number)) << path;
    if (dataset.units == "dB") continue;  // not a UDUNITS unit
    ut_unit* unit = ut_parse(system, dataset.units.c_str(), UT_UTF8);
    EXPECT_NE(unit, nullptr) << path << ": '" << dataset.units << "'";
    ut_free(unit);
  }
  ut_free_system(system);
}

/// Equal to the last bit; NaN equals NaN.
void expect_same(const std::vector<double>& stored, const std::vector<double>& found) {
  ASSERT_EQ(stored.size(), found.size());
  for (std::size_t i = 0; i < stored.size(); ++i)
    if (!(std::isnan(stored[i]) && std::isnan(found[i]))) {
      ASSERT_EQ(stored[i], found[i]) << i;
    }
}

TEST_F(StudyFormat, ValuesAreStoredInTheirDatasets) {
  const std::size_t V = 6, M = 3, S = 2, L = outcome.leading.size();
  ASSERT_EQ(L, 4U) << "two of the three places, with and without the bass";
  EXPECT_EQ(reading::root_text(folder_.file("S.h5"), "file_format"), "cabinfield-study");
  EXPECT_EQ(reading::root_integers(folder_.file("S.h5"), "format_version"), (std::vector<int>{1, 0}));
  EXPECT_EQ(reading::root_text(folder_.file("S.h5"), "title"), "Door and floor (invented)");
  EXPECT_EQ(stored.at("/study/source").texts.front(), study.source);
  EXPECT_EQ(stored.at("/study/scene").texts.front(), small_scene);
  EXPECT_EQ(stored.at("/variants/label").texts[3], "far, without");
  EXPECT_EQ(stored.at("/variants/choice").numbers, (std::vector<double>{0, 0, 0, 1, 1, 0, 1, 1, 2, 0, 2, 1}));
  EXPECT_EQ(stored.at("/variants/possible").numbers, (std::vector<double>{1, 1, 1, 1, 0, 0}));
  EXPECT_EQ(stored.at("/variants/broken_limits").numbers, (std::vector<double>{1, 1, 1, 1, 0, 0}));
  EXPECT_EQ(stored.at("/measures/unit").texts, (std::vector<std::string>{"dB", "dB", "mm"}));
  ASSERT_EQ(stored.at("/variants/value").shape, (Shape{V, M}));
  ASSERT_EQ(stored.at("/variants/value_at_seat").shape, (Shape{V, M, S}));
  expect_same(stored.at("/variants/value").numbers, outcome.value);
  expect_same(stored.at("/variants/value_at_seat").numbers, outcome.at_seat);
  expect_same(stored.at("/variants/notch_frequency").numbers, outcome.detail);
  EXPECT_EQ(stored.at("/variants/as_drawn").numbers, (std::vector<double>{1, 0, 0, 0, 0, 0}));
  const auto& rank = stored.at("/variants/rank").numbers;
  for (std::size_t r = 0; r < outcome.ranking.size(); ++r) EXPECT_EQ(rank[outcome.ranking[r]], r);
  EXPECT_EQ(rank[4], -1);

  // NaN for a channel that a variant lacks, and only there.
  const auto& channels = stored.at("/channel").texts;
  const auto sub =
      static_cast<std::size_t>(std::find(channels.begin(), channels.end(), "sub") - channels.begin());
  const std::size_t C = channels.size();
  ASSERT_LT(sub, C);
  const auto& delay = stored.at("/leading/added_delay").numbers;
  const auto& without = stored.at("/contribution/without");
  const std::size_t B = stored.at("/band").texts.size();
  ASSERT_EQ(without.shape, (Shape{L, C, S, B}));
  for (std::size_t l = 0; l < L; ++l)
    for (std::size_t c = 0; c < C; ++c) {
      const LeadingVariant& one = outcome.leading[l];
      const auto own = std::find(one.channel.begin(), one.channel.end(), channels[c]);
      const bool has = own != one.channel.end();
      EXPECT_EQ(has, c != sub || one.variant % 2 == 0);
      EXPECT_EQ(std::isnan(delay[l * C + c]), !has);
      const auto location = static_cast<std::size_t>(own - one.channel.begin());
      for (std::size_t s = 0; s < S; ++s)
        for (std::size_t b = 0; b < B; ++b) {
          const double number = without.numbers[((l * C + c) * S + s) * B + b];
          if (has)
            EXPECT_EQ(number, one.contributions.without_db(location, s, b));
          else
            EXPECT_TRUE(std::isnan(number));
        }
    }
  const auto& response = stored.at("/leading/response").numbers;
  EXPECT_EQ(response[(1 * S + 1) * 4 + 2], outcome.leading[1].response_db(1, 2));
  EXPECT_EQ(stored.at("/draws/value_high").numbers[2 * M + 1], outcome.leading[2].value[1].high);
  EXPECT_EQ(stored.at("/draws/level_low").numbers[(3 * S + 1) * B],
            outcome.leading[3].band_level_db(1, 0, 0));
  EXPECT_EQ(stored.at("/draws/count").numbers, std::vector<double>{5});
  EXPECT_NE(stored.at("/leading/broken").texts.front(), "");
  EXPECT_EQ(stored.at("/impossible/variant").numbers, (std::vector<double>{4, 5}));
  ASSERT_TRUE(outcome.placement_map);
  expect_same(stored.at("/paint/value").numbers, outcome.placement_map->value);
  EXPECT_EQ(stored.at("/paint/position").numbers[3 * 7 + 1], outcome.placement_map->point_m[7].y());
  EXPECT_EQ(stored.at("/paint/unit").texts.front(), "dB");
  // For a level, louder is better.
  const auto& placement_map = outcome.placement_map->value;
  const auto& point_rank = stored.at("/paint/rank").numbers;
  for (std::size_t q = 0; q < placement_map.size(); ++q) {
    const auto louder = std::count_if(placement_map.begin(), placement_map.end(),
                                      [&](double other) { return other > placement_map[q]; });
    if (std::isnan(placement_map[q]))
      EXPECT_EQ(point_rank[q], -1);
    else
      EXPECT_GE(point_rank[q], louder);
  }
  EXPECT_EQ(std::count(point_rank.begin(), point_rank.end(), 0), 1);
}

TEST_F(SmallStudy, DatasetsWithoutContentAreLeftOut) {
  const Study study = sound("vary: [{mute: [sub]}]\n");
  StudyOptions options;
  options.checkpoint = folder_.file("S.h5.part");
  write_study(study, run_study(study, options, Communicator()), folder_.file("S.h5"));
  std::map<std::string, reading::StoredDataset> stored;
  for (auto& dataset : reading::read_all(folder_.file("S.h5"))) stored.emplace(dataset.path, dataset);
  EXPECT_TRUE(stored.contains("/contribution/sum"));
  for (const char* absent : {"/paint/value", "/paint/unit", "/point_index", "/draws/count",
                             "/draws/times_best", "/impossible/why"})
    EXPECT_FALSE(stored.contains(absent)) << absent;
}

}  // namespace
}  // namespace cabinfield::test
