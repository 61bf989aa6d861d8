#include "show/ring_measurement.h"

namespace brink::show {

cuts::RingMeasurement to_measurement(const detector::Ring& ring,
                                     double sample_rate_hz,
                                     std::int64_t end_sample) {
  const auto to_s = [&](std::int64_t sample) {
    return static_cast<double>(sample) / sample_rate_hz;
  };
  cuts::RingMeasurement measurement;
  measurement.frequency_hz = ring.frequency_hz;
  measurement.frequency_sd_hz = ring.frequency_sd_hz;
  measurement.frequency_low_hz = ring.frequency_low_hz;
  measurement.frequency_high_hz = ring.frequency_high_hz;
  measurement.growth_db_per_s = ring.growth_db_per_s;
  measurement.start_s = to_s(ring.onset_sample);
  measurement.end_s = to_s(ring.ended_sample == detector::kNever ? end_sample : ring.ended_sample);
  return measurement;
}

cuts::RingMeasurement to_final_measurement(const detector::Ring& ring,
                                           double sample_rate_hz,
                                           std::int64_t end_sample) {
  cuts::RingMeasurement measurement = to_measurement(ring, sample_rate_hz, end_sample);
  measurement.growth_db_per_s = cuts::trusted_growth(ring.growth_db_per_s, ring.confidence);
  return measurement;
}

}  // namespace brink::show
