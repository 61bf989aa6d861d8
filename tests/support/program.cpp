#include "support/program.h"

#include <fcntl.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <csignal>
#include <cstdlib>
#include <stdexcept>

#include "support/files.h"

namespace brink::tests {
namespace {

void limit_files(unsigned long long longest_bytes) {
  rlimit limit{};
  if (longest_bytes > 0 && getrlimit(RLIMIT_FSIZE, &limit) == 0) {
    limit.rlim_cur = longest_bytes;
    (void)setrlimit(RLIMIT_FSIZE, &limit);
  }
}

/// Runs in the child and never returns.
[[noreturn]] void become(std::vector<char*>& arguments,
                         const RunOptions& options,
                         int out,
                         int err) {
  const bool is_set = (options.directory.empty() || chdir(options.directory.c_str()) == 0) &&
                      dup2(out, STDOUT_FILENO) >= 0 && dup2(err, STDERR_FILENO) >= 0;
  for (const auto& [name, value] : options.environment) {
    (void)setenv(name.c_str(), value.c_str(), 1);  // NOLINT(concurrency-mt-unsafe): one thread here
  }
  if (!options.in_path.empty()) {
    (void)dup2(open(options.in_path.c_str(), O_RDONLY | O_CLOEXEC), STDIN_FILENO);
  }
  for (const int descriptor : options.closed) {
    close(descriptor);
  }
  if (is_set) {
    limit_files(options.longest_file_bytes);
    std::signal(SIGPIPE, SIG_DFL);
    execv(arguments.front(), arguments.data());
  }
  _exit(127);
}

int open_out(const RunOptions& options, const std::string& own_path) {
  if (!options.out_is_closed_early) {
    const std::string& path = options.out_path.empty() ? own_path : options.out_path;
    return open(path.c_str(), O_WRONLY | O_CREAT | O_CLOEXEC, 0600);
  }
  std::array<int, 2> ends{};
  if (pipe2(ends.data(), O_CLOEXEC) != 0) {
    return -1;
  }
  close(ends[0]);
  return ends[1];
}

std::string read_all(int descriptor) {
  std::string text;
  std::array<char, 4096> part{};
  ssize_t count = 0;
  while ((count = read(descriptor, part.data(), part.size())) > 0) {
    text.append(part.data(), static_cast<std::size_t>(count));
  }
  close(descriptor);
  return text;
}

}  // namespace

std::string tested_program() {
  const char* const other = std::getenv("BRINK_TESTED");  // NOLINT(concurrency-mt-unsafe)
  return other == nullptr ? BRINK_EXECUTABLE : other;
}

Outcome run_brink(const std::vector<std::string>& arguments, const RunOptions& options) {
  const TemporaryDirectory dir;
  std::vector<std::string> words{tested_program()};
  words.insert(words.end(), arguments.begin(), arguments.end());
  std::vector<char*> pointers;
  pointers.reserve(words.size() + 1);
  for (std::string& word : words) {
    pointers.push_back(word.data());
  }
  pointers.push_back(nullptr);
  const int out = open_out(options, dir / "out");
  // What is said goes through a pipe: a limit on the size of files must not cut it short.
  std::array<int, 2> err{};
  if (pipe2(err.data(), O_CLOEXEC) != 0) {
    throw std::runtime_error("cannot make a pipe");
  }
  const pid_t child = fork();
  if (child == 0) {
    become(pointers, options, out, err[1]);
  }
  close(out);
  close(err[1]);
  if (child > 0 && options.signal_after_ms > 0) {
    usleep(static_cast<useconds_t>(options.signal_after_ms) * 1000U);
    kill(child, SIGINT);
  }
  Outcome outcome;
  outcome.err = read_all(err[0]);
  int state = 0;
  if (child < 0 || waitpid(child, &state, 0) != child) {
    throw std::runtime_error("cannot run " + words.front());
  }
  outcome.status = WIFEXITED(state) ? WEXITSTATUS(state) : 128 + WTERMSIG(state);
  outcome.out = read_bytes(dir / "out");
  return outcome;
}

}  // namespace brink::tests
