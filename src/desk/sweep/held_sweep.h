#pragma once

#include <atomic>
#include <condition_variable>
#include <functional>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <thread>

#include "desk/sweep/sweep_run.h"

namespace brink::desk {

/// A sweep that sounds while a key is held: a SweepRun on a thread of its own, so that a face never
/// waits for a device. [one face thread]
class HeldSweep {
 public:
  /// Makes what is played on; called on the sweep's thread.
  using Maker = std::function<std::unique_ptr<SweepWay>()>;

  /// `on_news` is called on the sweep's thread when state() is another one.
  explicit HeldSweep(std::function<void()> on_news);
  /// Silent at once; waits until the devices are closed.
  ~HeldSweep();
  HeldSweep(const HeldSweep&) = delete;
  HeldSweep& operator=(const HeldSweep&) = delete;
  HeldSweep(HeldSweep&&) = delete;
  HeldSweep& operator=(HeldSweep&&) = delete;

  /// The key goes down: opens what is played on, when it is not open yet, and plays at that level
  /// as soon as it can, if the key is still held then.
  void press(const Maker& make, double level_dbfs);
  /// The key goes up: silent within io::kPlayRampDownS, counted from the next block that the device
  /// takes. A recording that was not over is dropped. [any]
  void release() noexcept;
  /// Silent, and the devices are let go, on the sweep's thread.
  void close();

  struct State {
    bool is_open = false;  ///< or being opened
    SweepRun::Phase phase = SweepRun::Phase::kStarting;
    double progress = 0.0;      ///< 0 to 1
    bool was_released = false;  ///< too early: the last one gave nothing
    std::string fault;          ///< one sentence: why the last one failed
  };

  [[nodiscard]] State state() const;

  /// What was recorded, once.
  [[nodiscard]] std::optional<SweepTake> take();

 private:
  void run();
  void sweep(const Maker& make);
  void follow(SweepRun& run);
  void tell(SweepRun::Phase phase, double progress);
  [[nodiscard]] bool is_to_close() const;

  std::function<void()> on_news_;
  std::atomic<bool> is_held_{false};
  std::atomic<double> level_dbfs_{kFirstSweepDbfs};

  mutable std::mutex mutex_;  // of all that follows
  std::condition_variable wanted_;
  Maker make_;               // to be opened
  SweepWay* way_ = nullptr;  // what is open, to be silenced
  bool is_asked_ = false;    // to play, once it can
  bool is_closing_ = false;
  bool is_over_ = false;
  State state_;
  std::optional<SweepTake> take_;

  std::thread thread_;  // last: all else is there when it starts
};

}  // namespace brink::desk
