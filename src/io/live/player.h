#pragma once

#include <cstdint>
#include <memory>
#include <span>
#include <string>

#include "io/live/child_process.h"

namespace brink::io {

/// Plays one channel of sound on the default output (a JACK server's when one runs, its first two
/// channels alike), in a child process of its own, since a sound server that dies hangs whoever
/// plays on it. The output starts silent; a sound ramps up in kPlayRampUpS, never passes
/// kPlayCeilingDbfs, ramps down in kPlayRampDownS at a stop or at its end, and ends by itself; also
/// when this process ends, however it does. Rates that the device does not take are converted.
///
/// Nothing here waits for the device: constructing starts the child, play() is obeyed as soon as it
/// can be, and state() tells. Never turns itself up: louder is only what set_level_db() asks for.
/// One thread at a time. [any]
class Player {
 public:
  enum class State : std::uint8_t {
    kStarting,  ///< the device is being opened
    kSilent,    ///< ready, or stopped, or the sound has come to its end
    kPlaying,
    kFailed,  ///< see why(); final
  };

  static constexpr double kLongestS = 600.0;
  static constexpr double kFirstLevelDb = -20.0;

  /// Copies the samples: mono, full scale +-1, at 8 to 192 kHz, at most kLongestS. Throws
  /// base::Error on other ones, or when no process can be started; what is wrong with the device
  /// comes as kFailed. `program`: what is run with kPlayChildCommand.
  Player(double sample_rate_hz,
         std::span<const float> samples,
         const std::string& program = kThisProgram);
  ~Player();
  Player(const Player&) = delete;
  Player& operator=(const Player&) = delete;
  Player(Player&&) = delete;
  Player& operator=(Player&&) = delete;

  /// From that sample on, behind a ramp; what sounds ramps down first.
  void play(std::int64_t from_sample = 0) noexcept;
  /// Down to silence at once, by the short ramp.
  void stop() noexcept;

  /// Factor on the samples, -100 to 0 dB; kept lower where the sound's own peak would pass the
  /// ceiling, so that it is not clipped there. Ramped, while it plays. NaN is silence.
  void set_level_db(double level_db) noexcept;

  /// As it was asked for.
  [[nodiscard]] double level_db() const noexcept { return level_db_; }

  [[nodiscard]] State state() noexcept;
  /// One sentence, after kFailed.
  [[nodiscard]] std::string why() const;
  /// The next sample to be handed to the device; the device's own delay is not known.
  [[nodiscard]] std::int64_t position() const noexcept;

 private:
  struct Child;

  std::unique_ptr<Child> child_;
  double level_db_ = kFirstLevelDb;
  double most_lin_ = 1.0;  ///< what keeps the sound's peak below the ceiling
};

}  // namespace brink::io
