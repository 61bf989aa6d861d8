#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "base/biquad.h"
#include "loop/convolver.h"
#include "loop/equaliser.h"
#include "loop/plan.h"

namespace brink::loop {

/// Where the stage hands out its signal: at the microphone, at the console's output, or at a
/// listener's place (what the loudspeaker sounds like there).
enum class Tap : std::uint8_t { kMicrophone, kOutput, kListener };

struct StageConfig {
  double sample_rate_hz = 48000.0;  ///< 8000 to 192000
  /// Loudspeaker to microphone, starting when the loudspeaker moves. Directivity and band limits
  /// are in it.
  std::vector<double> response;
  std::vector<double> moved_response;  ///< the same for the microphone's other place; may be empty
  std::vector<double> listener_response;  ///< loudspeaker to listener; only for Tap::kListener
  double console_delay_s = 0.0015;        ///< 0 to 0.5; delay of converters and processing
  double limit_dbfs = -6.0;               ///< peak limit of the amplifier, -60 to 0
  Tap tap = Tap::kMicrophone;
  StagePlan plan;
};

/// A closed loop of microphone, console, amplifier, loudspeaker and room:
///   microphone m = programme + response * u,
///   u = limit(equaliser(gain * m)), delayed by the console.
/// Programme and tap: samples, full scale +-1, in blocks of any size. The same samples come out,
/// bit for bit, however they are cut into blocks. A non-finite programme sample counts as 0. The
/// tap has no delay of its own. Constructing allocates and throws Error on a bad config. Everything
/// after that is noexcept and neither allocates nor locks. One thread at a time. [analysis]
class Stage {
 public:
  explicit Stage(StageConfig config);

  /// The next samples of the tap, as many as the programme has.
  void process(std::span<const float> programme, std::span<float> tap) noexcept;

  // For several loudspeakers around one microphone, one sample at a time (process_together()).

  /// What this loudspeaker adds at the microphone now. It depends on the past only. Call it once a
  /// sample, before hear().
  double bring() noexcept;
  /// Takes the microphone's next sample, with the sound of all loudspeakers in it. Gives the tap's
  /// sample.
  double hear(double microphone) noexcept;

  /// The fader, added to the plan's gain. It gets there in kFadeS. 0 dB at the start. A non-finite
  /// value changes nothing.
  void set_fader_db(double gain_db) noexcept;

  /// Puts other sections into the loop, faded in over kFadeS. With more than
  /// Equaliser::kMostSections it returns false and changes nothing. A change in the plan replaces
  /// these sections.
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

/// Several stages around one microphone, all with one sample rate. The microphone hears the
/// programme and all the loudspeakers, and each stage sends on what it hears. The tap is the first
/// stage's: at the microphone or at that stage's output. One stage alone gives what process()
/// gives. [analysis]
void process_together(std::span<Stage> stages,
                      std::span<const float> programme,
                      std::span<float> tap) noexcept;

}  // namespace brink::loop
