#include "live/live_loop.h"

#include <doctest/doctest.h>

#include <chrono>
#include <sstream>
#include <thread>

namespace brink::tests {
namespace {

std::string to_text(double number) {
  std::ostringstream text;
  text.precision(12);
  text << number;
  return text.str();
}

}  // namespace

LiveLoop::LiveLoop() : server_(directory_ / "") {}

void LiveLoop::start_room(double from_brink_db, double noise_dbfs) {
  const int room_delay = truth_.delay_samples - JackServer::kPeriodSamples;
  room_ = std::make_unique<Process>(
      std::vector<std::string>{JACK_ROOM,
                               "room",
                               std::to_string(room_delay),
                               to_text(truth_.centre_hz),
                               to_text(truth_.q),
                               to_text(truth_.brink_gain_db() + from_brink_db),
                               to_text(noise_dbfs)},
      server_.client_options("room.err"));
  const auto answer = room_->read_line(kPatienceS);
  REQUIRE(answer.has_value());
  REQUIRE(*answer == "ready");
  behind_at_start_us_ = tell_room("behind");
}

void LiveLoop::start_brink(const std::vector<std::string>& options) {
  std::vector<std::string> words{BRINK_EXECUTABLE, "listen", "--input", "room"};
  words.insert(words.end(), options.begin(), options.end());
  brink_ = std::make_unique<Process>(words, server_.client_options("brink.err"));
  // The room's own input and brink's.
  for (int tries = 0; tell_room("connections") < 2 && tries < 500; ++tries) {
    std::this_thread::sleep_for(std::chrono::milliseconds(20));
  }
  REQUIRE(tell_room("connections") == 2);
}

double LiveLoop::tell_room(const std::string& command) {
  REQUIRE(room_->write(command + "\n"));
  const auto answer = room_->read_line(kPatienceS);
  REQUIRE(answer.has_value());
  return std::stod(answer->substr(answer->rfind(' ')));
}

double LiveLoop::fell_behind_s() {
  return 1e-6 * (tell_room("behind") - behind_at_start_us_);
}

std::size_t LiveLoop::set_gain(double from_brink_db) {
  return static_cast<std::size_t>(
      tell_room("gain " + to_text(truth_.brink_gain_db() + from_brink_db)));
}

std::optional<nlohmann::json> LiveLoop::event(const std::string& kind, double patience_s) {
  const auto until = std::chrono::steady_clock::now() + std::chrono::duration<double>(patience_s);
  for (;;) {
    const std::chrono::duration<double> left = until - std::chrono::steady_clock::now();
    const auto line = left.count() > 0.0 ? brink_->read_line(left.count()) : std::nullopt;
    if (!line) {
      return std::nullopt;
    }
    seen_.push_back(nlohmann::json::parse(*line));
    if (seen_.back()["event"] == kind) {
      return seen_.back();
    }
  }
}

}  // namespace brink::tests
