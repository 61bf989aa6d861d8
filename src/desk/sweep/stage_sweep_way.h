#pragma once

#include <atomic>
#include <chrono>
#include <memory>
#include <vector>

#include "desk/sweep/sweep_way.h"
#include "loop/scene.h"

namespace brink::desk {

/// The sweep that is played when only its lengths are chosen, at the stage's rate.
[[nodiscard]] loop::SweepSignal stage_signal(loop::SweepSignal signal, const loop::Scene& scene);

/// What a simulated stage's microphone hears of the sweep while nobody sings or plays. Its way to
/// the loudspeaker is shut. Throws base::Error on a level or signal that cannot be.
[[nodiscard]] std::vector<float> hear_sweep_on_stage(const loop::Scene& scene,
                                                     const loop::SweepSignal& signal,
                                                     double level_dbfs);

/// One output of a simulated stage, at the pace of a real one. Nothing sounds.
class StageSweepWay final : public SweepWay {
 public:
  StageSweepWay(std::shared_ptr<const loop::Scene> scene, const loop::SweepSignal& signal);

  [[nodiscard]] const loop::SweepSignal& signal() const noexcept override { return signal_; }

  [[nodiscard]] State state() override;
  /// Takes some tenths of a second.
  void play(double level_dbfs) override;

  void stop() noexcept override { is_stopped_ = true; }

  [[nodiscard]] Heard read() override;

  [[nodiscard]] std::optional<double> latency_s() const noexcept override { return 0.0; }

 private:
  using Clock = std::chrono::steady_clock;

  std::shared_ptr<const loop::Scene> scene_;
  loop::SweepSignal signal_;
  std::vector<float> heard_;
  std::vector<float> silence_;
  std::size_t read_ = 0;
  Clock::time_point begun_;
  std::atomic<bool> is_stopped_{true};
};

}  // namespace brink::desk
