#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "cuts/band.h"

namespace brink::show {

/// What the book keeps of ringing out, as plain values. Times of day are ISO 8601 with the offset
/// from UTC, to the millisecond. Faders and gains in dB, on whatever scale the console shows; only
/// differences are taken. Text is UTF-8.

struct RingRecord {
  std::string flagged_at;  ///< time of day
  double frequency_hz = 0.0;
  double frequency_sd_hz = 0.0;
  double growth_db_per_s = 0.0;
  double peak_dbfs = 0.0;
  double confidence = 0.0;
  /// A-weighted sound pressure of the loudest whole second that was told while it rang, dB re 20
  /// uPa; nothing: the microphone was not calibrated.
  std::optional<double> laeq_1s_db = {};

  friend bool operator==(const RingRecord&, const RingRecord&) = default;
};

/// Ring, cut, check.
struct RoundRecord {
  RingRecord ring;
  std::optional<cuts::Band> proposed;    ///< what brink proposed
  std::optional<cuts::Band> cut;         ///< what was logged for this ring; nothing yet: to be cut
  std::optional<double> rang_at_db;      ///< fader where it rang
  std::optional<double> returned_at_db;  ///< fader where something first came back after the cut
  bool has_faded = false;                ///< the ring was seen to fade after the cut
  std::string note;
  std::string microphone = {};  ///< that brought the ring; empty: not known (one tap)

  friend bool operator==(const RoundRecord&, const RoundRecord&) = default;
};

/// A frequency at which a ring was foreseen, and the gain until then.
struct ForeseenRecord {
  double frequency_hz = 0.0;
  double until_db = 0.0;

  friend bool operator==(const ForeseenRecord&, const ForeseenRecord&) = default;
};

/// A round of its own kind: nothing rang; the loop was measured by a quiet sweep, and its cuts were
/// planned from that.
struct SweepRecord {
  std::string made_at;  ///< time of day
  std::string from;     ///< "sweep", "stage" or "impulse"
  // Of the measurement; nothing with a response that was measured elsewhere.
  std::optional<double> level_dbfs;     ///< peak of the sweep
  std::optional<double> over_noise_db;  ///< how far what came back stood over the noise
  // What the sweep cannot see, as far as it was told.
  std::optional<double> console_delay_ms;
  std::optional<double> console_gain_db;
  std::optional<double> distance_m;
  bool is_delay_known = false;
  // Foretold. Gain until the first ring, and what the cuts win: the least and the most over the
  // delays that may be; alike when the delay is known.
  double stable_gain_db = 0.0;
  double stable_gain_most_db = 0.0;
  double won_least_db = 0.0;
  double won_most_db = 0.0;
  double lost_db = 0.0;               ///< mean level that the cuts cost
  std::vector<ForeseenRecord> rings;  ///< in the order in which they come
  std::vector<cuts::Band> cuts;
  std::vector<std::string> warnings;  ///< sentences
  std::string note;

  friend bool operator==(const SweepRecord&, const SweepRecord&) = default;
};

/// Found, and said not to be a ring: not offered again in the same show.
struct DismissalRecord {
  std::string dismissed_at;
  double frequency_hz = 0.0;
  std::string reason;

  friend bool operator==(const DismissalRecord&, const DismissalRecord&) = default;
};

/// A loudspeaker feed and how it was rung out.
struct OutputRecord {
  std::string name;
  std::string microphone;
  std::string position;
  std::string target;                 ///< as docs/targets.md writes one, whole
  std::vector<std::string> prepared;  ///< points of the checklist that were ticked
  std::vector<RoundRecord> rounds;
  std::vector<SweepRecord> sweeps;    ///< the rounds in which it was measured, oldest first
  std::vector<cuts::Band> cuts;       ///< all that is in the equaliser now
  std::optional<double> start_at_db;  ///< fader where it first rang
  std::optional<double>
      tried_to_db;  ///< while nothing rang: the highest fader that was listened to
  bool is_ended = false;
  std::optional<double> back_off_db;  ///< the margin taken at the end, positive; only where it rang
  std::string advice;  ///< why it was ended, as said on the screen; only where it rang
  std::string note;

  friend bool operator==(const OutputRecord&, const OutputRecord&) = default;
};

/// The last check: all outputs open at the places where they are left, and listened to.
struct CheckRecord {
  std::string ended_at;                   ///< time of day
  double listened_s = 0.0;                ///< of sound, nothing being moved meanwhile
  double loudest_dbfs = 0.0;              ///< highest peak of that
  std::vector<double> rang_hz;            ///< what rang; empty: nothing
  std::vector<std::string> rang_in = {};  ///< for each of rang_hz the pair of microphone and
                                          ///< output, in words; empty: not known
  std::string older_words = {};  ///< of a brink that kept words alone; then nothing else is known

  friend bool operator==(const CheckRecord&, const CheckRecord&) = default;
};

struct ShowRecord {
  std::string key;  ///< unique for ever and everywhere: 32 hexadecimal digits
  std::string venue;
  std::string name;
  std::string started_at;
  std::vector<OutputRecord> outputs;
  std::vector<DismissalRecord> dismissals;
  std::optional<CheckRecord> check;  ///< nothing: not done, or something was changed after it
  std::string note;

  friend bool operator==(const ShowRecord&, const ShowRecord&) = default;
};

}  // namespace brink::show
