#pragma once

#include <chrono>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <utility>
#include <vector>

#include "listen/ring_teller.h"
#include "listen/tap_listener.h"
#include "loop/scene.h"
#include "show/ring_out/ring_out.h"

namespace brink::tests {

/// A wedge in a default room of `brink stage`, with quiet noise as programme. Loudspeaker and
/// microphone have no peaks of their own. So the loop's highest places are nearer to each other in
/// level than in any real system.
[[nodiscard]] loop::Scene flat_wedge_scene(std::uint64_t seed);
/// The same with peaks in loudspeaker and microphone (desk::colour_loop()).
[[nodiscard]] loop::Scene wedge_scene(std::uint64_t seed);

/// A simulated stage with one tap, and an engineer who rings it out. The engineer uses only what
/// the window shows: events, the list of offered rings, and the advice.
class StageEvening {
 public:
  static constexpr double kRateHz = 48000.0;
  static constexpr double kToneHz = 440.0;  ///< of the line-up tone, which is raised twice
  static constexpr double kStepDb = 0.5;    ///< step of the fader

  /// The state of the loop when a ring was cut.
  struct Cut {
    double stable_gain_db = 0.0;  ///< of the true loop with that cut in it
    double lost_db = 0.0;         ///< mean level lost
    show::Advice advice;          ///< advice before the cut
  };

  /// Other rules than RingOut's own, for measuring them.
  struct Options {
    bool has_tone = true;
    show::RingOutConfig config;
    /// Continue against the advice up to so many rounds; 0: follow the advice.
    int most_rounds = 0;
  };

  StageEvening(loop::Scene scene, const char* target, const Options& options);

  StageEvening(loop::Scene scene, const char* target)
      : StageEvening(std::move(scene), target, Options{}) {}

  /// Raises the fader by steps until a ring is certain, cuts it, and goes on until it is time to
  /// stop.
  void ring_out();

  void listen_for(double length_s) { listen_until(time_s_ + length_s); }

  void listen_until(double end_s) {
    while (time_s_ < end_s) {
      listen();
    }
  }

  [[nodiscard]] show::RingOut::TimeOfDay now() const {
    return show::RingOut::TimeOfDay(std::chrono::seconds(1'800'000'000)) +
           std::chrono::milliseconds(std::lround(1000.0 * time_s_));
  }

  /// Stable gain of the true loop with the present equaliser and the fader at 0 dB.
  [[nodiscard]] double stable_gain_db() const;

  [[nodiscard]] double level_dbfs() const { return listener_.monitor().level().rms_dbfs; }

  show::RingOut flow{show::ShowRecord{}};
  std::vector<Cut> made;
  int undo_count = 0;
  int dismiss_count = 0;

 private:
  void listen();
  void deal_with(const show::OfferedRing& ring);
  [[nodiscard]] bool is_to_stop() const;
  [[nodiscard]] double tone_at(double time_s) const;

  Options options_;
  loop::Scene scene_;
  loop::Stage stage_;
  loop::Programme programme_;
  listen::TapListener listener_;
  listen::RingTeller teller_{kRateHz};
  double time_s_ = 0.0;
};

}  // namespace brink::tests
