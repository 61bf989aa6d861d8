#pragma once

#include <cstdint>
#include <memory>
#include <span>
#include <string>

#include "io/process.h"

namespace brink::io {

/// Where to play.
struct PlayOutput {
  /// A label, a name, or a part of a name that fits only one output, as find_input() takes it;
  /// empty: the default one (a JACK server's when one runs).
  std::string name;
  int channel = 0;  ///< from 1; 0: the first two alike
};

/// Plays one channel of sound on an output. It plays in a child process, because a
/// sound server that dies hangs every process that plays on it. The output starts silent. A sound
/// ramps up in kPlayRampUpS, never passes kPlayCeilingDbfs, and ramps down in kPlayRampDownS at a
/// stop or at its end. It also ramps down when this process ends for any reason. Samples are
/// converted if the device does not take their rate.
///
/// Nothing here waits for the device. The constructor starts the child, play() takes effect as soon
/// as it can, and state() tells the present state. The level never goes up by itself: only
/// set_level_db() raises it. One thread at a time. [any]
class Player {
 public:
  enum class State : std::uint8_t {
    kStarting,  ///< the device is being opened
    kSilent,    ///< ready, stopped, or at the end of the sound
    kPlaying,
    kFailed,  ///< see why(); this state is final
  };

  static constexpr double kLongestS = 600.0;
  static constexpr double kFirstLevelDb = -20.0;

  /// Copies the samples: mono, full scale +-1, at 8 to 192 kHz, at most kLongestS. Throws
  /// base::Error when they are different, or when no process can be started. Trouble with the
  /// device is reported as kFailed. `program` is run with kPlayChildCommand.
  Player(double sample_rate_hz,
         std::span<const float> samples,
         const std::string& program = this_program(),
         const PlayOutput& output = {});
  ~Player();
  Player(const Player&) = delete;
  Player& operator=(const Player&) = delete;
  Player(Player&&) = delete;
  Player& operator=(Player&&) = delete;

  /// Plays from that sample on, with a ramp. A present sound ramps down first.
  void play(std::int64_t from_sample = 0) noexcept;
  /// Ramps down to silence at once. May be called while another thread calls something else.
  void stop() noexcept;

  /// Level of the sound, -100 to 0 dB re the samples. If the sound's peak would pass
  /// kPlayCeilingDbfs, the level stays lower, so that nothing is clipped. While it plays, a change
  /// is a ramp. NaN is silence.
  void set_level_db(double level_db) noexcept;

  /// The level that was asked for.
  [[nodiscard]] double level_db() const noexcept { return level_db_; }

  [[nodiscard]] State state() noexcept;
  /// One sentence that says why, after kFailed.
  [[nodiscard]] std::string why() const;
  /// The next sample that the device will get. The device's own delay is not known.
  [[nodiscard]] std::int64_t position() const noexcept;

 private:
  struct Child;

  std::unique_ptr<Child> child_;
  double level_db_ = kFirstLevelDb;
  double most_lin_ = 1.0;  ///< limits the factor, so that the sound's peak stays below the ceiling
};

}  // namespace brink::io
