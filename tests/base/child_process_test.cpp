#include "base/child_process.h"

#include <gtest/gtest.h>
#include <unistd.h>

#include <chrono>
#include <csignal>
#include <cstdio>
#include <cstdlib>
#include <stdexcept>
#include <thread>

#include "field/wave/mesh_raw.h"

namespace cabinfield::test {
namespace {

using End = ChildOutcome::End;

TEST(MeshChild, BringsBackWhatItMade) {
  std::string much(10'000'000, 'x');
  much[4'999'999] = '\0';
  const ChildOutcome outcome = in_child([&] { return much; }, 20);
  EXPECT_EQ(outcome.end, End::done);
  EXPECT_EQ(outcome.bytes, much);
}

TEST(MeshChild, ACrashStaysThere) {
  EXPECT_EQ(in_child([]() -> std::string { std::abort(); }, 20).end, End::crashed);
  EXPECT_EQ(in_child(
                []() -> std::string {
                  std::raise(SIGSEGV);
                  return "";
                },
                20)
                .end,
            End::crashed);
  EXPECT_EQ(in_child([]() -> std::string { throw std::runtime_error("no"); }, 20).end, End::crashed);
  EXPECT_EQ(in_child([]() -> std::string { std::_Exit(3); }, 20).end, End::crashed);
}

TEST(MeshChild, AHangIsEnded) {
  const auto start = std::chrono::steady_clock::now();
  const ChildOutcome outcome = in_child(
      []() -> std::string {
        for (;;) std::this_thread::sleep_for(std::chrono::seconds(1));
      },
      0.2);
  EXPECT_EQ(outcome.end, End::timed_out);
  EXPECT_TRUE(outcome.bytes.empty());
  // Well below a minute; the machine may be busy.
  EXPECT_LT(std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count(), 10);
}

TEST(MeshChild, PrintsNothing) {
  testing::internal::CaptureStdout();
  testing::internal::CaptureStderr();
  const ChildOutcome outcome = in_child(
      [] {
        std::puts("log");
        std::fputs("log", stderr);
        std::fflush(nullptr);
        return std::string("done");
      },
      20);
  EXPECT_EQ(testing::internal::GetCapturedStdout(), "");
  EXPECT_EQ(testing::internal::GetCapturedStderr(), "");
  EXPECT_EQ(outcome.bytes, "done");
}

TEST(MeshChild, AMeshSurvivesTheJourneyAndACutOneIsRefused) {
  RawMesh mesh;
  mesh.node = {{0.1, 0.2, 0.3}, {1, 2, 3}};
  mesh.tetrahedron = {{0, 1, 2, 3}};
  mesh.body = {0};
  mesh.body_region = {-1};
  mesh.body_volume_m3 = {0.7};
  mesh.sheet = {{0, 1, 2}};
  mesh.sheet_partition = {4};
  const std::string bytes = mesh.bytes();
  const RawMesh same = RawMesh::of(bytes);
  EXPECT_EQ(same.node, mesh.node);
  EXPECT_EQ(same.tetrahedron, mesh.tetrahedron);
  EXPECT_EQ(same.body_volume_m3, mesh.body_volume_m3);
  EXPECT_EQ(same.sheet_partition, mesh.sheet_partition);
  for (std::size_t length = 0; length < bytes.size(); length += 3)
    EXPECT_THROW(RawMesh::of(bytes.substr(0, length)), std::runtime_error);
}

}  // namespace
}  // namespace cabinfield::test
