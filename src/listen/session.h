#pragma once

#include <cstddef>
#include <cstdint>
#include <functional>
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
  /// Keep all that is heard in this WAV file (32-bit float, a channel for each tap); empty: do not.
  /// Its header is kept true about once a second, so that the file outlives a killed program.
  std::string record_path;
  /// Called on the analysis thread when there is a new snapshot or event (twice a second while a
  /// live input sends exact zeros alone); must be quick, as a write to a pipe or a posted empty
  /// window event is.
  std::function<void()> on_news;
};

/// Listens: takes samples from a source on a thread of its own, one detector for each tap, and
/// hands out what happens. The same for the terminal and for the window.
///
/// Events are kept for one consumer, up to 4096; while it does not take them, a source with a pace
/// of its own goes on and further events are counted as lost, and any other source waits.
/// Snapshots: the newest alone; neither side ever waits for the other.
///
/// When the input is lost the rings that sound are gone, and when it is back they begin anew.
/// Stream time is the samples heard: it stands while the input is lost. Samples lost in between (up
/// to 10 s at a time) count, as silence, so that stream time keeps its pace.
///
/// All functions but the constructor and the destructor: one face thread.
class Session {
 public:
  /// Starts listening. Throws base::Error when the recording cannot be begun.
  explicit Session(std::unique_ptr<io::Source> source, const SessionConfig& config = {});
  /// Stops and waits for the thread, at most a block's time.
  ~Session();
  Session(const Session&) = delete;
  Session& operator=(const Session&) = delete;
  Session(Session&&) = delete;
  Session& operator=(Session&&) = delete;

  [[nodiscard]] const std::string& source_name() const noexcept;
  [[nodiscard]] double sample_rate_hz() const noexcept;
  /// The channel number of each tap, from 1, in the order of Snapshot::taps.
  [[nodiscard]] const std::vector<int>& taps() const noexcept;
  /// Frequencies of TapSnapshot::spectrum_dbfs, rising.
  [[nodiscard]] std::span<const float> spectrum_hz() const noexcept;

  /// Asks for the end: every ring that sounds is gone, the recording is closed. is_over() says
  /// when.
  void stop() noexcept;
  /// Nothing will come any more, after a stop() or because the source was at its end. Events may
  /// still wait to be taken.
  [[nodiscard]] bool is_over() const noexcept;

  /// Takes waiting events, oldest first, as many as fit; returns how many.
  [[nodiscard]] std::size_t take_events(std::span<show::SessionEvent> events) noexcept;

  /// The newest snapshot; stays as it is until the next call.
  [[nodiscard]] const Snapshot& newest() noexcept;

  /// One sentence when the recording broke off (a full disk); listening goes on without it.
  [[nodiscard]] std::optional<std::string> recording_fault() const;

 private:
  struct State;
  std::unique_ptr<State> state_;
};

}  // namespace brink::listen
