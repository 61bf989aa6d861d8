#include <brink/brink.h>

#include <algorithm>
#include <cstddef>
#include <cstring>
#include <memory>
#include <new>
#include <span>
#include <vector>

#include "base/error.h"
#include "cuts/propose.h"
#include "detector/detector.h"
#include "detector/merge_ring.h"
#include "detector/ring.h"

namespace base = brink::base;
namespace cuts = brink::cuts;
namespace detector = brink::detector;

static_assert(static_cast<int>(detector::RingState::kBuilding) == BRINK_BUILDING);
static_assert(static_cast<int>(detector::RingState::kRinging) == BRINK_RINGING);
static_assert(static_cast<int>(detector::RingState::kFading) == BRINK_FADING);
static_assert(static_cast<int>(detector::RingState::kGone) == BRINK_GONE);
static_assert(static_cast<int>(detector::RingState::kWithdrawn) == BRINK_WITHDRAWN);
static_assert(detector::kNever == BRINK_NEVER);
// What version 1 of the ABI promises; docs/library.md. Fields may be added behind these.
static_assert(offsetof(brink_event, frequency_low_hz) == 88 && sizeof(brink_event) == 104);

namespace {

constexpr std::size_t kReservedEvents = 1024;
constexpr std::size_t kFirstEventSize = 88;  ///< of the first version; a caller's is never less

bool is_event_size(std::size_t size) noexcept {
  return size >= kFirstEventSize;
}

/// The events that wait, oldest first. Allocates only when more wait than kReservedEvents.
class EventQueue final : public detector::EventSink {
 public:
  EventQueue() {
    events_.reserve(kReservedEvents);
    sounding_.reserve(kReservedEvents);
  }

  void on_event(const detector::RingEvent& event) noexcept override {
    try {
      add(event);
    } catch (const std::bad_alloc&) {
      has_lost_ = true;
    }
  }

  bool next(brink_event& event) noexcept {
    if (fetched_ == events_.size()) {
      return false;
    }
    event = events_[fetched_++];
    if (fetched_ == events_.size()) {
      events_.clear();  // keeps its memory
      fetched_ = 0;
    }
    return true;
  }

  /// BRINK_NO_MEMORY once after an event was lost.
  int take_error() noexcept {
    const bool had_lost = has_lost_;
    has_lost_ = false;
    return had_lost ? BRINK_NO_MEMORY : BRINK_OK;
  }

 private:
  void add(const detector::RingEvent& event);

  std::vector<brink_event> events_;
  std::size_t fetched_ = 0;
  std::vector<detector::Ring> sounding_;  ///< what is known of each ring that is not gone
  bool has_lost_ = false;
};

void EventQueue::add(const detector::RingEvent& event) {
  const auto found =
      std::find_if(sounding_.begin(), sounding_.end(), [&](const detector::Ring& ring) {
        return ring.id == event.ring.id;
      });
  const detector::Ring ring =
      found == sounding_.end() ? event.ring : detector::merge_ring(*found, event.ring);
  const bool is_over = detector::is_over(event.ring.state);
  if (found == sounding_.end() && !is_over) {
    sounding_.push_back(ring);
  } else if (found != sounding_.end() && !is_over) {
    *found = ring;
  } else if (found != sounding_.end()) {
    sounding_.erase(found);
  }
  brink_event out{};
  out.sample = event.sample;
  out.ring_id = ring.id;
  out.state = static_cast<int>(event.ring.state);
  out.frequency_hz = ring.frequency_hz;
  out.frequency_sd_hz = ring.frequency_sd_hz;
  out.growth_db_per_s = ring.growth_db_per_s;
  out.level_dbfs = event.ring.level_dbfs;
  out.peak_dbfs = ring.peak_dbfs;
  out.confidence = ring.confidence;
  out.onset_sample = ring.onset_sample;
  out.flagged_sample = ring.flagged_sample;
  out.ended_sample = ring.ended_sample;
  out.frequency_low_hz = ring.frequency_low_hz;
  out.frequency_high_hz = ring.frequency_high_hz;
  events_.push_back(out);
}

}  // namespace

