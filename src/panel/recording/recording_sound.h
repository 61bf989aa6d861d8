#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "base/background.h"
#include "listen/analysis.h"
#include "panel/recording/held_sound.h"

namespace brink::panel {

/// A minute of one channel of a recording from some sample on.
struct RecordingPiece {
  static constexpr double kLongestS = 60.0;

  std::string path;
  int channel = 1;               ///< from 1
  std::int64_t from_sample = 0;  ///< from 0
  /// With a ring: the ring alone and the whole come at one loudness (listen/ring_alone.h). 0: as it
  /// is in the file.
  double ring_hz = 0.0;
  bool is_alone = false;  ///< the narrow band around ring_hz alone

  friend bool operator==(const RecordingPiece&, const RecordingPiece&) = default;
};

/// From a second before the ring on, of its channel; from the beginning when it is younger.
[[nodiscard]] RecordingPiece piece_before(const listen::Analysis& analysis,
                                          const listen::FoundRing& found);

/// Its samples. Throws base::Error with one sentence when the file is not what it was any more.
struct PieceSamples {
  double sample_rate_hz = 0.0;
  std::vector<float> samples;
  double gain_db = 0.0;                 ///< that was given to them
  std::optional<double> loudness_lufs;  ///< with a ring, unless it or the whole is silent
};

[[nodiscard]] PieceSamples read_piece(const RecordingPiece& piece);

/// A recording as it is heard: a piece is read, and the sound output opened, on a thread of its
/// own, when it is asked for first.
class RecordingSound {
 public:
  /// Once a pass: what should be heard now, while it is held. Another piece than before is silent
  /// until it is read.
  void hold(const std::optional<RecordingPiece>& piece,
            bool is_held,
            const base::AtRelease& at_release,
            const std::function<void()>& on_news);

  void step_level(int steps) { sound_.step_level(steps); }

  [[nodiscard]] const HeldSound& sound() const noexcept { return sound_; }

  /// Being read, or its output being opened.
  [[nodiscard]] bool is_opening() const noexcept { return opening_.is_busy(); }

  /// What was given to the piece that is open, and its loudness (PieceSamples).
  [[nodiscard]] double gain_db() const noexcept { return gain_db_; }

  [[nodiscard]] std::optional<double> loudness_lufs() const noexcept { return loudness_lufs_; }

  /// The sample of the recording that sounds; nothing while it is silent.
  [[nodiscard]] std::optional<std::int64_t> sounding_sample() const noexcept;

 private:
  struct Opened {
    std::shared_ptr<io::Player> player;
    double gain_db = 0.0;
    std::optional<double> loudness_lufs;
  };

  void open(const RecordingPiece& piece, const std::function<void()>& on_news);
  void take_opened();

  HeldSound sound_;
  std::optional<RecordingPiece> opened_;  // or being opened
  bool was_held_ = false;
  double gain_db_ = 0.0;
  std::optional<double> loudness_lufs_;
  base::Background<Opened> opening_;
};

}  // namespace brink::panel
