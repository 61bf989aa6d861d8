// Any samples at any rate in any blocks: the detector stays sane, and how the stream is cut into
// blocks changes nothing.
//
// The bytes are a little score, so that a short input makes seconds of sound: a rate, the two ways
// of cutting, then strokes (see Score::next).

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <cstdint>
#include <limits>
#include <numbers>
#include <span>
#include <vector>

#include "base/error.h"
#include "detector/detector.h"
#include "fuzz/fuzz.h"

using namespace brink;
using fuzz::demand;

namespace {

constexpr std::size_t kMostSamples = 96000;

class Score : public fuzz::Bytes {
 public:
  using Bytes::Bytes;

  double rate_hz();
  std::vector<float> samples(double rate_hz);

 private:
  void stroke(double rate_hz, std::vector<float>& out);
  void tone(double rate_hz, std::vector<float>& out);
};

double Score::rate_hz() {
  constexpr std::array kRates{
      8000.0, 11025.0, 16000.0, 22050.0, 44100.0, 48000.0, 88200.0, 96000.0, 176400.0, 192000.0};
  const unsigned choice = take<std::uint8_t>() % 12U;
  if (choice < kRates.size()) {
    return kRates[choice];
  }
  return choice == 10 ? 8000.0 + take<std::uint32_t>() % 184001U
                      : static_cast<double>(take<float>());
}

/// A tone whose level follows a straight line, alone or on top of what the last stroke left.
void Score::tone(double rate_hz, std::vector<float>& out) {
  const double frequency_hz = take<std::uint16_t>() / 65535.0 * rate_hz / 2.0;
  const double start_dbfs = -take<std::uint8_t>() / 2.0;
  const double growth_db_per_s = take<std::int8_t>() * 2.0;
  const std::size_t length = take<std::uint16_t>();
  const std::size_t back = take<std::uint8_t>() % 2U == 0 ? 0 : std::min(out.size(), length);
  const std::size_t first = out.size() - back;
  out.resize(std::min(kMostSamples, first + length), 0.0F);
  for (std::size_t i = first; i < out.size(); ++i) {
    const double t_s = static_cast<double>(i - first) / rate_hz;
    const double level_dbfs = std::min(0.0, start_dbfs + growth_db_per_s * t_s);
    out[i] += static_cast<float>(std::pow(10.0, level_dbfs / 20.0) *
                                 std::sin(2.0 * std::numbers::pi * frequency_hz * t_s));
  }
}

void Score::stroke(double rate_hz, std::vector<float>& out) {
  const unsigned kind = take<std::uint8_t>() % 5U;
  if (kind == 0) {  // raw floats: every NaN, infinity and denormal there is
    for (unsigned i = take<std::uint8_t>() % 64U; i > 0; --i) {
      out.push_back(take<float>());
    }
  } else if (kind == 1 || kind == 2) {
    tone(rate_hz, out);
  } else if (kind == 3) {  // one value held: silence, DC, NaN
    const auto value = take<float>();
    out.resize(std::min(kMostSamples, out.size() + take<std::uint16_t>()), value);
  } else {  // noise
    auto state = take<std::uint32_t>();
    const float peak = static_cast<float>(take<std::uint8_t>()) / 64.0F;
    for (std::size_t i = take<std::uint16_t>(); i > 0 && out.size() < kMostSamples; --i) {
      state = state * 1664525U + 1013904223U;
      out.push_back(peak * (static_cast<float>(state >> 8U) / 8388608.0F - 1.0F));
    }
  }
}

std::vector<float> Score::samples(double rate_hz) {
  std::vector<float> out;
  while (!is_over() && out.size() < kMostSamples) {
    stroke(rate_hz, out);
  }
  return out;
}

class Listener final : public detector::EventSink {
 public:
  explicit Listener(double rate_hz) : rate_hz_(rate_hz) { events.reserve(1000); }

  void on_event(const detector::RingEvent& event) noexcept override {
    const detector::Ring& ring = event.ring;
    demand(events.empty() || events.back().sample <= event.sample);
    demand(ring.id != 0 && ring.onset_sample <= event.sample);
    demand(ring.frequency_hz > 0.0 && ring.frequency_hz <= rate_hz_ / 2.0);
    demand(std::isfinite(ring.frequency_sd_hz) && ring.frequency_sd_hz >= 0.0);
    demand(std::isfinite(ring.growth_db_per_s) && std::isfinite(ring.level_dbfs));
    demand(ring.confidence >= 0.0 && ring.confidence <= 1.0);
    demand(ring.state != detector::RingState::kRinging || ring.flagged_sample != detector::kNever);
    events.push_back(event);
  }

  std::vector<detector::RingEvent> events;

 private:
  double rate_hz_;
};

void listen(detector::Detector& detector,
            std::span<const float> samples,
            std::uint16_t cuts,
            Listener& listener) {
  const auto length = static_cast<std::int64_t>(samples.size());
  std::uint32_t state = cuts;
  while (!samples.empty()) {
    state = state * 1664525U + 1013904223U;
    const std::size_t wanted = cuts % 2U == 0 ? 1U + (state >> 20U) : 1U + cuts / 2U;
    const std::size_t count = std::min(samples.size(), wanted);
    detector.push(samples.first(count), listener);
    samples = samples.subspan(count);
  }
  detector.finish(listener);
  demand(detector.counts().samples == length);
  for (const detector::RingEvent& event : listener.events) {
    demand(event.sample <= length);
  }
}

bool same_bits(double a, double b) {
  return std::bit_cast<std::uint64_t>(a) == std::bit_cast<std::uint64_t>(b);
}

bool same(const detector::RingEvent& a, const detector::RingEvent& b) {
  return a.sample == b.sample && a.ring.id == b.ring.id && a.ring.state == b.ring.state &&
         a.ring.onset_sample == b.ring.onset_sample &&
         a.ring.flagged_sample == b.ring.flagged_sample &&
         a.ring.ended_sample == b.ring.ended_sample &&
         same_bits(a.ring.frequency_hz, b.ring.frequency_hz) &&
         same_bits(a.ring.growth_db_per_s, b.ring.growth_db_per_s) &&
         same_bits(a.ring.level_dbfs, b.ring.level_dbfs) &&
         same_bits(a.ring.confidence, b.ring.confidence);
}

}  // namespace

// NOLINTNEXTLINE(readability-identifier-naming): libFuzzer calls it by this name
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  Score score(std::span(data, size));
  detector::DetectorConfig config;
  config.sample_rate_hz = score.rate_hz();
  const auto one_cut = score.take<std::uint16_t>();
  const auto other_cut = score.take<std::uint16_t>();
  try {
    detector::Detector one(config);
    detector::Detector other(config);
    const std::vector<float> samples = score.samples(config.sample_rate_hz);
    Listener here(config.sample_rate_hz);
    Listener there(config.sample_rate_hz);
    listen(one, samples, one_cut, here);
    listen(other, samples, other_cut, there);
    demand(std::equal(
        here.events.begin(), here.events.end(), there.events.begin(), there.events.end(), same));
    // Pushed on after its end it owes nothing but peace.
    here.events.clear();
    one.push(std::span(samples).first(std::min<std::size_t>(samples.size(), 8192)), here);
  } catch (const base::Error&) {
    demand(!(config.sample_rate_hz >= 8000.0 && config.sample_rate_hz <= 192000.0));
  }
  return 0;
}
