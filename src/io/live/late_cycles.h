#pragma once

#include <algorithm>
#include <limits>

#include "base/realtime.h"

namespace brink::io {

/// Tells whether a late cycle of a sound server cost samples. A server says so whenever any client
/// was late, and mostly nothing is missing. When a device really lost some, the server's count of
/// samples stays behind the clock from then on. A block may come late for many reasons, but the
/// earliest in a quarter of a second hardly does. [audio]
class LateCycles {
 public:
  /// At every block. `clock_s`: any steady clock. `counted_s`: the server's count of samples before
  /// this block, in seconds. `is_late`: the server says that a cycle was late. True when samples
  /// were lost, up to half a second after it happened.
  [[nodiscard]] bool look(double clock_s,
                          double counted_s,
                          bool is_late) noexcept BRINK_NONBLOCKING {
    const double behind_s = clock_s - counted_s;
    if (is_late && !is_waiting_) {
      is_waiting_ = true;
      before_s_ = std::min(last_s_, least_s_);
      begin(clock_s);
    }
    least_s_ = std::min(least_s_, behind_s);
    if (clock_s - begun_s_ < kWindowS) {
      return false;
    }
    const bool has_lost = is_waiting_ && before_s_ < kNever && least_s_ - before_s_ > kLeastLossS;
    is_waiting_ = false;
    last_s_ = least_s_;
    begin(clock_s);
    least_s_ = behind_s;
    return has_lost;
  }

 private:
  static constexpr double kWindowS = 0.25;
  static constexpr double kLeastLossS = 0.001;  // above what the earliest block wavers
  static constexpr double kNever = std::numeric_limits<double>::infinity();

  void begin(double clock_s) noexcept BRINK_NONBLOCKING {
    begun_s_ = clock_s;
    least_s_ = kNever;
  }

  double begun_s_ = 0.0;
  double least_s_ = kNever;   // in this window
  double last_s_ = kNever;    // in the window before it
  double before_s_ = kNever;  // before the late cycle
  bool is_waiting_ = false;
};

}  // namespace brink::io
