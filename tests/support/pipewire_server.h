#pragma once

#include <memory>
#include <string>

#include "support/process.h"

namespace brink::tests {

/// A PipeWire server for one test, with its session manager (wireplumber) and a message bus, which
/// that needs. It has no sound card: the test adds sources and outputs. Only these processes are
/// ever ended. Everything they write is in `directory`.
class PipewireServer {
 public:
  /// Starts the server and waits until it can be asked.
  explicit PipewireServer(std::string directory);

  /// Ends the server, and its session manager, which cannot live without it.
  void end(int signal);
  void start();

  [[nodiscard]] Process& process() { return *server_; }

  /// Adds a source or an output; `kind` is a media class, `channels` as [ FL FR ]. Returns when
  /// it is there.
  void add(const std::string& name,
           const std::string& description,
           const std::string& kind,
           const std::string& channels);
  void remove(const std::string& name);
  /// Makes it the desktop's default source.
  void make_default(const std::string& name);

  /// Joins two ports, as a user's hand.
  void link(const std::string& from, const std::string& to);

  /// What is joined in the graph, one sorted line for each cable: "mic:capture_MONO ->
  /// brink:input_AUX0".
  [[nodiscard]] std::string joins() const;

  /// Waits until a client of that name is joined to something. False when it is not in time.
  [[nodiscard]] bool becomes_joined(const std::string& client) const;

  /// The options with which a client finds the server.
  [[nodiscard]] ProcessOptions client_options(const std::string& err_name) const;

 private:
  [[nodiscard]] std::string run(const std::vector<std::string>& words) const;
  [[nodiscard]] std::string id_of(const std::string& name) const;

  std::string directory_;
  std::string bus_address_;
  std::unique_ptr<Process> bus_;
  std::unique_ptr<Process> server_;
  std::unique_ptr<Process> manager_;
};

}  // namespace brink::tests
