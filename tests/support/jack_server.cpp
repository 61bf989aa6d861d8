#include "support/jack_server.h"

#include <utility>

namespace brink::tests {

JackServer::JackServer(std::string directory)
    : directory_(std::move(directory)),
      // One name for all: a killed server leaves its place in the system's list of eight taken, and
      // only a new one of the same name takes it over. The tests that use it run one at a time.
      name_("brink-test") {}

void JackServer::start() {
  // Synchronous mode (-S) waits for its clients, so that a busy machine loses no samples.
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
