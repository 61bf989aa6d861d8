#include "loop/sweep/sweep.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "base/error.h"
#include "base/units.h"
#include "loop/band_limits.h"
#include "loop/open_loop.h"
#include "loop/room.h"
#include "loop/sweep/measured_loop.h"
#include "loop/sweep/sweep_stage.h"
#include "loop/truth.h"

using namespace brink::loop;

namespace {

constexpr double kRateHz = 48000.0;

SweepSignal short_signal() {
  SweepSignal signal;
  signal.sweep.length_s = 2.0;
  signal.decay_s = 1.0;
  return signal;
}

StageConfig small_room(double microphone_m = 6.0) {
  RoomConfig room;
  room.t60_s = 0.5;
  room.microphone.x_m = microphone_m;
  StageConfig stage;
  stage.limit_dbfs = 0.0;
  stage.response = room_response(room);
  apply({70.0, 10000.0}, kRateHz, stage.response);
  return stage;
}

SweepOnStage quiet_sweep(double noise_dbfs = -120.0) {
  SweepOnStage sweep;
  sweep.signal = short_signal();
  sweep.level_dbfs = -20.0;
  sweep.noise.kind = ProgrammeKind::kSilence;
  sweep.noise.noise_floor_dbfs = noise_dbfs;
  return sweep;
}

/// The greatest difference of levels from 100 Hz to 10 kHz, third-octave by third-octave, and the
/// turn of phase at some frequencies.
void check_same(const MeasuredLoop& measured, const std::vector<double>& truth, double level_lin) {
  const OpenLoop wanted(truth, {}, kRateHz);
  const OpenLoop found(measured.taps, {}, kRateHz);
  for (double f_hz = 100.0; f_hz < 10000.0; f_hz *= 1.37) {
    CAPTURE(f_hz);
    const auto turn =
        std::polar(1.0, -2.0 * 3.14159265358979 * f_hz * measured.starts_s.value_or(0.0));
    const auto ratio = found.at_hz(f_hz).gain * turn / (level_lin * wanted.at_hz(f_hz).gain);
    CHECK(20.0 * std::log10(std::abs(ratio)) == doctest::Approx(0.0).epsilon(0.1));
    CHECK(std::abs(std::arg(ratio)) < 0.03);
  }
}

}  // namespace

TEST_CASE("a sweep rises by equal ratios in equal times and is soft at both ends") {
  SweepConfig config;
  config.low_hz = 50.0;
  config.high_hz = 12800.0;  // eight octaves
  config.length_s = 4.0;     // half a second each
  const auto sweep = exponential_sweep(config);
  REQUIRE(sweep.size() == 192000);
  CHECK(std::abs(sweep.front()) < 1e-9);
  CHECK(std::abs(sweep.back()) < 1e-3);
  // Crossings of zero upwards within 20 ms around 2 s, where it stands at 50 * 2^4 Hz.
  int rising = 0;
  for (std::size_t n = 95520; n < 96480; ++n) {
    rising += sweep[n - 1] < 0.0 && sweep[n] >= 0.0 ? 1 : 0;
  }
  CHECK(std::abs(rising - 16) <= 1);
  CHECK(*std::max_element(sweep.begin(), sweep.end()) <= 1.0);
  CHECK_THROWS_AS((void)exponential_sweep({48000.0, 40.0, 20000.0, 0.0}), brink::base::Error);
}

TEST_CASE("a swept room is measured as it is, level and phase") {
  const StageConfig stage = small_room();
  const SweepOnStage sweep = quiet_sweep();
  const auto measured = measure_loop(sweep_on_stage(stage, sweep), sweep.signal, 0.0);
  check_same(measured, stage.response, 0.1);
  CHECK(measured.clock_ppm == doctest::Approx(0.0));
  CHECK(measured.change_db < -60.0);
  CHECK(measured.clipped_samples == 0);
  CHECK(measured.distortion_lin < 0.01);
  CHECK_FALSE(is_closed_loop(measured));
  CHECK(measured.direct_s + *measured.starts_s ==
        doctest::Approx(std::sqrt(1.0 + 0.25 + 1.44) / kSoundSpeedMps).epsilon(0.05));
}

TEST_CASE("clocks that differ are measured and made up for") {
  const StageConfig stage = small_room();
  SweepOnStage sweep = quiet_sweep();
  sweep.clock_ratio = 1.0 + 14.0 / (3.0 * kRateHz);  // 97 ppm
  const auto measured = measure_loop(sweep_on_stage(stage, sweep), sweep.signal, 0.0);
  CHECK(measured.clock_ppm == doctest::Approx(1e6 * (sweep.clock_ratio - 1.0)).epsilon(0.01));
  CHECK_FALSE(measured.has_lost_samples);
  // The first sweep begins two samples late by then, in whole samples: its phase is not compared.
  const OpenLoop wanted(stage.response, {}, kRateHz);
  const OpenLoop found(measured.taps, {}, kRateHz);
  for (double f_hz = 100.0; f_hz < 10000.0; f_hz *= 1.37) {
    CAPTURE(f_hz);
    CHECK(20.0 * std::log10(std::abs(found.at_hz(f_hz).gain / wanted.at_hz(f_hz).gain)) ==
          doctest::Approx(-20.0).epsilon(0.005));
  }
}

TEST_CASE("samples lost between two sweeps are no clock") {
  const StageConfig stage = small_room();
  const SweepOnStage sweep = quiet_sweep();
  auto recording = sweep_on_stage(stage, sweep);
  recording.erase(recording.begin() + 130000, recording.begin() + 130256);
  recording.resize(recording.size() + 256);
  CHECK(measure_loop(recording, sweep.signal, 0.0).has_lost_samples);
}

