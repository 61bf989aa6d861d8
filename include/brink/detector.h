#ifndef BRINK_DETECTOR_H
#define BRINK_DETECTOR_H

#include <brink/brink.h>

#include <cstddef>
#include <memory>
#include <new>
#include <optional>
#include <stdexcept>

/// brink's detector for C++17 and later. All of it is inline over the C functions of brink.h, so
/// that no C++ type crosses the library's boundary: compiler, standard library and exceptions are
/// the caller's own. Shapes, units, legal ranges and what stays compatible are written there.
namespace brink {

using Event = brink_event;
using Cut = brink_cut;
using Counts = brink_counts;

/// Finds the rings in one channel. Can be moved, not copied. One thread at a time. [analysis]
class Detector {
 public:
  /// `sample_rate_hz`: 8000 to 192000; else throws std::invalid_argument with a sentence. Allocates
  /// (std::bad_alloc).
  explicit Detector(double sample_rate_hz) {
    int error = BRINK_OK;
    state_.reset(brink_detector_new(sample_rate_hz, &error));
    check(error);
  }

  /// The next samples, full scale +-1, in blocks of any size. Does not allocate while events are
  /// fetched. Throws std::bad_alloc when the queue of events could not grow; all samples were taken
  /// even then.
  void push(const float* samples, std::size_t count) {
    check(brink_detector_push(state_.get(), samples, count));
  }

  /// The stream is over: what still sounds is gone. Push no more after it.
  void finish() { check(brink_detector_finish(state_.get())); }

  /// The oldest event that was not fetched yet; none when there is none. Neither allocates nor
  /// throws.
  std::optional<Event> next_event() noexcept {
    Event event;
    const bool has_event = brink_detector_next_event(state_.get(), &event, sizeof event) == 1;
    return has_event ? std::optional<Event>(event) : std::nullopt;
  }

  Counts counts() const noexcept { return brink_detector_counts(state_.get()); }

 private:
  struct Delete {
    void operator()(brink_detector* detector) const noexcept { brink_detector_delete(detector); }
  };

  static void check(int error) {
    if (error == BRINK_NO_MEMORY) {
      throw std::bad_alloc();
    }
    if (error != BRINK_OK) {
      throw std::invalid_argument(brink_error_text(error));
    }
  }

  std::unique_ptr<brink_detector, Delete> state_;
};

/// The cut against a flagged ring by itself. Allocates (std::bad_alloc).
inline Cut propose_cut(const Event& event) {
  Cut cut{};
  if (brink_propose_cut(&event, sizeof event, &cut) != BRINK_OK) {
    throw std::bad_alloc();
  }
  return cut;
}

}  // namespace brink

#endif
