#pragma once

#include <cstdint>
#include <set>
#include <string>

#include "io/live/raw_input.h"
#include "listen/session.h"
#include "show/channel_names.h"

namespace brink::cli {

/// What is not as it should be while a session listens: each said once, in one sentence on stderr.
class ListenWarnings {
 public:
  explicit ListenWarnings(const show::ChannelNames& names) : names_(names) {}

  /// While it listens: samples that are no numbers, taps that are clipped or carry another's sound,
  /// a machine that does not keep up. A tap that is dead is an event.
  void watch(listen::Session& session);
  /// A recording that broke off. Listening goes on.
  void watch_recording(const listen::Session& session);
  /// At the end. `raw`: the session's source, if it is stdin. `was_cut_short`: nobody reads any
  /// more, or the user ended it.
  void close(listen::Session& session, const io::RawInput* raw, bool was_cut_short);

  /// Says it, and makes the exit status that of a fault.
  void fail(const std::string& sentence);

  [[nodiscard]] bool has_failed() const noexcept { return has_failed_; }

 private:
  void watch_numbers(const listen::Snapshot& newest);
  void watch_taps(const listen::Snapshot& newest);
  void watch_pace(const listen::Snapshot& newest);

  const show::ChannelNames& names_;
  bool has_recording_fault_ = false;
  bool has_told_of_numbers_ = false;
  bool has_told_of_pace_ = false;
  std::set<std::string> told_faults_;  // of taps
  bool has_failed_ = false;
};

}  // namespace brink::cli
