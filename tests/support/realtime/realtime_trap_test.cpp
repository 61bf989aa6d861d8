#include "support/realtime/realtime_trap.h"

#include <doctest/doctest.h>
#include <unistd.h>

#include <chrono>
#include <cmath>
#include <condition_variable>
#include <cstdlib>
#include <mutex>
#include <string>
#include <thread>
#include <vector>

using brink::tests::makes_no_system_call;
using brink::tests::RealtimeTrap;

namespace {

/// Name of the first forbidden call in `work`; "" when there is none.
template <typename Work>
std::string caught(const Work& work) {
  const RealtimeTrap trap;
  work();
  return trap.first();
}

/// Uses a volatile pointer, so that no compiler removes both calls.
void allocate_and_free() {
  void* volatile block = std::malloc(100);
  std::free(block);
}

}  // namespace

// The trap is tested first: a trap that catches nothing proves nothing.
TEST_CASE("the trap catches each thing that a real-time thread must not do") {
  std::mutex mutex;
  std::condition_variable condition;
  char byte = 0;
  CHECK(caught([] { const std::vector<float> samples(100); }) == "operator new");
  CHECK(caught(allocate_and_free) == "malloc");
  CHECK(caught([&] { const std::lock_guard lock(mutex); }) == "pthread_mutex_lock");
  CHECK(caught([&] { condition.notify_one(); }) == "pthread_cond_signal");
  CHECK(caught([] { std::this_thread::sleep_for(std::chrono::microseconds(1)); }) == "nanosleep");
  CHECK(caught([] { std::this_thread::yield(); }) == "sched_yield");
  CHECK(caught([&] { CHECK(::read(-1, &byte, 1) < 0); }) == "read");
}

TEST_CASE("the trap counts, and forgets when it is set anew") {
  {
    const RealtimeTrap trap;
    allocate_and_free();
    CHECK(trap.violations() == 2);
  }
  const RealtimeTrap trap;
  const int violations = trap.violations();
  CHECK(violations == 0);
}

TEST_CASE("arithmetic and copying fall into no trap") {
  std::vector<float> samples(1000);
  CHECK(caught([&] {
          for (float& sample : samples) {
            sample = std::sin(sample + 1.0F);
          }
        }) == "");
}

TEST_CASE("what other threads do is not counted") {
  std::jthread other;
  std::string name = "?";
  other = std::jthread(allocate_and_free);
  name = caught([] {});
  CHECK(name == "");
}

TEST_CASE("a system call ends the copy that makes it") {
  volatile float sum = 0.0F;
  CHECK(makes_no_system_call([&] { sum = sum + 1.0F; }));
  CHECK_FALSE(makes_no_system_call([] { getppid(); }));
}
