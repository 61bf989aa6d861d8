#include "support/jack_server.h"

#include <fcntl.h>
#include <sys/file.h>
#include <unistd.h>

#include <chrono>
#include <filesystem>
#include <thread>
#include <utility>

namespace brink::tests {
namespace {

// If its name is taken, a server says so and ends in much less than this.
constexpr double kRefusedS = 1.0;

}  // namespace

// There are only a few names. The system has a list of eight places for servers. A killed server
// leaves its place taken, and only a new server with the same name can use it again. A locked file
// for each name shows that the name is in use. If the lock is gone but a server of that name still
// runs, that server is not ours to end; the next name is tried.
JackServer::JackServer(std::string directory) : directory_(std::move(directory)) {
  constexpr int kNames = 2;
  for (int tries = 0; !process_; ++tries) {
    name_ = "brink-test-" + std::to_string(tries % kNames);
    const auto path = std::filesystem::temp_directory_path() / (name_ + ".lock");
    lock_ = open(path.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0666);
    if (lock_ >= 0 && flock(lock_, LOCK_EX | LOCK_NB) == 0) {
      start();
    }
    if (!process_ || process_->wait(kRefusedS)) {
      process_.reset();
      close(std::exchange(lock_, -1));
      std::this_thread::sleep_for(std::chrono::milliseconds(100));
    }
  }
}

JackServer::~JackServer() {
  process_.reset();
  close(lock_);
}

void JackServer::start() {
  // Synchronous mode (-S) waits for the clients, so that a busy machine loses no samples.
  process_ = std::make_unique<Process>(
      std::vector<std::string>{"jackd",
                               "-R",
                               "-S",
                               "-n",
                               name_,
                               "-d",
                               "dummy",
                               "-r",
                               "48000",
                               "-p",
                               std::to_string(kPeriodSamples),
                               "-C",
                               "2",
                               "-P",
                               "2"},
      ProcessOptions{directory_ + "/jackd.err", {{"JACK_NO_AUDIO_RESERVATION", "1"}}});
}

void JackServer::end(int signal) {
  process_->send_signal(signal);
  static_cast<void>(process_->wait(5.0));
}

ProcessOptions JackServer::client_options(const std::string& err_name) const {
  return {directory_ + '/' + err_name, {{"JACK_DEFAULT_SERVER", name_}}};
}

}  // namespace brink::tests