struct brink_detector {
  explicit brink_detector(double sample_rate_hz)
      : detector(detector::DetectorConfig{sample_rate_hz}) {}

  detector::Detector detector;
  EventQueue queue;
};

const char* brink_version(void) {
  return BRINK_VERSION;
}

const char* brink_error_text(int error) {
  switch (error) {
    case BRINK_OK:
      return "No error.";
    case BRINK_BAD_RATE:
      return "The sample rate is not between 8000 and 192000 Hz; resample, or give the true rate.";
    case BRINK_BAD_ARGUMENT:
      return "An argument is null, or has a size that no version of brink/brink.h has.";
    case BRINK_NO_MEMORY:
      return "There is not enough memory.";
    default:
      return "An error that this version of brink does not know.";
  }
}

brink_detector* brink_detector_new(double sample_rate_hz, int* error) {
  int result = BRINK_OK;
  brink_detector* detector = nullptr;
  try {
    detector = new brink_detector(sample_rate_hz);
  } catch (const base::Error&) {
    result = BRINK_BAD_RATE;  // all that a detector can be told wrongly
  } catch (const std::bad_alloc&) {
    result = BRINK_NO_MEMORY;
  }
  if (error != nullptr) {
    *error = result;
  }
  return detector;
}

void brink_detector_delete(brink_detector* detector) {
  delete detector;
}

int brink_detector_push(brink_detector* detector, const float* samples, size_t count) {
  if (detector == nullptr || (samples == nullptr && count > 0)) {
    return BRINK_BAD_ARGUMENT;
  }
  detector->detector.push(std::span<const float>(samples, count), detector->queue);
  return detector->queue.take_error();
}

int brink_detector_finish(brink_detector* detector) {
  if (detector == nullptr) {
    return BRINK_BAD_ARGUMENT;
  }
  detector->detector.finish(detector->queue);
  return detector->queue.take_error();
}

int brink_detector_next_event(brink_detector* detector, brink_event* event, size_t event_size) {
  brink_event next{};
  if (detector == nullptr || event == nullptr || !is_event_size(event_size) ||
      !detector->queue.next(next)) {
    return 0;
  }
  // A caller built with an older header gets its first fields; one with a newer header gets 0 in
  // what this library lacks.
  std::memset(event, 0, event_size);
  std::memcpy(event, &next, std::min(event_size, sizeof next));
  return 1;
}

brink_counts brink_detector_counts(const brink_detector* detector) {
  if (detector == nullptr) {
    return {};
  }
  const detector::InputCounts& counts = detector->detector.counts();
  return {counts.samples, counts.non_finite, counts.clipped};
}

int brink_propose_cut(const brink_event* event, size_t event_size, brink_cut* cut) {
  if (event == nullptr || cut == nullptr || !is_event_size(event_size)) {
    return BRINK_BAD_ARGUMENT;
  }
  brink_event ring{};
  std::memcpy(&ring, event, std::min(event_size, sizeof ring));
  try {
    cuts::RingMeasurement measurement;
    measurement.frequency_hz = ring.frequency_hz;
    measurement.frequency_sd_hz = ring.frequency_sd_hz;
    measurement.frequency_low_hz = ring.frequency_low_hz;
    measurement.frequency_high_hz = ring.frequency_high_hz;
    measurement.growth_db_per_s = cuts::trusted_growth(ring.growth_db_per_s, ring.confidence);
    const cuts::Cut proposed = cuts::propose_cut(measurement);
    *cut = {proposed.centre_hz, proposed.q, proposed.depth_db};
  } catch (const std::bad_alloc&) {
    return BRINK_NO_MEMORY;
  }
  return BRINK_OK;
}
