#include <fcntl.h>
#include <fmt/format.h>
#include <poll.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <chrono>
#include <csignal>
#include <system_error>
#include <thread>
#include <utility>

#include "base/error.h"
#include "io/live/child_process.h"

extern char** environ;  // NOLINT(readability-redundant-declaration): POSIX leaves it to us

namespace brink::io {
namespace {

using Clock = std::chrono::steady_clock;

// The child has these two.
constexpr int kMemoryDescriptor = 3;
constexpr int kAliveDescriptor = 4;
/// Our descriptors lie above the child's. So setting up one of the child's never closes another.
constexpr int kAboveChildDescriptors = 16;

void close_one(int& descriptor) noexcept {
  if (descriptor >= 0) {
    ::close(std::exchange(descriptor, -1));
  }
}

/// A pipe for talking to a child. Its ends lie above the child's descriptors, and every child
/// closes them.
struct Pipe {
  int near = -1;  // our end
  int far = -1;   // the child's end

  explicit Pipe(bool child_writes) {
    std::array<int, 2> ends{-1, -1};
    if (pipe2(ends.data(), O_CLOEXEC) != 0) {
      return;
    }
    near = ends[child_writes ? 0 : 1];
    const int far_end = ends[child_writes ? 1 : 0];
    far = fcntl(far_end, F_DUPFD_CLOEXEC, kAboveChildDescriptors);
    ::close(far_end);
  }

  ~Pipe() {
    close_one(near);
    close_one(far);
  }

  Pipe(const Pipe&) = delete;
  Pipe& operator=(const Pipe&) = delete;
  Pipe(Pipe&&) = delete;
  Pipe& operator=(Pipe&&) = delete;
};

/// The two setup objects of posix_spawn, freed at the end.
struct SpawnSetup {
  posix_spawn_file_actions_t files{};
  posix_spawnattr_t attributes{};

  SpawnSetup() {
    posix_spawn_file_actions_init(&files);
    posix_spawnattr_init(&attributes);
    sigset_t none;
    sigset_t ours;
    sigemptyset(&none);
    sigemptyset(&ours);
    for (const int signal : {SIGINT, SIGTERM, SIGHUP, SIGPIPE}) {
      sigaddset(&ours, signal);
    }
    posix_spawnattr_setsigmask(&attributes, &none);
    posix_spawnattr_setsigdefault(&attributes, &ours);
    posix_spawnattr_setpgroup(&attributes, 0);
    posix_spawnattr_setflags(
        &attributes, POSIX_SPAWN_SETPGROUP | POSIX_SPAWN_SETSIGMASK | POSIX_SPAWN_SETSIGDEF);
  }

  ~SpawnSetup() {
    posix_spawn_file_actions_destroy(&files);
    posix_spawnattr_destroy(&attributes);
  }

  SpawnSetup(const SpawnSetup&) = delete;
  SpawnSetup& operator=(const SpawnSetup&) = delete;
  SpawnSetup(SpawnSetup&&) = delete;
  SpawnSetup& operator=(SpawnSetup&&) = delete;

  /// Gives our descriptor `from` to the child as `to`. Without one (-1), `to` is /dev/null.
  void hand_on(int from, int to) {
    if (from >= 0) {
      posix_spawn_file_actions_adddup2(&files, from, to);
    } else {
      posix_spawn_file_actions_addopen(&files, to, "/dev/null", O_RDWR, 0);
    }
  }
};

}  // namespace

ChildProcess::ChildProcess(const std::string& program,
                           const std::vector<std::string>& arguments,
                           int memory,
                           bool wants_output) {
  std::vector<std::string> words{program};
  words.insert(words.end(), arguments.begin(), arguments.end());
  std::vector<char*> pointers;
  std::transform(
      words.begin(), words.end(), std::back_inserter(pointers), [](auto& w) { return w.data(); });
  pointers.push_back(nullptr);

  Pipe alive(false);
  Pipe output(true);
  int far_memory = memory < 0 ? -1 : fcntl(memory, F_DUPFD_CLOEXEC, kAboveChildDescriptors);
  SpawnSetup setup;
  setup.hand_on(-1, STDIN_FILENO);
  setup.hand_on(wants_output ? output.far : -1, STDOUT_FILENO);
  setup.hand_on(-1, STDERR_FILENO);
  setup.hand_on(far_memory, kMemoryDescriptor);
  setup.hand_on(alive.far, kAliveDescriptor);
  const int error = posix_spawn(
      &process_, program.c_str(), &setup.files, &setup.attributes, pointers.data(), environ);
  close_one(far_memory);
  if (error != 0) {
    process_ = -1;
    throw base::Error(fmt::format("The process for live sound could not be started ({}).",
                                  std::generic_category().message(error)));
  }
  alive_ = std::exchange(alive.near, -1);
  output_ = wants_output ? std::exchange(output.near, -1) : -1;
}

ChildProcess::~ChildProcess() {
  stop(0);
}

void ChildProcess::close_pipes() noexcept {
  close_one(alive_);
  close_one(output_);
}

bool ChildProcess::is_running() noexcept {
  if (process_ > 0 && waitpid(process_, nullptr, WNOHANG) != 0) {
    process_ = -1;  // it has ended, or is not our child
  }
  return process_ > 0;
}

void ChildProcess::stop(int patience_ms) noexcept {
  close_pipes();
  const auto until = Clock::now() + std::chrono::milliseconds(patience_ms);
  while (patience_ms > 0 && is_running() && Clock::now() < until) {
    std::this_thread::sleep_for(std::chrono::milliseconds(2));
  }
  if (is_running()) {
    kill(process_, SIGKILL);
    waitpid(process_, nullptr, 0);
    process_ = -1;
  }
}

bool ChildProcess::read_output(std::string& output, int patience_ms) noexcept {
  const auto until = Clock::now() + std::chrono::milliseconds(patience_ms);
  std::array<char, 4096> bytes{};
  for (;;) {
    const auto left =
        std::chrono::duration_cast<std::chrono::milliseconds>(until - Clock::now()).count();
    pollfd file{output_, POLLIN, 0};
    if (left <= 0 || (poll(&file, 1, static_cast<int>(left)) < 0 && errno != EINTR)) {
      return false;
    }
    const ssize_t count = file.revents == 0 ? -1 : ::read(output_, bytes.data(), bytes.size());
    if (count == 0) {
      return true;
    }
    output.append(bytes.data(), count > 0 ? static_cast<std::size_t>(count) : 0);
  }
}

int memory_of_parent() noexcept {
  return kMemoryDescriptor;
}

bool has_parent_left(int patience_ms) noexcept {
  // Nothing is ever written to it, so all that can come is its end.
  pollfd parent{kAliveDescriptor, POLLIN, 0};
  int ready = 0;
  do {
    ready = poll(&parent, 1, patience_ms);
  } while (ready < 0 && errno == EINTR);
  return ready != 0;
}

}  // namespace brink::io
