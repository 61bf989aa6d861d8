// A sweep that is played, held and measured: on a way made here, and on the simulated stage.
#include <doctest/doctest.h>

#include <atomic>
#include <chrono>
#include <cmath>
#include <functional>
#include <numbers>
#include <string>
#include <thread>
#include <utility>

#include "base/error.h"
#include "base/units.h"
#include "desk/sweep/sweep_work.h"
#include "desk/target_library.h"

using namespace brink;
using namespace std::chrono_literals;
using Phase = desk::SweepRun::Phase;
using State = desk::SweepWork::State;

namespace {

constexpr double kRateHz = 48000.0;
constexpr std::size_t kBlock = 960;
constexpr std::size_t kHalfSecond = 25 * kBlock;
constexpr std::size_t kLateSamples = 100;

/// What the fakes of a test did; it outlives them.
struct Seen {
  std::atomic<int> plays{0};
  std::atomic<int> stops{0};
  std::atomic<bool> is_gone{false};
  std::chrono::milliseconds pace{0};  // of each block
};

/// Hands out what was played, at half of it and 100 samples late.
class WireWay final : public desk::SweepWay {
 public:
  explicit WireWay(Seen& seen) : seen_(seen) {
    signal_.sweep.sample_rate_hz = kRateHz;
    signal_.sweep.length_s = 1.0;
    signal_.decay_s = 0.2;
    sent_ = loop::sweep_signal(signal_);
  }

  ~WireWay() override { seen_.is_gone = true; }

  WireWay(const WireWay&) = delete;
  WireWay(WireWay&&) = delete;
  WireWay& operator=(const WireWay&) = delete;
  WireWay& operator=(WireWay&&) = delete;

  [[nodiscard]] const loop::SweepSignal& signal() const noexcept override { return signal_; }

  [[nodiscard]] State state() override {
    // Before it looks: what a release does is then seen as the end of the sweep, the worst moment.
    std::this_thread::sleep_for(seen_.pace);
    return is_playing_ && at_ < sent_.size() ? State::kPlaying : State::kSilent;
  }

  void play(double level_dbfs) override {
    level_lin_ = base::db_to_amplitude(level_dbfs);
    at_ = 0;
    is_playing_ = true;
    ++seen_.plays;
  }

  void stop() noexcept override {
    is_playing_ = false;
    ++seen_.stops;
  }

  [[nodiscard]] Heard read() override {
    for (float& sample : block_) {
      const bool is_heard = is_playing_ && at_ >= kLateSamples && at_ - kLateSamples < sent_.size();
      sample = is_heard ? static_cast<float>(0.5 * level_lin_) * sent_[at_ - kLateSamples] : 0.0F;
      sample += ring();
      ++at_;
    }
    return {block_, {}, loses_samples};
  }

  [[nodiscard]] std::optional<double> latency_s() const noexcept override { return 0.0; }

  bool loses_samples = false;
  double ring_hz = 0.0;  // from now on a tone grows by 40 dB a second

 private:
  float ring() {
    if (ring_hz == 0.0) {
      return 0.0F;
    }
    const double time_s = static_cast<double>(ring_samples_++) / kRateHz;
    const double level_dbfs = std::min(-70.0 + 40.0 * time_s, -10.0);
    return static_cast<float>(base::db_to_amplitude(level_dbfs) *
                              std::sin(2.0 * std::numbers::pi * ring_hz * time_s));
  }

  Seen& seen_;
  loop::SweepSignal signal_;
  std::vector<float> sent_;
  std::vector<float> block_ = std::vector<float>(kBlock);
  std::atomic<bool> is_playing_{false};
  std::size_t at_ = 0;
  std::size_t ring_samples_ = 0;
  double level_lin_ = 0.0;
};

template <typename Condition>
[[nodiscard]] bool waited_for(const Condition& is_so, std::chrono::seconds patience = 60s) {
  const auto end = std::chrono::steady_clock::now() + patience;
  while (!is_so()) {
    if (std::chrono::steady_clock::now() > end) {
      return false;
    }
    std::this_thread::sleep_for(5ms);
  }
  return true;
}

/// Steps until it is ready, and says how long it took, in samples heard.
std::size_t wait_until_ready(desk::SweepRun& run) {
  std::size_t heard = 0;
  do {
    heard += kBlock;
    REQUIRE(heard < static_cast<std::size_t>(60.0 * kRateHz));
  } while (run.step() != Phase::kReady);
  return heard;
}

std::string fault_of(desk::SweepRun& run) {
  try {
    for (int k = 0; k < 2000; ++k) {
      (void)run.step();
    }
  } catch (const base::Error& error) {
    return error.what();
  }
  return "";
}

}  // namespace

