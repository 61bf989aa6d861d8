#include "desk/sweep/held_sweep.h"

#include <cmath>
#include <utility>

#include "base/error.h"

namespace brink::desk {

using Phase = SweepRun::Phase;

HeldSweep::HeldSweep(std::function<void()> on_news)
    : on_news_(std::move(on_news)), thread_([this] { run(); }) {}

HeldSweep::~HeldSweep() {
  release();
  {
    const std::scoped_lock lock(mutex_);
    is_over_ = true;
  }
  wanted_.notify_all();
  thread_.join();
}

void HeldSweep::press(const Maker& make, double level_dbfs) {
  const std::scoped_lock lock(mutex_);
  level_dbfs_ = level_dbfs;
  is_held_ = true;
  is_asked_ = true;
  state_.was_released = false;
  state_.fault.clear();
  if (!state_.is_open || is_closing_) {
    make_ = make;
    state_.is_open = true;
    state_.phase = Phase::kStarting;
    wanted_.notify_all();
  }
}

void HeldSweep::release() noexcept {
  is_held_ = false;
  const std::scoped_lock lock(mutex_);
  is_asked_ = false;
  // Past the end of the sweep nothing sounds, and the recording may go on.
  if (way_ != nullptr && state_.phase == Phase::kPlaying) {
    way_->stop();
  }
}

void HeldSweep::close() {
  release();
  const std::scoped_lock lock(mutex_);
  is_closing_ = way_ != nullptr || make_ != nullptr || state_.is_open;
  take_.reset();
}

HeldSweep::State HeldSweep::state() const {
  const std::scoped_lock lock(mutex_);
  return state_;
}

std::optional<SweepTake> HeldSweep::take() {
  const std::scoped_lock lock(mutex_);
  return std::exchange(take_, std::nullopt);
}

bool HeldSweep::is_to_close() const {
  const std::scoped_lock lock(mutex_);
  return is_over_ || is_closing_;
}

void HeldSweep::tell(Phase phase, double progress) {
  {
    const std::scoped_lock lock(mutex_);
    const bool is_same = state_.phase == phase && std::abs(state_.progress - progress) < 0.005;
    if (is_same) {
      return;
    }
    state_.phase = phase;
    state_.progress = progress;
  }
  on_news_();
}

void HeldSweep::run() {
  while (true) {
    Maker make;
    {
      std::unique_lock lock(mutex_);
      wanted_.wait(lock, [this] { return is_over_ || make_; });
      if (is_over_) {
        return;
      }
      make = std::exchange(make_, nullptr);
      is_closing_ = false;
    }
    sweep(make);
    on_news_();
  }
}

void HeldSweep::sweep(const Maker& make) {
  std::unique_ptr<SweepWay> way;
  std::string fault;
  try {
    way = make();
    SweepRun run(*way);
    {
      const std::scoped_lock lock(mutex_);
      way_ = way.get();
    }
    follow(run);
  } catch (const base::Error& error) {
    fault = error.what();
  }
  const std::scoped_lock lock(mutex_);
  way_ = nullptr;
  is_asked_ = is_asked_ && make_;
  const bool is_wanted_again = static_cast<bool>(make_);
  state_.is_open = is_wanted_again;
  state_.phase = Phase::kStarting;
  state_.progress = 0.0;
  if (!is_wanted_again && !fault.empty()) {
    state_.fault = fault;
  }
}

void HeldSweep::follow(SweepRun& run) {
  while (!is_to_close()) {
    const Phase before = run.phase();
    Phase phase = run.step();
    if (phase == Phase::kReady) {
      bool is_asked = false;
      {
        const std::scoped_lock lock(mutex_);
        is_asked = std::exchange(is_asked_, false);
      }
      if (is_asked) {
        tell(Phase::kPlaying, 0.0);  // from here on release() silences it
        run.begin(level_dbfs_);
        phase = Phase::kPlaying;
      }
    }
    // A release that came before this step looks like the end of the sweep to it.
    const bool was_playing = before == Phase::kPlaying && phase != Phase::kReady;
    if ((phase == Phase::kPlaying || was_playing) && !is_held_) {
      run.stop();
      phase = run.phase();
      const std::scoped_lock lock(mutex_);
      state_.was_released = true;
    }
    if (phase == Phase::kDone) {
      const std::scoped_lock lock(mutex_);
      take_ = run.take();
    }
    tell(phase, run.progress());
  }
  run.stop();
}

}  // namespace brink::desk
