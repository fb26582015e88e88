#include "base/process_for.h"

#include <gtest/gtest.h>
#include <omp.h>
#include <unistd.h>

#include <algorithm>
#include <csignal>
#include <numeric>
#include <stdexcept>
#include <vector>

namespace cabinfield {
namespace {

/// Sets the number of threads of loops during a test.
class Threads {
 public:
  explicit Threads(int count) : before_(omp_get_max_threads()) { omp_set_num_threads(count); }
  ~Threads() { omp_set_num_threads(before_); }

 private:
  int before_;
};

TEST(ProcessFor, DoesEachShareOnceForAnyNumberOfProcesses) {
  for (int threads : {1, 2, 3}) {
    const Threads some(threads);
    SharedNumbers found(40);
    process_for(40, [&](std::size_t i) { found.values()[i] += 1 + static_cast<double>(i); });
    for (std::size_t i = 0; i < 40; ++i) EXPECT_EQ(found.values()[i], 1 + static_cast<double>(i));
  }
}

TEST(ProcessFor, WorksInMoreThanOneProcess) {
  const Threads two(2);
  SharedNumbers found(8);
  process_for(8, [&](std::size_t i) {
    usleep(20000);
    found.values()[i] = getpid();
  });
  const auto values = found.values();
  EXPECT_TRUE(std::any_of(values.begin(), values.end(), [&](double of) { return of != values[0]; }));
  EXPECT_TRUE(std::any_of(values.begin(), values.end(), [&](double of) { return of == getpid(); }));
}

TEST(ProcessFor, DoesHereWhatAChildThatDiedLeft) {
  const Threads two(2);
  const pid_t parent = getpid();
  SharedNumbers found(6);
  process_for(6, [&](std::size_t i) {
    usleep(20000);
    if (getpid() != parent) raise(SIGKILL);
    found.values()[i] = 1;
  });
  for (double value : found.values()) EXPECT_EQ(value, 1);
}

TEST(ProcessFor, ThrowsWhatABodyThrowsWhereverItRan) {
  const Threads two(2);
  EXPECT_THROW(process_for(6,
                           [](std::size_t i) {
                             usleep(20000);
                             if (i == 3) throw std::runtime_error("no");
                           }),
               std::runtime_error);
}

TEST(ProcessFor, LoopsInABodyDoNotWaitForThreadsThatItsProcessLacks) {
  const Threads two(2);
  auto counted = [] {
    std::vector<double> each(100, 0);
    // As in libraries that choose their own number of threads.
#pragma omp parallel for num_threads(4)
    for (int i = 0; i < 100; ++i) each[static_cast<std::size_t>(i)] = 1;
    return std::accumulate(each.begin(), each.end(), 0.0);
  };
  EXPECT_EQ(counted(), 100);  // the parent's threads exist from here on
  SharedNumbers found(8);
  process_for(8, [&](std::size_t i) {
    usleep(20000);
    found.values()[i] = counted();
  });
  for (double value : found.values()) EXPECT_EQ(value, 100);
  int threads = 0;
#pragma omp parallel
#pragma omp atomic
  ++threads;
  EXPECT_EQ(threads, 2);  // as before
}

}  // namespace
}  // namespace cabinfield
