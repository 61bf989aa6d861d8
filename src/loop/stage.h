#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "base/biquad.h"
#include "loop/convolver.h"
#include "loop/equaliser.h"
#include "loop/plan.h"

namespace brink::loop {

/// Where the stage hands out its signal: at the microphone, at the console's output, or what the
/// loudspeaker sounds like at a listener's place.
enum class Tap : std::uint8_t { kMicrophone, kOutput, kListener };

struct StageConfig {
  double sample_rate_hz = 48000.0;  ///< 8000 to 192000
  /// Loudspeaker to microphone, from the moment the loudspeaker moves, directivity and band limits
  /// included.
  std::vector<double> response;
  std::vector<double> moved_response;  ///< the same at the microphone's other place; may be empty
  std::vector<double> listener_response;  ///< loudspeaker to listener; for Tap::kListener alone
  double console_delay_s = 0.0015;        ///< 0 to 0.5: converters and processing
  double limit_dbfs = -6.0;               ///< the amplifier's end, peak, -60 to 0
  Tap tap = Tap::kMicrophone;
  StagePlan plan;
};

/// Microphone, console, amplifier, loudspeaker, room, and back, closed:
///   microphone m = programme + response * u,   u = limit(equaliser(gain * m)), delayed by the
///   console.
/// Programme and tap: samples, full scale +-1, in blocks of any size; the same samples come out,
/// bit for bit, however they are cut. A non-finite programme sample counts as 0. The tap has no
/// delay of its own. Constructing allocates and throws Error on a bad config; everything after is
/// noexcept and neither allocates nor locks. One thread at a time. [analysis]
class Stage {
 public:
  explicit Stage(StageConfig config);

  /// The next samples of the tap, as many as of the programme.
  void process(std::span<const float> programme, std::span<float> tap) noexcept;

  // For several loudspeakers around one microphone, sample by sample (process_together()).

  /// What this loudspeaker brings to the microphone now; follows from the past alone. Once a
  /// sample, before hear().
  double bring() noexcept;
  /// The next sample of the microphone, that of all loudspeakers in it; gives the tap's.
  double hear(double microphone) noexcept;

  /// The fader, on top of the plan's gain: reached in kFadeS. 0 dB at the start.
  void set_fader_db(double gain_db) noexcept;

  /// Puts other sections into the loop, faded in over kFadeS; false and no change with more than
  /// Equaliser::kMostSections. A change of the plan takes the place of these.
  bool set_equaliser(std::span<const base::Biquad> sections) noexcept;

  /// Samples processed so far.
  [[nodiscard]] std::int64_t sample_index() const noexcept { return sample_index_; }

  /// How long the fader and the equaliser take to move.
  static constexpr double kFadeS = 0.03;

 private:
  struct Controls {
    double gain_lin;
    double position;
  };

  Controls next_controls() noexcept;
  void follow_plan(double time_s) noexcept;

  StageConfig config_;
  double limit_lin_;
  int fade_samples_;
  bool is_moving_;
  bool is_gain_planned_;
  DelayedConvolver convolver_;
  Equaliser equaliser_;
  std::size_t next_change_ = 0;
  std::int64_t sample_index_ = 0;
  std::size_t block_at_ = 0;
  std::vector<double> block_;  // console output since the convolver's last block
  double fader_lin_ = 1.0;
  double fader_target_lin_ = 1.0;
  double fader_step_lin_ = 0.0;
  int fader_left_samples_ = 0;
  Controls now_{1.0, 0.0};
};

/// Stages of one sample rate around one microphone: it hears the programme and all their
/// loudspeakers, and each sends on what it hears. The tap is the first one's, at the microphone or
/// at that one's output. One of them alone does what its process() does. [analysis]
void process_together(std::span<Stage> stages,
                      std::span<const float> programme,
                      std::span<float> tap) noexcept;

}  // namespace brink::loop
