#include "support/moving_loop.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <random>

#include "support/small_loop.h"
#include "support/sounds.h"

namespace brink::tests {
namespace {

constexpr double kLimit = 0.5;
constexpr double kFaderS = 0.005;    // time constant
constexpr double kPauseS = 0.6;      // the fader is down for at least so long
constexpr double kDownDb = -6.0;     // from the brink
constexpr double kLeastTurns = 4.0;  // once around the loop
constexpr double kMostTurns = 9.0;

/// A delay line that is read between its samples, by a sinc under a Hann window. A cubic would
/// take a decibel off near half of 4 kHz, which is as much as such a loop has over its brink.
class GlidingDelay {
 public:
  explicit GlidingDelay(double most_samples)
      : line_(static_cast<std::size_t>(most_samples) + 2 * kHalf, 0.0) {}

  void push(double sample) noexcept {
    newest_ = (newest_ + 1) % line_.size();
    line_[newest_] = sample;
  }

  /// `delay` samples before the newest; at least kHalf.
  [[nodiscard]] double read(double delay) const noexcept {
    const auto whole = static_cast<std::size_t>(delay);
    const double share = delay - static_cast<double>(whole);
    double sum = 0.0;
    for (int k = 1 - kHalf; k <= kHalf; ++k) {
      const double off = share - k;
      const double turn = std::numbers::pi * off;
      const double sinc = std::abs(off) < 1e-9 ? 1.0 : std::sin(turn) / turn;
      const double window = 0.5 + 0.5 * std::cos(turn / kHalf);
      sum += sinc * window * at(static_cast<std::size_t>(static_cast<int>(whole) + k));
    }
    return sum;
  }

  static constexpr int kHalf = 6;  // samples

 private:
  [[nodiscard]] double at(std::size_t back) const noexcept {
    return line_[(newest_ + line_.size() - back) % line_.size()];
  }

  std::vector<double> line_;
  std::size_t newest_ = 0;
};

/// The band-pass of SmallLoop.
class Resonator {
 public:
  explicit Resonator(const SmallLoop::Resonance& resonance) : r_(resonance) {}

  double step(double x) noexcept {
    const double y = r_.b0 * (x - x2_) - r_.a1 * y1_ - r_.a2 * y2_;
    x2_ = x1_;
    x1_ = x;
    y2_ = y1_;
    y1_ = y;
    return y;
  }

 private:
  SmallLoop::Resonance r_;
  double x1_ = 0.0, x2_ = 0.0, y1_ = 0.0, y2_ = 0.0;
};

}  // namespace

MovingLoop::Sound MovingLoop::play(const std::vector<float>& programme) const {
  std::mt19937 engine(variant);
  const auto between = [&](double low, double high) {
    return low + (high - low) * static_cast<double>(engine()) * 0x1p-32;
  };
  // The resonance lies at a whole turn of the delay, and is so narrow that the next whole turns
  // stay 7 dB below: only one tone can ring.
  const double wanted_hz = lowest_hz * std::pow(highest_hz / lowest_hz, between(0.0, 1.0));
  const double turns = std::round(between(kLeastTurns, kMostTurns));
  const double delay_s = turns / wanted_hz;
  const SmallLoop::Resonance resonance =
      SmallLoop{.sample_rate_hz = sample_rate_hz, .centre_hz = wanted_hz, .q = turns}.resonance();
  const double loop_s = delay_s + turns / (std::numbers::pi * wanted_hz);  // with the resonance's
  // The resonance holds on to the tone, so the delay glides further.
  const double delay_ratio = glide_ratio * loop_s / delay_s;

  Sound sound;
  sound.frequency_hz = wanted_hz;
  std::vector<double> growths;
  double now_s = 1.0;
  for (int i = 0; i < bursts; ++i) {
    const double growth = between(least_growth_db_per_s, most_growth_db_per_s);
    const double to_climb_db = -6.0 - noise_dbfs + 10.0;  // the band holds 10 dB less of the noise
    Burst burst{.from_s = now_s, .loud_s = now_s + to_climb_db / growth};
    burst.to_s = burst.loud_s + between(least_loud_s, most_loud_s);
    now_s = burst.to_s + kPauseS + between(0.0, 0.4);
    sound.bursts.push_back(burst);
    growths.push_back(growth);
  }

  sound.samples = white_noise(now_s, sample_rate_hz, noise_dbfs, variant);
  const double phase = between(0.0, 2.0 * std::numbers::pi);
  const double most_delay = delay_s * (1.0 + delay_ratio) * sample_rate_hz;
  GlidingDelay delay(most_delay);
  Resonator room(resonance);
  const double follow = 1.0 - std::exp(-1.0 / (kFaderS * sample_rate_hz));
  double gain_db = kDownDb;
  std::size_t next = 0;
  for (std::size_t n = 0; n < sound.samples.size(); ++n) {
    const double time_s = static_cast<double>(n) / sample_rate_hz;
    while (next < sound.bursts.size() && time_s >= sound.bursts[next].to_s) {
      ++next;
    }
    const bool is_up = next < sound.bursts.size() && time_s >= sound.bursts[next].from_s;
    gain_db += follow * ((is_up ? growths[next] * loop_s : kDownDb) - gain_db);
    const double bend =
        0.5 * delay_ratio * std::sin(phase + 2.0 * std::numbers::pi * time_s / glide_period_s);
    const double played = n < programme.size() ? static_cast<double>(programme[n]) : 0.0;
    const double heard = static_cast<double>(sound.samples[n]) + played +
                         room.step(delay.read(delay_s * (1.0 + bend) * sample_rate_hz - 1.0));
    delay.push(std::clamp(std::pow(10.0, gain_db / 20.0) * heard, -kLimit, kLimit));
    sound.samples[n] = static_cast<float>(heard);
  }
  return sound;
}

}  // namespace brink::tests
