#include "listen/sound_meter.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>
#include <random>
#include <string>
#include <utility>
#include <vector>

#include "base/error.h"
#include "base/units.h"
#include "listen/calibrator_tone.h"

using namespace brink;
using listen::Calibration;
using listen::SoundMeter;

namespace {

/// IEC 61672-1:2013, table 3, A-weighting at the exact frequencies 1000 * 10^(n/10); n from -17.
constexpr std::array<double, 31> kTable{-50.5, -44.7, -39.4, -34.6, -30.2, -26.2, -22.5, -19.1,
                                        -16.1, -13.4, -10.9, -8.6,  -6.6,  -4.8,  -3.2,  -1.9,
                                        -0.8,  0.0,   0.6,   1.0,   1.2,   1.3,   1.2,   1.0,
                                        0.5,   -0.1,  -1.1,  -2.5,  -4.3,  -6.6,  -9.3};

double exact_hz(std::size_t row) {
  return 1000.0 * std::pow(10.0, (static_cast<double>(row) - 17.0) / 10.0);
}

std::vector<float> tone(double rate_hz, double frequency_hz, double level_dbfs, double length_s) {
  std::vector<float> samples(static_cast<std::size_t>(length_s * rate_hz));
  const double amplitude = std::sqrt(2.0) * std::pow(10.0, level_dbfs / 20.0);
  for (std::size_t n = 0; n < samples.size(); ++n) {
    samples[n] = static_cast<float>(amplitude * std::sin(2.0 * std::numbers::pi * frequency_hz *
                                                         static_cast<double>(n) / rate_hz));
  }
  return samples;
}

std::string refusal(const std::vector<float>& samples) {
  try {
    static_cast<void>(listen::calibrator_tone_dbfs(samples, 48000.0));
    return "";
  } catch (const base::Error& error) {
    return error.what();
  }
}

}  // namespace

TEST_CASE("the A-weighting has the values of the standard's table") {
  for (std::size_t row = 0; row < kTable.size(); ++row) {
    INFO(exact_hz(row));
    CHECK(std::abs(listen::a_weighting_db(exact_hz(row)) - kTable[row]) < 0.0501);  // rounded there
  }
}

TEST_CASE("a calibrated tone reads its sound pressure, weighted, at every rate") {
  Calibration calibration;
  calibration.full_scale_db_spl = 120.0;
  for (const double rate_hz : {44100.0, 48000.0, 96000.0}) {
    for (std::size_t row = 0; row < kTable.size(); ++row) {
      SoundMeter meter(rate_hz, calibration);
      meter.push(tone(rate_hz, exact_hz(row), -20.0, 3.0));
      REQUIRE(meter.levels().has_value());
      INFO(rate_hz << ", " << exact_hz(row));
      // A window's lobe is 7.5 Hz wide. Over that the weighting turns by some dB at 20 Hz. The
      // table is rounded to 0.1 dB.
      const double allowed_db = exact_hz(row) < 50.0 ? 0.5 : 0.11;
      CHECK(std::abs(meter.levels()->since_start_db - (100.0 + kTable[row])) < allowed_db);
    }
  }
}

TEST_CASE("the last second, all that was heard and the last quarter of an hour are told apart") {
  SoundMeter meter(8000.0, {.full_scale_db_spl = 100.0, .response = {}});
  CHECK_FALSE(meter.levels().has_value());
  meter.push(tone(8000.0, 1000.0, -10.0, 450.0));
  meter.push(tone(8000.0, 1000.0, -30.0, 900.3));
  const auto levels = meter.levels();
  REQUIRE(levels.has_value());
  CHECK(levels->one_second_db == doctest::Approx(70.0).epsilon(0.001));
  CHECK(levels->fifteen_minutes_db == doctest::Approx(70.0).epsilon(0.002));
  // Energy over all of the time: (450 * 1 + 900 * 0.01) / 1350, so 4.69 dB below 90.
  CHECK(levels->since_start_db == doctest::Approx(85.31).epsilon(0.001));
}

TEST_CASE("a microphone's response is taken off, and no number is silence") {
  const Calibration calibration{.full_scale_db_spl = 100.0,
                                .response = {{100.0, -2.0}, {1000.0, 1.0}, {10000.0, 7.0}}};
  CHECK(listen::response_db(calibration.response, 50.0) == doctest::Approx(-3.0));
  CHECK(listen::response_db(calibration.response, 3162.28) == doctest::Approx(3.0));
  CHECK(listen::response_db(calibration.response, 20000.0) == doctest::Approx(6.0));
  SoundMeter meter(48000.0, calibration);
  meter.push(tone(48000.0, 10000.0, -20.0, 2.0));
  CHECK(meter.levels()->since_start_db == doctest::Approx(80.0 - 2.5 - 6.0).epsilon(0.002));
  SoundMeter deaf(48000.0, calibration);
  deaf.push(std::vector<float>(96000, std::numeric_limits<float>::quiet_NaN()));
  CHECK(deaf.levels()->one_second_db == base::kSilenceDb);
}

TEST_CASE("a calibrator's tone gives its level, and anything else is refused with the reason") {
  CHECK(listen::calibrator_tone_dbfs(tone(48000.0, 1003.7, -33.3, 5.0), 48000.0) ==
        doctest::Approx(-33.3).epsilon(0.0005));
  CHECK(refusal(tone(48000.0, 1000.0, -20.0, 1.0)).find("two seconds") != std::string::npos);
  CHECK(refusal(tone(48000.0, 250.0, -20.0, 5.0)).find("no calibrator's tone") !=
        std::string::npos);
  CHECK(refusal(std::vector<float>(240000)).find("no calibrator's tone") != std::string::npos);
  auto loud = tone(48000.0, 1000.0, -1.0, 5.0);
  for (float& sample : loud) {
    sample = std::clamp(sample, -1.0F, 1.0F);
  }
  CHECK(refusal(loud).find("clips") != std::string::npos);
  auto moved = tone(48000.0, 1000.0, -20.0, 3.0);
  const auto softer = tone(48000.0, 1000.0, -21.0, 2.0);
  moved.insert(moved.end(), softer.begin(), softer.end());
  CHECK(refusal(moved).find("wavers by 1.0 dB") != std::string::npos);
  std::mt19937 random(3);
  std::normal_distribution<float> noise(0.0F, 0.1F);
  auto noisy = tone(48000.0, 1000.0, -20.0, 5.0);
  for (float& sample : noisy) {
    sample += noise(random);
  }
  CHECK(refusal(noisy).find("no calibrator's tone") != std::string::npos);
}

TEST_CASE("the dose of a day is that of the table") {
  // NIOSH, Criteria for a recommended standard: occupational noise exposure, 1998, table 1-1.
  struct Line {
    double level_db, minutes;
  };

  for (const Line& line :
       {Line{82.0, 16.0 * 60.0}, Line{85.0, 480.0}, Line{88.0, 240.0}, Line{100.0, 15.0}}) {
    CAPTURE(line.level_db);
    show::SoundLevels levels;
    levels.since_start_db = line.level_db;
    levels.heard_s = 60.0 * line.minutes;
    CHECK(listen::dose_share(levels) == doctest::Approx(1.0));
  }
  show::SoundLevels silence;
  silence.since_start_db = base::kSilenceDb;
  silence.heard_s = 100.0;
  CHECK(listen::dose_share(silence) == 0.0);
}