TEST_CASE("a sweep that was played to its end gives the response of its way") {
  Seen seen;
  WireWay way(seen);
  desk::SweepRun run(way);
  CHECK(wait_until_ready(run) == kHalfSecond);
  CHECK(seen.plays == 0);
  run.begin(-40.0);
  while (run.step() != Phase::kDone) {
    CHECK(run.progress() <= 1.0);
  }
  const desk::SweepTake take = run.take();
  CHECK(take.level_dbfs == -40.0);
  const loop::MeasuredLoop loop = desk::measure(take);
  // Half of what was sent, whose peak was at -40 dBFS: -46 dB; the fade at the sweep's ends and the
  // softened quotient of the spectra cost less than 0.1 dB from 100 Hz to 10 kHz.
  for (const loop::MeasuredBand& band : loop.bands) {
    if (band.centre_hz >= 100.0 && band.centre_hz <= 10000.0) {
      CHECK(band.level_db == doctest::Approx(-46.02).epsilon(0.1 / 46.0));
    }
  }
  REQUIRE(loop.starts_s.has_value());
  CHECK(*loop.starts_s + loop.direct_s == doctest::Approx(100.0 / kRateHz).epsilon(0.02));
}

TEST_CASE("a ring stops a sweep, also before it plays") {
  Seen seen;
  for (const bool is_begun : {false, true}) {
    WireWay way(seen);
    desk::SweepRun run(way);
    (void)wait_until_ready(run);
    if (is_begun) {
      run.begin(-40.0);
    }
    way.ring_hz = 1250.0;
    const int stops = seen.stops;
    const std::string fault = fault_of(run);
    CHECK(fault.find("rings at 12") != std::string::npos);
    CHECK(seen.stops == stops + 1);
    CHECK(run.phase() == Phase::kReady);
  }
}

TEST_CASE("lost samples spoil a recording, and nothing else") {
  Seen seen;
  WireWay way(seen);
  desk::SweepRun run(way);
  (void)wait_until_ready(run);
  run.begin(-40.0);
  way.loses_samples = true;
  CHECK(fault_of(run).find("samples were lost") != std::string::npos);
  CHECK(seen.stops == 1);
}

TEST_CASE("a sweep waits until no loss from before it can be told any more") {
  Seen seen;
  WireWay way(seen);
  desk::SweepRun run(way);
  (void)wait_until_ready(run);
  way.loses_samples = true;
  CHECK(run.step() == Phase::kStarting);
  way.loses_samples = false;
  CHECK(wait_until_ready(run) == kHalfSecond);
  // But not without end: what keeps losing is swept, and the sweep says so.
  way.loses_samples = true;
  CHECK(wait_until_ready(run) == static_cast<std::size_t>(3.0 * kRateHz));
  run.begin(-40.0);
  CHECK(fault_of(run).find("samples were lost") != std::string::npos);
}

TEST_CASE("a held sweep is silenced by the release itself, and drops what it recorded") {
  Seen seen;
  seen.pace = 2ms;
  desk::HeldSweep held([] {});
  const auto make = [&seen]() -> std::unique_ptr<desk::SweepWay> {
    return std::make_unique<WireWay>(seen);
  };
  for (int k = 1; k <= 5; ++k) {
    held.press(make, -40.0);
    REQUIRE(waited_for([&] { return held.state().progress > 0.02; }));
    const int stops = seen.stops;
    held.release();
    CHECK(seen.stops > stops);
    REQUIRE(waited_for([&] { return held.state().phase == Phase::kReady; }));
    CHECK(seen.plays == k);
    CHECK(held.state().was_released);
    CHECK_FALSE(held.take().has_value());
  }
  held.press(make, -40.0);
  std::optional<desk::SweepTake> take;
  REQUIRE(waited_for([&] { return (take = held.take()).has_value(); }));
  held.release();
  CHECK_FALSE(held.state().was_released);
  CHECK(take->heard.size() >= 2.9 * kRateHz);
  held.close();
  REQUIRE(waited_for([&] { return seen.is_gone.load(); }));
  CHECK_FALSE(held.state().is_open);
}

