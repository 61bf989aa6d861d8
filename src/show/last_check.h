#pragma once

#include <string>

#include "show/show_record.h"

namespace brink::show {

/// What an input gave at one moment of its stream.
struct HeardSound {
  double stream_s = 0.0;
  double peak_dbfs = 0.0;  ///< over the last 0.3 s, of the loudest tap
  bool is_running = true;  ///< neither lost nor frozen
};

/// How long a loop was listened to since something of it was changed. Only sound counts: a source
/// that is lost or silent adds nothing.
class Listening {
 public:
  /// A peak below this counts as silence: there may be no microphone. The noise of a 16-bit
  /// converter alone peaks near -87 dBFS (rounding and dither of one step and a half).
  static constexpr double kSilenceDbfs = -80.0;
  /// Moments that lie farther apart tell nothing of the time between them.
  static constexpr double kLongestGapS = 1.0;

  void begin_anew() noexcept { *this = {}; }

  /// Takes a moment. `stream_s` must not fall; where it falls, another stream begins.
  void hear(const HeardSound& sound) noexcept;

  [[nodiscard]] double sound_s() const noexcept { return sound_s_; }

  /// Highest peak so far; kSilenceDbfs before there was sound.
  [[nodiscard]] double loudest_dbfs() const noexcept { return loudest_dbfs_; }

  /// The newest moment had sound.
  [[nodiscard]] bool hears() const noexcept { return hears_; }

 private:
  bool hears_ = false;
  double stream_s_ = 0.0;
  double sound_s_ = 0.0;
  double loudest_dbfs_ = kSilenceDbfs;
};

/// "nothing rang in 12 s, peaks up to -31 dBFS, 2026-11-28 20:14"; of an older brink its own words,
/// and that how long it listened is not known. The same on every screen, in the book and on the
/// sheet.
[[nodiscard]] std::string check_words(const CheckRecord& check);

}  // namespace brink::show