TEST_CASE("a microphone that moved between two sweeps is noticed, noise is not taken for it") {
  const SweepOnStage quiet = quiet_sweep(-70.0);
  auto recording = sweep_on_stage(small_room(), quiet);
  CHECK(measure_loop(recording, quiet.signal, 0.0).change_db < -25.0);
  const auto moved = sweep_on_stage(small_room(6.1), quiet);
  std::copy(moved.begin() + 160000, moved.end(), recording.begin() + 160000);
  CHECK(measure_loop(recording, quiet.signal, 0.0).change_db > -15.0);
}

TEST_CASE("noise is told by band, and so is what it does to level and phase") {
  const StageConfig stage = small_room();
  SweepOnStage sweep = quiet_sweep(-60.0);
  const auto loud = measure_loop(sweep_on_stage(stage, sweep), sweep.signal, 0.0);
  sweep.noise.noise_floor_dbfs = -80.0;
  const auto quiet = measure_loop(sweep_on_stage(stage, sweep), sweep.signal, 0.0);
  REQUIRE(loud.bands.size() == quiet.bands.size());
  const OpenLoop truth(stage.response, {}, kRateHz);
  const OpenLoop found(loud.taps, {}, kRateHz);
  double square = 0.0;
  double foretold = 0.0;
  for (std::size_t k = 0; k < loud.bands.size(); ++k) {
    CAPTURE(loud.bands[k].centre_hz);
    // The response ends later where there is less noise, so it lets more of it in.
    CHECK(loud.bands[k].noise_db - quiet.bands[k].noise_db == doctest::Approx(18.0).epsilon(0.3));
    CHECK(loud.bands[k].level_db == doctest::Approx(quiet.bands[k].level_db).epsilon(0.1));
    for (double part = 0.92; part < 1.09; part += 0.02) {
      const double f_hz = loud.bands[k].centre_hz * part;
      const auto turn = std::polar(1.0, -2.0 * 3.14159265358979 * f_hz * *loud.starts_s);
      const auto error = turn * found.at_hz(f_hz).gain - 0.1 * truth.at_hz(f_hz).gain;
      square += std::norm(error) / std::pow(10.0, loud.bands[k].noise_db / 10.0);
      foretold += 1.0;
    }
  }
  // What was foretold is what the errors are, within a factor of two of power.
  CHECK(square / foretold > 0.5);
  CHECK(square / foretold < 2.0);
}

TEST_CASE("distortion comes before the response and is told, clipping is counted") {
  StageConfig stage = small_room();
  stage.limit_dbfs = -22.0;  // the sweep at -20 dBFS is bent
  const SweepOnStage sweep = quiet_sweep();
  auto recording = sweep_on_stage(stage, sweep);
  const auto bent = measure_loop(recording, sweep.signal, 0.0);
  CHECK(bent.distortion_lin > 0.01);
  for (float& sample : recording) {
    sample = std::clamp(1e3F * sample, -1.0F, 1.0F);
  }
  const auto clipped = measure_loop(recording, sweep.signal, 0.0);
  CHECK(clipped.clipped_samples > 1000);
}

TEST_CASE("a loop that was not shut is noticed 1 dB under its brink") {
  StageConfig stage = small_room();
  const double brink_db = max_stable_gain_db(OpenLoop{loop_taps(stage, 0.0), {}, kRateHz});
  const SweepOnStage sweep = quiet_sweep();
  const auto open = sweep_on_stage(stage, sweep);
  CHECK_FALSE(is_closed_loop(measure_loop(open, sweep.signal, 0.0)));
  // What comes in once comes round again.
  stage.plan.gain_db = Lines(brink_db - 1.0);
  Stage running(stage);
  std::vector<float> closed(open.size());
  running.process(open, closed);
  CHECK(is_closed_loop(measure_loop(closed, sweep.signal, 0.0)));
}

TEST_CASE("a recording without a known delay is found in time") {
  const StageConfig stage = small_room();
  const SweepOnStage sweep = quiet_sweep();
  auto recording = sweep_on_stage(stage, sweep);
  recording.insert(recording.begin(), 7001, 0.0F);
  const auto measured = measure_loop(recording, sweep.signal, std::nullopt);
  CHECK_FALSE(measured.starts_s.has_value());
  CHECK(measured.direct_s == doctest::Approx(kEarlyS).epsilon(0.05));
  std::vector<float> sent = sweep_signal(sweep.signal);
  sent.insert(sent.begin(), 7001, 0.0F);
  const double latency_s = find_latency_s(sent, sweep.signal);
  CHECK(latency_s == doctest::Approx(7001.0 / kRateHz).epsilon(1e-5));
  check_same(measure_loop(recording, sweep.signal, latency_s), stage.response, 0.1);
}

TEST_CASE("a recording without a sweep is refused") {
  SweepOnStage sweep = quiet_sweep(-60.0);
  StageConfig stage = small_room();
  std::fill(stage.response.begin(), stage.response.end(), 0.0);
  const auto recording = sweep_on_stage(stage, sweep);
  CHECK_THROWS_AS((void)measure_loop(recording, sweep.signal, 0.0), brink::base::Error);
  CHECK_THROWS_AS((void)measure_loop(recording, sweep.signal, std::nullopt), brink::base::Error);
  CHECK_THROWS_AS((void)measure_loop(std::span(recording).first(48000), sweep.signal, 0.0),
                  brink::base::Error);
}
