#include "loop/programme.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "base/error.h"
#include "base/units.h"
#include "loop/require.h"

namespace brink::loop {

namespace {

constexpr double kCalibrationS = 8.0;  // long enough for a phrase and a pause, or for four bars

}  // namespace

double Programme::Samples::next() noexcept {
  const auto sample = static_cast<double>(samples[at]);
  at = at + 1 == samples.size() ? 0 : at + 1;
  return std::isfinite(sample) ? sample : 0.0;
}

// Calls std::visit in a noexcept function. The compiler believes that std::visit may throw.
template <typename Use>
void Programme::with_generator(Generator& generator, const Use& use) noexcept {
  if (auto* const pink = std::get_if<PinkNoise>(&generator)) {
    use(*pink);
  } else if (auto* const voice = std::get_if<Voice>(&generator)) {
    use(*voice);
  } else if (auto* const music = std::get_if<Music>(&generator)) {
    use(*music);
  } else if (auto* const samples = std::get_if<Samples>(&generator)) {
    use(*samples);
  } else if (auto* const silence = std::get_if<Silence>(&generator)) {
    use(*silence);
  }
}

Programme::Generator Programme::generator(const ProgrammeConfig& config) {
  switch (config.kind) {
    case ProgrammeKind::kSilence:
      return Silence{};
    case ProgrammeKind::kPinkNoise:
      return PinkNoise{config.sample_rate_hz, config.seed};
    case ProgrammeKind::kVoice:
      return Voice{config.sample_rate_hz, config.seed};
    case ProgrammeKind::kMusic:
      return Music{config.sample_rate_hz, config.seed};
    case ProgrammeKind::kSamples:
      break;
  }
  return Samples{config.samples, 0};
}

Programme::Programme(const ProgrammeConfig& config)
    : generator_{generator(config)}, noise_{config.seed ^ 0x5DEECE66DU} {
  require(config.sample_rate_hz, 8000.0, 192000.0, "sample rate", "Hz");
  require(config.level_dbfs, -100.0, -3.0, "programme level", "dBFS");
  require(config.noise_floor_dbfs, -150.0, -20.0, "noise floor", "dBFS");
  if (config.kind == ProgrammeKind::kSamples && config.samples.empty()) {
    throw base::Error{"the programme has no samples."};
  }
  noise_lin_ = base::db_to_amplitude(config.noise_floor_dbfs) / std::numbers::sqrt2;
  // Finds the level: plays the beginning, measures it, and starts again.
  Generator trial = generator_;
  double power = 0.0;
  const auto count = config.kind == ProgrammeKind::kSamples
                         ? config.samples.size()
                         : static_cast<std::size_t>(kCalibrationS * config.sample_rate_hz);
  for (std::size_t n = 0; n < count; ++n) {
    double sample = 0.0;
    with_generator(trial, [&](auto& source) { sample = source.next(); });
    power += sample * sample;
  }
  power /= static_cast<double>(count);
  gain_lin_ = power > 0.0 ? base::db_to_amplitude(config.level_dbfs) / std::sqrt(2.0 * power) : 0.0;
}

void Programme::fill(std::span<float> block) noexcept {
  with_generator(generator_, [&](auto& source) {
    for (float& sample : block) {
      sample = static_cast<float>(gain_lin_ * source.next() + noise_lin_ * noise_.normal());
    }
  });
}

}  // namespace brink::loop
