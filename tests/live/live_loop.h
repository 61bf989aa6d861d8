#pragma once

#include <cstddef>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

#include "support/files.h"
#include "support/jack_server.h"
#include "support/process.h"
#include "support/small_loop.h"

namespace brink::tests {

/// A server, a room that rings when its gain is raised, and brink listening to it: everything real
/// but the air.
class LiveLoop {
 public:
  static constexpr double kPatienceS = 15.0;  // only ever spent when something hangs

  LiveLoop();

  [[nodiscard]] JackServer& server() { return server_; }

  [[nodiscard]] const SmallLoop& truth() const { return truth_; }

  [[nodiscard]] Process& brink() { return *brink_; }

  [[nodiscard]] std::string path(const std::string& name) const { return directory_ / name; }

  /// Puts the room in, at a gain that many dB from the brink. `noise_dbfs`: what excites it.
  void start_room(double from_brink_db, double noise_dbfs);

  void end_room() { room_.reset(); }

  /// Starts `brink listen --input room` with more options and waits until it is connected.
  void start_brink(const std::vector<std::string>& options);

  /// Sends a command to the room; the number in its answer.
  double tell_room(const std::string& command);
  std::size_t set_gain(double from_brink_db);

  /// The next event of this kind, others skipped; nothing when none comes in time.
  [[nodiscard]] std::optional<nlohmann::json> event(const std::string& kind,
                                                    double patience_s = kPatienceS);

  /// How far the server's count of samples fell behind the clock since the room was put in. With a
  /// card, as many samples would be missing.
  [[nodiscard]] double fell_behind_s();

  /// All events seen so far, skipped or not.
  [[nodiscard]] const std::vector<nlohmann::json>& seen() const { return seen_; }

 private:
  TemporaryDirectory directory_;
  JackServer server_;
  SmallLoop truth_;
  std::unique_ptr<Process> room_;
  std::unique_ptr<Process> brink_;
  double behind_at_start_us_ = 0.0;
  std::vector<nlohmann::json> seen_;
};

}  // namespace brink::tests
