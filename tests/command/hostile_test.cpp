// Files within the size limits that demand too much: each run ends soon, with a fault or a result, never by a
// signal.
#include <gtest/gtest.h>
#include <sys/resource.h>

#include <cmath>

#include "command/program.h"

namespace cabinfield::test {
namespace {

/// Largest processor time for refusing or checking a file, s: measured far below; ten times that under
/// sanitizers.
constexpr rlim_t most_seconds = 20;

ProgramRun checked(const std::string& text) {
  const TemporaryFolder folder;
  return run_program({"check", folder.write("s.yaml", "cabinfield: 1\n" + text), "--quiet"}, [] {
    const rlimit processor{most_seconds, most_seconds};
    ::setrlimit(RLIMIT_CPU, &processor);
  });
}

std::string repeated(int count, const std::function<std::string(int)>& line) {
  std::string text;
  for (int i = 0; i < count; ++i) text += line(i);
  return text;
}

TEST(Hostile, SixtyThousandFaults) {
  const ProgramRun run = checked(repeated(60000, [](int i) { return "k" + std::to_string(i) + ": 1\n"; }));
  EXPECT_EQ(run.status, 2);
}

TEST(Hostile, ChainsAsLongAsAFileCanHold) {
  const int count = 40000;
  const auto name = [](int i) { return "s" + std::to_string(i); };
  const ProgramRun seats = checked(
      "seats:\n" +
      repeated(count, [&](int i) { return "  " + name(i) + ": {mirror_of: " + name(i + 1) + "}\n"; }) + "  " +
      name(count) + ": {head: [1, 0, 1]}\n");
  EXPECT_TRUE(seats.status == 0 || seats.status == 2) << seats.status;
  const ProgramRun channels =
      checked("channels:\n" +
              repeated(count, [&](int i) { return "  " + name(i) + ": {like: " + name(i + 1) + "}\n"; }) +
              "  " + name(count) + ": {gain: 1 dB}\n");
  EXPECT_TRUE(channels.status == 0 || channels.status == 2) << channels.status;
}

TEST(Hostile, ACabinAsLargeAsCoordinatesAllow) {
  const ProgramRun run = checked(
      "cabin:\n"
      "  profile: [{x: -100, z: -100, surface: a}, {x: 100, z: -100, surface: b}, {x: 100, z: 100, surface: "
      "c}, {x: -100, z: 100, surface: d}]\n"
      "  sides: [{z: -100, y: 100, surface: e}, {z: 100, y: 100}]\n");
  EXPECT_TRUE(run.status == 0 || run.status == 2) << run.status;
}

TEST(Hostile, BlocksOfVeryManyCorners) {
  const auto round_block = [](int b) {
    std::string corners;
    for (int c = 0; c < 200; ++c)
      corners += (c > 0 ? ", [" : "[") +
                 std::to_string(0.2 + 0.13 * (b % 20) + 0.05 * std::cos(c * 0.0314159)) + ", " +
                 std::to_string(0.1 + 0.1 * (b / 20) + 0.04 * std::sin(c * 0.0314159)) + "]";
    return "    - {name: b" + std::to_string(b) + ", profile: [" + corners + "], y: [-0.5, 0.5]}\n";
  };
  const ProgramRun run = checked("cabin:\n  box: {length: 3 m, width: 1.4 m, height: 1.2 m}\n  blocks:\n" +
                                 repeated(200, round_block));
  EXPECT_TRUE(run.status == 0 || run.status == 2) << run.status;
}

TEST(Hostile, ANumberOfAMillionDigitsIsNotRepeated) {
  const ProgramRun run = checked("ear_spacing: " + std::string(1'000'000, '0') + "1 km\n");
  EXPECT_EQ(run.status, 2);
  EXPECT_LT(run.err.size(), 500U);
}

TEST(Hostile, MoreThanTheMemoryOfTheMachine) {
  const TemporaryFolder folder;
  std::string text =
      "cabinfield: 1\nseats:\n" +
      repeated(2000,
               [](int i) {
                 return "  s" + std::to_string(i) + ": {head: [1, 0, " + std::to_string(i * 0.001) + "]}\n";
               }) +
      "drivers:\n" + repeated(2000, [](int i) {
        return "  d" + std::to_string(i) + ": {model: tweeter_25, position: [0, 0, " +
               std::to_string(i * 0.001) + "]}\n";
      });
  const ProgramRun run =
      run_program({"predict", folder.write("s.yaml", text), "-o", folder.file("r.h5"), "--quiet"}, [] {
        const rlimit memory{4'000'000'000, 4'000'000'000};
        ::setrlimit(RLIMIT_AS, &memory);
      });
  EXPECT_TRUE(run.status == 2 || run.status == 3) << run.status;
  EXPECT_EQ(lines_of(run.err).size(), 1U) << run.err;
  EXPECT_EQ(folder.names(), std::vector<std::string>{"s.yaml"});
}

}  // namespace
}  // namespace cabinfield::test
