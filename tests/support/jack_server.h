#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "support/process.h"

namespace brink::tests {

/// A JACK server for one test, without a sound card (dummy driver, 48 kHz, periods of 1024). No
/// other server has its name at that time. Only its own process is ever ended.
class JackServer {
 public:
  /// 21 ms. A busy host may stop a virtual machine for 14 ms.
  static constexpr int kPeriodSamples = 1024;

  /// Starts the server. `directory`: for its log. Waits while all names are in use.
  explicit JackServer(std::string directory);
  ~JackServer();
  JackServer(const JackServer&) = delete;
  JackServer& operator=(const JackServer&) = delete;
  JackServer(JackServer&&) = delete;
  JackServer& operator=(JackServer&&) = delete;

  /// Starts it again after end().
  void start();
  void end(int signal);

  [[nodiscard]] Process& process() { return *process_; }

  /// The options with which a client finds the server.
  [[nodiscard]] ProcessOptions client_options(const std::string& err_name) const;

 private:
  std::string directory_;
  int lock_ = -1;
  std::string name_;
  std::unique_ptr<Process> process_;
};

}  // namespace brink::tests
