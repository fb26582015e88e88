// `cabinfield report`: what it refuses, without writing anything. Its pages are tested in a browser.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "command/program.h"
#include "output/synthetic_hatchback.h"
#include "output/write_results.h"

namespace cabinfield::test {
namespace {

using testing::HasSubstr;

TEST(Report, RefusesWithStatusTwoAndWritesNothing) {
  const TemporaryFolder folder;
  const std::string results = folder.file("r.h5"), page = folder.file("r.html");
  write_results(synthetic::hatchback(60), results);
  const std::string text = folder.write("text.h5", "cabinfield: 1\n");
  const auto refused = [&](std::vector<std::string> arguments, const std::string& words) {
    arguments.insert(arguments.begin(), "report");
    const ProgramRun run = run_program(arguments);
    EXPECT_EQ(run.status, 2) << run.out << run.err;
    EXPECT_THAT(run.err, HasSubstr(words));
    EXPECT_EQ(run.out, "");
    EXPECT_FALSE(std::filesystem::exists(page));
  };
  refused({"-o", page}, "give a results file");
  refused({results, "--empty", "-o", page}, "takes no results files");
  refused({results}, "--output is required");
  refused({folder.file("none.h5"), "-o", page}, "no such file");
  refused({text, "-o", page}, "text.h5: not an HDF5 file");
  refused({results, "-o", results}, "give the page another name");
  refused({results, "-o", page, "--megabytes", "-1"}, "--megabytes");
  // All faults in one run.
  const ProgramRun two = run_program({"report", folder.file("none.h5"), text, results, "-o", page});
  EXPECT_EQ(two.status, 2);
  EXPECT_EQ(lines_of(two.err).size(), 2U) << two.err;
}

TEST(Report, FullDiskAndMissingFolderAreStatusThree) {
  const TemporaryFolder folder;
  const std::string results = folder.file("r.h5");
  write_results(synthetic::hatchback(60), results);
  const ProgramRun run = run_program({"report", results, "-o", folder.file("none/r.html")});
  EXPECT_EQ(run.status, 3) << run.err;
}

}  // namespace
}  // namespace cabinfield::test
