#pragma once

#include <cstddef>
#include <cstdint>
#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "io/source.h"
#include "listen/snapshot.h"
#include "show/session_event.h"

namespace brink::listen {

struct SessionConfig {
  /// Write all that is heard to this WAV file (32-bit float, one channel for each tap); empty: do
  /// not. The header is updated about once a second, so that the file is good even if the program
  /// is killed.
  std::string record_path;
  double sure = 0.0;         ///< detector::DetectorConfig::sure
  std::vector<int> outputs;  ///< channels that are taps of outputs and not of microphones
  /// So many taps, from the first on, get a forecast of their loops, if they are microphones. Each
  /// costs about 2 % of a core. With one output among the taps the first two microphones are
  /// foretold from two taps, for about 15 % of a core each more (listen/feed_watches.h).
  std::size_t forecasts = 0;
  /// Snapshots have a spectrum and tracks, for a face that draws them.
  bool has_pictures = true;
  std::map<int, Calibration> calibrations;  ///< of the microphones that have one, by tap
  /// Called on the analysis thread when there is a new snapshot or event. While a live input sends
  /// nothing but exact zeros, it is called twice a second. It must be quick: for instance a write
  /// to a pipe, or posting an empty window event.
  std::function<void()> on_news;
};

/// Listens: takes samples from a source on its own thread, with one detector for each tap, and
/// hands out what happens on the stage: a ring that sounds on several taps is one. Terminal and
/// window use it in the same way.
///
/// Events wait for one consumer, up to 4096. When no more fit, it depends on the source. A live
/// source goes on, and further events are counted as lost. Any other source waits. Of the snapshots
/// only the newest is kept, and neither side waits for the other.
///
/// When the input is lost, the rings that sound are gone. When it is back, they begin again. Stream
/// time counts the samples heard, so it stands still while the input is lost. Samples lost in
/// between (up to 10 s at a time) count as silence, so that stream time stays right.
///
/// Only one thread (the window's or the terminal's) may call the functions. The constructor and the
/// destructor may run on another thread.
class Session {
 public:
  /// Starts to listen. Throws base::Error when the recording cannot be started.
  explicit Session(std::unique_ptr<io::Source> source, const SessionConfig& config = {});
  /// Stops and waits for the thread, at most for the time of one block.
  ~Session();
  Session(const Session&) = delete;
  Session& operator=(const Session&) = delete;
  Session(Session&&) = delete;
  Session& operator=(Session&&) = delete;

  [[nodiscard]] const std::string& source_name() const noexcept;
  [[nodiscard]] double sample_rate_hz() const noexcept;
  /// The channel number of each tap, from 1, in the order of Snapshot::taps.
  [[nodiscard]] const std::vector<int>& taps() const noexcept;
  /// The rising frequencies of TapSnapshot::spectrum_dbfs.
  [[nodiscard]] std::span<const float> spectrum_hz() const noexcept;

  /// Asks the session to end: every ring that sounds is then gone, and the recording is closed.
  /// is_over() tells when this is done.
  void stop() noexcept;
  /// True when nothing more will come, after a stop() or at the end of the source. Events may still
  /// wait.
  [[nodiscard]] bool is_over() const noexcept;

  /// Takes waiting events, oldest first, as many as fit. Returns their number.
  [[nodiscard]] std::size_t take_events(std::span<show::SessionEvent> events) noexcept;

  /// Whose spectrum the snapshots have from now on: that of this tap, counted from 0, or of all
  /// together, as at the beginning. There are several taps and one picture.
  void show_tap(std::optional<std::size_t> index) noexcept;

  /// The newest snapshot. It does not change until the next call.
  [[nodiscard]] const Snapshot& newest() noexcept;

  /// One sentence when the recording failed (for instance on a full disk). Listening goes on
  /// without it.
  [[nodiscard]] std::optional<std::string> recording_fault() const;

 private:
  struct State;
  std::unique_ptr<State> state_;
};

}  // namespace brink::listen
