#include "cli/listen/listen_warnings.h"

#include <fmt/format.h>

#include "cli/output.h"

namespace brink::cli {
namespace {

std::int64_t count_non_finite(const listen::Snapshot& snapshot) {
  std::int64_t count = 0;
  for (const listen::TapSnapshot& tap : snapshot.taps) {
    count += tap.counts.non_finite;
  }
  return count;
}

}  // namespace

void ListenWarnings::fail(const std::string& sentence) {
  say(sentence);
  has_failed_ = true;
}

void ListenWarnings::watch(listen::Session& session) {
  const listen::Snapshot& newest = session.newest();
  watch_numbers(newest);
  watch_taps(newest);
  watch_pace(newest);
}

void ListenWarnings::watch_recording(const listen::Session& session) {
  if (!has_recording_fault_ && session.recording_fault()) {
    has_recording_fault_ = true;
    fail(*session.recording_fault() + " Listening goes on without the recording.");
  }
}

/// Says it while it happens. How many there were is told at the end.
void ListenWarnings::watch_numbers(const listen::Snapshot& newest) {
  if (!has_told_of_numbers_ && count_non_finite(newest) > 0) {
    has_told_of_numbers_ = true;
    say("samples come that are no numbers (NaN or infinite); they are taken as silence.");
  }
}

void ListenWarnings::watch_taps(const listen::Snapshot& newest) {
  for (const listen::TapSnapshot& tap : newest.taps) {
    const std::string fault =
        show::tap_fault_words(tap.tap, names_, false, tap.level.is_clipping, tap.copy_of);
    if (!fault.empty() && told_faults_.insert(fault).second) {
      say(fault + ".");
    }
  }
}

/// Without this, rings would come later and later, and nobody would know until samples are lost.
void ListenWarnings::watch_pace(const listen::Snapshot& newest) {
  if (!has_told_of_pace_ && newest.late_s >= listen::kLateS) {
    has_told_of_pace_ = true;
    say(fmt::format(
        "brink is {:.1f} s late: this machine does not keep up. Close other programs, or "
        "listen to fewer channels (--taps).",
        newest.late_s));
  }
}

void ListenWarnings::close(listen::Session& session, const io::RawInput* raw, bool was_cut_short) {
  const listen::Snapshot& last = session.newest();
  const std::int64_t non_finite = count_non_finite(last);
  if (last.lost_events > 0) {
    fail(fmt::format("{} events were lost, as nobody read them in time.", last.lost_events));
  }
  const auto all = last.samples * static_cast<std::int64_t>(last.taps.size());
  if (non_finite > 0) {
    const bool are_all = non_finite == all;
    const std::string sentence =
        fmt::format("{} of {} samples were no numbers (NaN or infinite) and were taken as silence.",
                    non_finite,
                    all);
    are_all ? fail(sentence) : say(sentence);
  }
  if (raw != nullptr && last.samples == 0 && !was_cut_short) {
    fail("no samples came on stdin.");
  } else if (raw != nullptr && raw->left_over_bytes() > 0) {
    say(
        fmt::format("the last {} bytes on stdin made no whole sample; check --sample-format and "
                    "--channels.",
                    raw->left_over_bytes()));
  }
}

}  // namespace brink::cli
