#include "desk/sweep/stage_sweep_way.h"

#include <algorithm>
#include <thread>
#include <utility>

#include "io/source.h"
#include "loop/sweep/sweep_stage.h"

namespace brink::desk {

loop::SweepSignal stage_signal(loop::SweepSignal signal, const loop::Scene& scene) {
  signal.sweep.sample_rate_hz = scene.stage.sample_rate_hz;
  return signal;
}

std::vector<float> hear_sweep_on_stage(const loop::Scene& scene,
                                       const loop::SweepSignal& signal,
                                       double level_dbfs) {
  loop::SweepOnStage sweep;
  sweep.signal = signal;
  sweep.level_dbfs = level_dbfs;
  sweep.noise = scene.programme;
  sweep.noise.kind = loop::ProgrammeKind::kSilence;
  return loop::sweep_on_stage(scene.stage, sweep);
}

StageSweepWay::StageSweepWay(std::shared_ptr<const loop::Scene> scene,
                             const loop::SweepSignal& signal)
    : scene_(std::move(scene)),
      signal_(stage_signal(signal, *scene_)),
      silence_(static_cast<std::size_t>(scene_->stage.sample_rate_hz / 50.0)) {}

SweepWay::State StageSweepWay::state() {
  const auto played = static_cast<std::size_t>(signal_.length_s() * signal_.sweep.sample_rate_hz);
  return !is_stopped_ && read_ < played ? State::kPlaying : State::kSilent;
}

void StageSweepWay::play(double level_dbfs) {
  is_stopped_ = false;
  read_ = 0;
  heard_ = hear_sweep_on_stage(*scene_, signal_, level_dbfs);
  begun_ = Clock::now();
}

SweepWay::Heard StageSweepWay::read() {
  const std::chrono::milliseconds wait(io::Source::kLongestWaitMs);
  std::this_thread::sleep_for(wait);
  if (is_stopped_ || read_ >= heard_.size()) {
    return {silence_, {}, false};
  }
  const std::chrono::duration<double> gone = Clock::now() - begun_;
  const auto due = std::min(heard_.size(),
                            static_cast<std::size_t>(gone.count() * signal_.sweep.sample_rate_hz));
  const std::size_t from = std::exchange(read_, std::max(read_, due));
  return {std::span<const float>(heard_).subspan(from, read_ - from), {}, false};
}

}  // namespace brink::desk
