#include "support/process.h"

#include <fcntl.h>
#include <poll.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <chrono>
#include <csignal>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <stdexcept>
#include <system_error>
#include <thread>
#include <utility>

namespace brink::tests {
namespace {

using Clock = std::chrono::steady_clock;

void close_one(int& descriptor) {
  if (descriptor >= 0) {
    ::close(std::exchange(descriptor, -1));
  }
}

Clock::time_point after(double patience_s) {
  return Clock::now() +
         std::chrono::duration_cast<Clock::duration>(std::chrono::duration<double>(patience_s));
}

/// Runs in the child and never returns.
[[noreturn]] void become(std::vector<char*>& words,
                         const ProcessOptions& options,
                         int in,
                         int out) {
  const int err = open(options.err_path.c_str(), O_WRONLY | O_CREAT | O_APPEND, 0600);
  for (const auto& [name, value] : options.environment) {
    setenv(name.c_str(), value.c_str(), 1);  // NOLINT(concurrency-mt-unsafe): one thread here
  }
  std::signal(SIGPIPE, SIG_DFL);
  const bool is_set =
      dup2(in, STDIN_FILENO) >= 0 && dup2(out, STDOUT_FILENO) >= 0 && dup2(err, STDERR_FILENO) >= 0;
  if (is_set) {
    execvp(words.front(), words.data());
  }
  _exit(127);
}

}  // namespace

Process::Process(const std::vector<std::string>& words, const ProcessOptions& options) {
  std::signal(SIGPIPE, SIG_IGN);
  std::vector<std::string> copies = words;
  std::vector<char*> pointers;
  pointers.reserve(copies.size() + 1);
  for (std::string& word : copies) {
    pointers.push_back(word.data());
  }
  pointers.push_back(nullptr);
  std::array<int, 2> in{-1, -1};
  std::array<int, 2> out{-1, -1};
  if (pipe2(in.data(), O_CLOEXEC) != 0 || pipe2(out.data(), O_CLOEXEC) != 0) {
    throw std::runtime_error("no pipes");
  }
  pid_ = fork();
  if (pid_ == 0) {
    become(pointers, options, in[0], out[1]);
  }
  close_one(in[0]);
  close_one(out[1]);
  input_ = in[1];
  output_ = out[0];
  if (pid_ < 0) {
    throw std::runtime_error("cannot run " + words.front());
  }
}

Process::~Process() {
  close_input();
  close_output();
  if (!status_) {
    kill(pid_, SIGCONT);
    kill(pid_, SIGKILL);
    waitpid(pid_, nullptr, 0);
  }
}

bool Process::write(std::string_view bytes) const {
  while (!bytes.empty()) {
    const ssize_t count = ::write(input_, bytes.data(), bytes.size());
    if (count < 0 && errno != EINTR) {
      return false;
    }
    bytes.remove_prefix(count > 0 ? static_cast<std::size_t>(count) : 0);
  }
  return true;
}

void Process::close_input() {
  close_one(input_);
}

void Process::close_output() {
  close_one(output_);
}

std::optional<std::string> Process::read_line(double patience_s) {
  const auto until = after(patience_s);
  for (;;) {
    const std::size_t end = unread_.find('\n');
    if (end != std::string::npos) {
      std::string line = unread_.substr(0, end);
      unread_.erase(0, end + 1);
      return line;
    }
    const auto left =
        std::chrono::duration_cast<std::chrono::milliseconds>(until - Clock::now()).count();
    pollfd file{output_, POLLIN, 0};
    if (left < 0 || poll(&file, 1, static_cast<int>(left) + 1) <= 0) {
      return std::nullopt;
    }
    std::array<char, 4096> bytes{};
    const ssize_t count = ::read(output_, bytes.data(), bytes.size());
    if (count <= 0) {
      return std::nullopt;
    }
    unread_.append(bytes.data(), static_cast<std::size_t>(count));
  }
}

void Process::send_signal(int number) const {
  if (!status_) {
    kill(pid_, number);
  }
}

std::optional<int> Process::wait(double patience_s) {
  const auto until = after(patience_s);
  while (!status_) {
    int state = 0;
    if (waitpid(pid_, &state, WNOHANG) == pid_) {
      status_ = WIFEXITED(state) ? WEXITSTATUS(state) : 128 + WTERMSIG(state);
    } else if (Clock::now() > until) {
      return std::nullopt;
    } else {
      std::this_thread::sleep_for(std::chrono::milliseconds(2));
    }
  }
  return status_;
}

pid_t first_child(pid_t parent) {
  // A child is listed with the thread that started it.
  std::error_code error;
  const std::string tasks = "/proc/" + std::to_string(parent) + "/task";
  for (const auto& task : std::filesystem::directory_iterator(tasks, error)) {
    std::ifstream file(task.path() / "children");
    if (pid_t child = 0; file >> child) {
      return child;
    }
  }
  return 0;
}

}  // namespace brink::tests