TEST_CASE("the simulated stage is swept while the key is held, and its brink foretold") {
  desk::Desk desk([] {});
  desk::SweepWork work([] {});
  const auto follow = [&] {
    desk.update();
    work.follow(desk, 1);
  };
  follow();
  CHECK(work.is_on_stage());
  CHECK(work.level_dbfs() == desk::kFirstSweepDbfs);
  CHECK(work.state() == State::kUnsaid);
  work.hold(true);  // nobody said that the way is shut
  work.hold(false);
  follow();
  CHECK(work.state() == State::kUnsaid);

  desk::SweepSettings settings = work.settings();
  settings.length_s = 1.0;
  settings.decay_s = 0.8;
  work.set(settings);
  work.say_shut(true);
  work.step_level(100);
  CHECK(work.level_dbfs() == desk::kSweepCeilingDbfs);
  work.step_level(-5);
  work.hold(true);
  REQUIRE(waited_for([&] {
    follow();
    return work.state() == State::kPlaying;
  }));
  work.hold(false);
  REQUIRE(waited_for([&] {
    follow();
    return work.state() == State::kReady;
  }));
  CHECK(work.fault().find("let go") == 0);
  CHECK_FALSE(work.report().has_value());

  // Whoever sees the release first silences it, before the face comes to its next pass.
  std::function<void()> silence;
  work.hold(true, [&](std::function<void()> call) { silence = std::move(call); });
  REQUIRE(waited_for([&] {
    follow();
    return work.state() == State::kPlaying;
  }));
  REQUIRE(silence);
  std::thread(silence).join();
  REQUIRE(waited_for([&] {
    follow();
    return work.state() == State::kReady;
  }));
  CHECK(work.fault().find("let go") == 0);
  work.hold(false);

  work.hold(true);
  REQUIRE(waited_for([&] {
    follow();
    return work.report().has_value();
  }));
  work.hold(false);
  const report::SweepReport& report = *work.report();
  CHECK(report.from == "stage");
  CHECK(report.level_dbfs == -30.0);
  CHECK(report.is_delay_known);
  // The stage's fader stands 12 dB under its brink.
  CHECK(report.forecast.stable_gain_db == doctest::Approx(12.0).epsilon(0.5 / 12.0));
  CHECK(report.won_least_db > 1.0);
  CHECK(work.phases_deg().size() == report.loop.bands.size());

  // Another equaliser: the same measurement, another plan.
  desk.set_target(desk::load_target("third-octave"));
  REQUIRE(waited_for([&] {
    follow();
    return work.report_count() == 2;
  }));
  CHECK(work.report()->plan.target.kind == cuts::Target::Kind::kGraphic);

  // Another stage is another loop.
  desk.use_stage(5);
  follow();
  CHECK_FALSE(work.report().has_value());
  CHECK_FALSE(work.is_shut());
}

TEST_CASE("what is said of a sweep is refused when it cannot be") {
  desk::SweepWork work([] {});
  desk::SweepSettings settings;
  settings.ceiling_dbfs = 0.0;
  CHECK_THROWS_WITH_AS(work.set(settings), "The ceiling is from -100 to -12 dBFS.", base::Error);
  settings = {};
  settings.known.console_delay_s = 2.0;
  CHECK_THROWS_WITH_AS(work.set(settings), "The console's delay is from 0 to 500 ms.", base::Error);
  settings = {};
  settings.length_s = std::nan("");
  CHECK_THROWS_AS(work.set(settings), base::Error);
  settings = {};
  settings.ceiling_dbfs = -50.0;
  work.set(settings);
  CHECK(work.level_dbfs() == -50.0);
}
