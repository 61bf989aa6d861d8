#include "loop/programme.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

#include "base/error.h"
#include "base/units.h"
#include "loop/band_limits.h"

using namespace brink::loop;
using brink::base::amplitude_to_db;
using brink::base::Error;

namespace {

std::vector<float> render(const ProgrammeConfig& config, double length_s) {
  Programme programme{config};
  std::vector<float> samples(static_cast<std::size_t>(length_s * config.sample_rate_hz));
  programme.fill(samples);
  return samples;
}

/// Level as a sine's: 0 for one of full scale.
double level_dbfs(const std::vector<double>& samples) {
  double power = 0.0;
  for (const double sample : samples) {
    power += sample * sample;
  }
  return 10.0 * std::log10(2.0 * power / static_cast<double>(samples.size()) + 1e-30);
}

double level_dbfs(const std::vector<float>& samples) {
  return level_dbfs(std::vector<double>(samples.begin(), samples.end()));
}

double octave_dbfs(const std::vector<float>& samples, double centre_hz, double sample_rate_hz) {
  std::vector<double> band(samples.begin(), samples.end());
  for (int pass = 0; pass < 3; ++pass) {
    apply({centre_hz / 1.4142, centre_hz * 1.4142}, sample_rate_hz, band);
  }
  return level_dbfs(band);
}

}  // namespace

TEST_CASE("pink noise has the same level in every octave") {
  ProgrammeConfig config;
  config.kind = ProgrammeKind::kPinkNoise;
  for (const double rate_hz : {44100.0, 48000.0, 96000.0}) {
    config.sample_rate_hz = rate_hz;
    const std::vector<float> samples = render(config, 20.0);
    const double middle = octave_dbfs(samples, 1000.0, rate_hz);
    for (const double centre_hz : {125.0, 250.0, 500.0, 2000.0, 4000.0, 8000.0}) {
      if (centre_hz > rate_hz / 10.0) {
        continue;  // the octave filter itself is bent there
      }
      // The ladder's ripple, and what 20 s of noise scatter in the lowest octave (0.1 dB).
      CHECK(std::abs(octave_dbfs(samples, centre_hz, rate_hz) - middle) < 0.8);
    }
  }
}

TEST_CASE("every programme comes at the level asked for") {
  for (const ProgrammeKind kind :
       {ProgrammeKind::kPinkNoise, ProgrammeKind::kVoice, ProgrammeKind::kMusic}) {
    for (const std::uint64_t seed : {1U, 2U, 3U}) {
      ProgrammeConfig config;
      config.kind = kind;
      config.seed = seed;
      config.level_dbfs = -30.0;
      // Set over its first 8 s; later ones talk and play a little more or less.
      CHECK(std::abs(level_dbfs(render(config, 20.0)) + 30.0) < 1.5);
    }
  }
  ProgrammeConfig silence;
  silence.kind = ProgrammeKind::kSilence;
  silence.noise_floor_dbfs = -70.0;
  CHECK(std::abs(level_dbfs(render(silence, 5.0)) + 70.0) < 0.2);
}

TEST_CASE("a voice has words and pauses, most of its power below 4 kHz, and partials of a pitch") {
  ProgrammeConfig config;
  config.kind = ProgrammeKind::kVoice;
  config.noise_floor_dbfs = -100.0;
  const std::vector<float> samples = render(config, 30.0);
  int loud = 0;
  int quiet = 0;
  for (std::size_t at = 0; at + 2400 <= samples.size(); at += 2400) {
    const double level =
        level_dbfs(std::vector<double>(samples.begin() + static_cast<std::ptrdiff_t>(at),
                                       samples.begin() + static_cast<std::ptrdiff_t>(at + 2400)));
    loud += level > config.level_dbfs - 10.0 ? 1 : 0;
    quiet += level < config.level_dbfs - 30.0 ? 1 : 0;
  }
  CHECK(loud > 600 / 2);
  CHECK(quiet > 600 / 20);
  CHECK(octave_dbfs(samples, 500.0, 48000.0) > octave_dbfs(samples, 8000.0, 48000.0) + 15.0);
  CHECK(octave_dbfs(samples, 4000.0, 48000.0) > config.level_dbfs - 45.0);
}

TEST_CASE("music reaches from the bass to the cymbals") {
  ProgrammeConfig config;
  config.kind = ProgrammeKind::kMusic;
  const std::vector<float> samples = render(config, 20.0);
  for (const double centre_hz : {63.0, 125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0, 8000.0}) {
    CHECK(octave_dbfs(samples, centre_hz, 48000.0) > config.level_dbfs - 32.0);
  }
}

TEST_CASE("one seed, one programme, however it is cut, another seed, another") {
  for (const ProgrammeKind kind : {ProgrammeKind::kSilence,
                                   ProgrammeKind::kPinkNoise,
                                   ProgrammeKind::kVoice,
                                   ProgrammeKind::kMusic}) {
    ProgrammeConfig config;
    config.kind = kind;
    const std::vector<float> whole = render(config, 2.0);
    Programme cut{config};
    std::vector<float> parts(whole.size());
    for (std::size_t at = 0; at < parts.size(); at += 37) {
      cut.fill({parts.data() + at, std::min<std::size_t>(37, parts.size() - at)});
    }
    CHECK(parts == whole);
    config.seed = 2;
    CHECK(render(config, 2.0) != whole);
  }
}

TEST_CASE("samples from outside are played over and over, what is not a number as silence") {
  ProgrammeConfig config;
  config.kind = ProgrammeKind::kSamples;
  config.noise_floor_dbfs = -150.0;
  config.level_dbfs = -3.0;
  CHECK_THROWS_AS(Programme{config}, Error);
  config.samples = {0.5F, -0.5F, std::numeric_limits<float>::quiet_NaN(), 0.0F};
  const std::vector<float> samples = render(config, 1.0);
  CHECK(samples[2] == doctest::Approx(0.0).epsilon(1e-6));
  CHECK(std::abs(samples[4] - samples[0]) < 1e-6F);
  CHECK(std::abs(samples[0] - 0.7071F * 1.4142F * 0.7079F) < 1e-3F);
}

TEST_CASE("a programme that cannot be is refused with the field named") {
  ProgrammeConfig config;
  config.level_dbfs = 6.0;
  CHECK_THROWS_WITH_AS(Programme{config}, "programme level must be -100 to -3 dBFS; got 6.", Error);
}
