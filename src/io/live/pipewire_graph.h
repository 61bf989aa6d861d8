#pragma once

#include <atomic>
#include <cstdint>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "io/live/inputs.h"
#include "io/live/joins.h"

struct pw_core;
struct pw_thread_loop;

namespace brink::io {

/// The sources and cables of a PipeWire server, kept up to date by a thread of PipeWire's library.
/// PortAudio knows PipeWire only by its bridges for ALSA and JACK. The first cannot name a source,
/// and the second takes an output's monitor for the default. So brink asks PipeWire itself. Only
/// the capture child uses this class.
class PipewireGraph {
 public:
  /// The server that this session has; nullptr where none runs or none answers within 1.5 s.
  [[nodiscard]] static std::unique_ptr<PipewireGraph> find();
  ~PipewireGraph();
  PipewireGraph(const PipewireGraph&) = delete;
  PipewireGraph& operator=(const PipewireGraph&) = delete;
  PipewireGraph(PipewireGraph&&) = delete;
  PipewireGraph& operator=(PipewireGraph&&) = delete;

  /// Every source and every output's monitor, by the names that the desktop shows: the desktop's
  /// default first, then sources, then monitors. A monitor is never the default. `number` is not
  /// set.
  [[nodiscard]] std::vector<InputDevice> inputs() const;

  /// False once the server is gone.
  [[nodiscard]] bool is_alive() const noexcept;

  /// The source's ports in the order of its channels, as Join names them.
  [[nodiscard]] std::vector<std::string> source_ports(std::string_view id) const;
  [[nodiscard]] bool has_port(std::string_view name) const;
  /// How many inputs this node of ours has; `node` is its number in the server.
  [[nodiscard]] int input_count(std::uint32_t node) const;
  [[nodiscard]] std::vector<Join> joins(std::uint32_t node) const;
  /// What is not there is left alone.
  void make(std::uint32_t node, const Join& join);
  void undo(std::uint32_t node, const Join& join);

  /// For a stream in this graph. The loop is locked while either is used.
  [[nodiscard]] pw_core* core() const noexcept;
  [[nodiscard]] pw_thread_loop* loop() const noexcept;

  struct State;

 private:
  explicit PipewireGraph(std::unique_ptr<State> state);

  std::unique_ptr<State> state_;
};

/// Holds a loop's lock. Inside PipeWire's own thread it is held already.
class LoopLock {
 public:
  explicit LoopLock(pw_thread_loop* loop);
  ~LoopLock();
  LoopLock(const LoopLock&) = delete;
  LoopLock& operator=(const LoopLock&) = delete;
  LoopLock(LoopLock&&) = delete;
  LoopLock& operator=(LoopLock&&) = delete;

 private:
  pw_thread_loop* loop_;
};

}  // namespace brink::io
