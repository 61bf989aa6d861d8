#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "base/realtime.h"
#include "io/live/capture_memory.h"
#include "io/live/joins.h"
#include "io/live/late_cycles.h"

struct _jack_client;  // NOLINT: the library's own name

namespace brink::io {

/// Our name in a JACK server. Before PortAudio is started; it must live as long as the process.
void name_jack_client(const char* name);

/// True when the JACK library of this process is PipeWire's own, so that its devices are
/// PipeWire's.
[[nodiscard]] bool is_jack_of_pipewire();

/// A JACK server's graph and clock, as the capture child needs them beside PortAudio. PortAudio
/// joins ports only when it opens, and does not tell how much was lost. This is a client of its
/// own, without ports.
class JackGraph {
 public:
  /// After PortAudio was started. Throws base::Error when no server answers.
  JackGraph();
  ~JackGraph();
  JackGraph(const JackGraph&) = delete;
  JackGraph& operator=(const JackGraph&) = delete;
  JackGraph(JackGraph&&) = delete;
  JackGraph& operator=(JackGraph&&) = delete;

  /// What is missing before a block.
  struct Missing {
    std::size_t samples = 0;   ///< that the server passed over
    bool has_unknown = false;  ///< the device lost some too, and nobody knows how many
  };

  /// For the callback only, at each block. `is_late`: the server says that a cycle was. [audio]
  [[nodiscard]] Missing look(std::size_t sample_count, bool is_late) noexcept BRINK_NONBLOCKING;

  /// Keeps the capture's ports joined, and tells the parent of it. To be called about every 20 ms
  /// once the stream runs, and only while the server works.
  void keep_joined(CaptureHeader& header);

 private:
  [[nodiscard]] std::vector<Join> joins() const;
  [[nodiscard]] std::string port_name(int channel) const;

  _jack_client* client_;
  std::string captures_name_;  // PortAudio's client
  std::optional<WantedJoins> wanted_;
  std::vector<Join> told_;
  double rate_hz_ = 0.0;
  LateCycles late_cycles_;
  double counted_s_ = 0.0;
  std::uint32_t next_ = 0;  // where the next block should begin, by the server's clock
  bool has_next_ = false;
};

}  // namespace brink::io
