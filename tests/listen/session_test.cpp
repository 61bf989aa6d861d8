#include "listen/session.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <atomic>
#include <chrono>
#include <cmath>
#include <deque>
#include <filesystem>
#include <numbers>
#include <random>
#include <thread>
#include <utility>

#include "base/error.h"
#include "io/file_source.h"
#include "listen/analysis.h"
#include "support/files.h"
#include "support/sounds.h"

using namespace brink;
using io::InputHealth;
using listen::Session;
using show::EventKind;
using show::SessionEvent;

namespace {

constexpr double kRateHz = 48000.0;

/// One reading of a scripted source; `sound` holds its samples, taps in turn.
struct Step {
  std::vector<float> sound;
  std::int64_t lost_samples = 0;
  std::int64_t gap_reports = 0;
  InputHealth health = InputHealth::kRunning;
  std::int64_t waiting_samples = 0;
};

/// Gives what the test wrote down, then is over.
class ScriptedSource final : public io::Source {
 public:
  ScriptedSource(std::vector<int> taps, bool is_live, std::deque<Step> steps)
      : taps_(std::move(taps)), is_live_(is_live), steps_(std::move(steps)) {}

  [[nodiscard]] const std::string& name() const noexcept override { return name_; }

  [[nodiscard]] double sample_rate_hz() const noexcept override { return kRateHz; }

  [[nodiscard]] const std::vector<int>& taps() const noexcept override { return taps_; }

  [[nodiscard]] bool is_live() const noexcept override { return is_live_; }

  [[nodiscard]] io::SourceReading read(std::span<float> samples) override {
    io::SourceReading reading;
    reading.waiting_samples = waiting_samples_;
    if (steps_.empty()) {
      reading.is_over = true;
      return reading;
    }
    Step& step = steps_.front();
    reading.lost_samples = std::exchange(step.lost_samples, 0);
    reading.gap_reports = std::exchange(step.gap_reports, 0);
    reading.health = step.health;
    reading.waiting_samples = waiting_samples_ = step.waiting_samples;
    reading.samples = std::min(samples.size(), step.sound.size() - at_) / taps_.size();
    const auto count = static_cast<std::ptrdiff_t>(reading.samples * taps_.size());
    std::copy_n(step.sound.begin() + static_cast<std::ptrdiff_t>(at_), count, samples.begin());
    at_ += static_cast<std::size_t>(count);
    if (at_ == step.sound.size()) {
      at_ = 0;
      steps_.pop_front();
    }
    return reading;
  }

 private:
  std::string name_ = "script";
  std::vector<int> taps_;
  bool is_live_;
  std::deque<Step> steps_;
  std::size_t at_ = 0;  // in the first step's sound
  std::int64_t waiting_samples_ = 0;
};

/// Another source that sends nothing until the test lets it.
class HeldSource final : public io::Source {
 public:
  HeldSource(std::unique_ptr<io::Source> source, std::atomic<bool>& is_free)
      : source_(std::move(source)), is_free_(is_free) {}

  [[nodiscard]] const std::string& name() const noexcept override { return source_->name(); }

  [[nodiscard]] double sample_rate_hz() const noexcept override {
    return source_->sample_rate_hz();
  }

  [[nodiscard]] const std::vector<int>& taps() const noexcept override { return source_->taps(); }

  [[nodiscard]] bool is_live() const noexcept override { return source_->is_live(); }

  [[nodiscard]] io::SourceReading read(std::span<float> samples) override {
    is_free_.wait(false);
    return source_->read(samples);
  }

 private:
  std::unique_ptr<io::Source> source_;
  std::atomic<bool>& is_free_;
};

std::unique_ptr<io::Source> script(std::vector<int> taps, bool is_live, std::deque<Step> steps) {
  return std::make_unique<ScriptedSource>(std::move(taps), is_live, std::move(steps));
}

std::vector<SessionEvent> all_events(Session& session) {
  std::vector<SessionEvent> all;
  std::vector<SessionEvent> some(16);
  bool is_over = false;
  while (!is_over) {
    is_over = session.is_over();  // asked first: then what waits is all there will be
    std::size_t count = 0;
    while ((count = session.take_events(some)) > 0) {
      all.insert(all.end(), some.begin(), some.begin() + static_cast<std::ptrdiff_t>(count));
    }
    std::this_thread::sleep_for(std::chrono::milliseconds(1));
  }
  return all;
}

std::vector<SessionEvent> of_kind(const std::vector<SessionEvent>& events, EventKind kind) {
  std::vector<SessionEvent> found;
  std::copy_if(events.begin(), events.end(), std::back_inserter(found), [&](const auto& event) {
    return event.kind == kind;
  });
  return found;
}

std::vector<float> noise(double length_s, std::uint32_t seed = 1) {
  return tests::white_noise(length_s, kRateHz, -50.0, seed);
}

std::vector<float> ring_sound() {
  return tests::RingSound{}.samples();
}

/// Two channels in turn.
std::vector<float> weave(const std::vector<float>& a, const std::vector<float>& b) {
  std::vector<float> both;
  for (std::size_t i = 0; i < a.size(); ++i) {
    both.push_back(a[i]);
    both.push_back(b[i]);
  }
  return both;
}

}  // namespace

TEST_SUITE_BEGIN("threads");  // what preset tsan-short looks at

TEST_CASE("a ring on one of two taps is handed out with its tap and its cut") {
  Session session(
      script({2, 5}, false, {Step{weave(noise(6.0), ring_sound()), 0, 0, InputHealth::kRunning}}));
  CHECK(session.taps() == std::vector<int>{2, 5});
  const auto events = all_events(session);
  const auto certain = of_kind(events, EventKind::kRinging);
  REQUIRE(certain.size() == 1);
  CHECK(certain[0].tap == 5);
  CHECK(certain[0].ring.frequency_hz == doctest::Approx(1000.0).epsilon(0.001));
  REQUIRE(certain[0].cut.has_value());
  CHECK(certain[0].cut->depth_db < 0.0);
  CHECK(certain[0].stream_s > 0.6);  // at -96 dBFS it lies under the bed for any window
  CHECK(certain[0].stream_s < 2.8);  // and is at its height by then
  CHECK(of_kind(events, EventKind::kGone).size() == 1);
  CHECK(std::is_sorted(events.begin(), events.end(), [](const auto& a, const auto& b) {
    return a.stream_s < b.stream_s;
  }));

  const listen::Snapshot& last = session.newest();
  CHECK(last.samples == 6 * 48000);
  REQUIRE(last.taps.size() == 2);
  CHECK(last.taps[1].tap == 5);
  CHECK(last.taps[1].counts.samples == 6 * 48000);
  CHECK(last.together.spectrum_dbfs.size() == session.spectrum_hz().size());
}

TEST_CASE("a session and an analysis of the same file find the same rings at the same times") {
  const tests::TemporaryDirectory dir;
  const std::string path = dir / "two.wav";
  tests::RingSound second;
  second.frequency_hz = 330.0;
  second.seed = 5;
  {
    io::SoundWriter writer(path, kRateHz, 2, io::SampleFormat::kFloat);
    const std::vector<float> one = ring_sound();
    const std::vector<float> two = second.samples();
    const std::array<std::span<const float>, 2> block{one, two};
    writer.write(block);
    writer.close();
  }
  io::SoundReader reader(path);
  const listen::Analysis analysis = listen::analyse(reader, {}, {});
  Session session(std::make_unique<io::FileSource>(path));
  const auto gone = of_kind(all_events(session), EventKind::kGone);
  REQUIRE(analysis.rings.size() == 2);
  for (const listen::FoundRing& found : analysis.rings) {
    const auto same = std::find_if(gone.begin(), gone.end(), [&](const SessionEvent& event) {
      return event.tap == found.channel && event.ring.id == found.ring.id;
    });
    REQUIRE(same != gone.end());
    CHECK(same->ring.frequency_hz == found.ring.frequency_hz);
    CHECK(same->ring.flagged_sample == found.ring.flagged_sample);
    CHECK(same->ring.onset_sample == found.ring.onset_sample);
    CHECK(same->ring.ended_sample == found.ring.ended_sample);
    CHECK(same->ring.growth_db_per_s == found.ring.growth_db_per_s);
    CHECK(same->cut == found.cut);
  }
}

TEST_CASE("a lost input ends the rings, and the stream goes on when it is back") {
  const std::vector<float> sound = ring_sound();
  const std::vector<float> half(sound.begin(), sound.begin() + 144000);
  Session session(script({1},
                         true,
                         {Step{half, 0, 0, InputHealth::kRunning},
                          Step{{}, 0, 0, InputHealth::kFrozen},
                          Step{{}, 0, 0, InputHealth::kVanished},
                          Step{{}, 0, 0, InputHealth::kRunning},
                          Step{noise(1.0), 0, 0, InputHealth::kRunning},
                          Step{sound, 0, 0, InputHealth::kRunning}}));
  const auto events = all_events(session);
  auto gone = of_kind(events, EventKind::kGone);
  gone.erase(std::remove_if(gone.begin(), gone.end(), [](const auto& e) { return !e.cut; }),
             gone.end());  // those that never were certain
  const auto lost = of_kind(events, EventKind::kInputLost);
  const auto back = of_kind(events, EventKind::kInputBack);
  // Once before and once after, at the same distance from the start of its stretch.
  REQUIRE(gone.size() == 2);
  REQUIRE(lost.size() == 1);  // what it turns into while it is lost is no news
  REQUIRE(back.size() == 1);
  CHECK(lost[0].reason == show::LossReason::kFrozen);
  CHECK(lost[0].tap == SessionEvent::kAllTaps);
  CHECK(gone[0].stream_s == 3.0);
  CHECK(lost[0].stream_s == 3.0);
  CHECK(back[0].stream_s == 3.0);
  CHECK(gone[1].ring.id > gone[0].ring.id);
  CHECK(std::abs(gone[1].ring.flagged_sample - gone[0].ring.flagged_sample - 192000) < 4800);
  CHECK(session.newest().samples == 10 * 48000);
  CHECK(session.newest().taps[0].counts.samples == 10 * 48000);
  CHECK(session.newest().health == InputHealth::kRunning);
}

TEST_CASE("exact zeros on one tap of a live input are said, and that they end") {
  const std::vector<float> silent(48000, 0.0F);
  Session session(script({1, 2},
                         true,
                         {Step{weave(noise(1.0), silent), 0, 0, InputHealth::kRunning},
                          Step{weave(noise(1.0), noise(1.0, 2)), 0, 0, InputHealth::kRunning}}));
  const auto events = all_events(session);
  REQUIRE(events.size() == 2);
  CHECK(events[0].kind == EventKind::kInputLost);
  CHECK(events[0].reason == show::LossReason::kZeros);
  CHECK(events[0].tap == 2);
  CHECK(events[0].stream_s >= 0.5);
  CHECK(events[0].stream_s < 0.6);
  CHECK(events[1].kind == EventKind::kInputBack);
  CHECK(events[1].tap == 2);
  CHECK(events[1].stream_s < 1.1);
}

TEST_CASE(
    "a live input that sends exact zeros wakes its face twice a second, sound at every block") {
  for (const bool has_sound : {false, true}) {
    std::vector<float> sound(static_cast<std::size_t>(10.0 * kRateHz), 0.0F);
    if (has_sound) {
      sound = noise(10.0);
    }
    std::atomic<int> news{0};
    listen::SessionConfig config;
    config.on_news = [&news] { ++news; };
    Session session(script({1}, true, {{sound}}), config);
    static_cast<void>(all_events(session));
    CAPTURE(has_sound);
    if (has_sound) {
      CHECK(news >= 400);  // blocks are no longer than 25 ms
    } else {
      // At every block of the first half second, then twice a second, and at the end.
      CHECK(news >= 20 + 19);
      CHECK(news <= 100 + 20);
    }
    CHECK(session.newest().samples == static_cast<std::int64_t>(sound.size()));
  }
}

TEST_CASE("a recording may be silent without losing its input") {
  Session session(
      script({1}, false, {Step{std::vector<float>(96000, 0.0F), 0, 0, InputHealth::kRunning}}));
  CHECK(all_events(session).empty());
  CHECK(session.newest().taps[0].level.is_silent);
}

TEST_CASE("lost samples are said and counted, and stream time and recording go on") {
  const tests::TemporaryDirectory dir;
  listen::SessionConfig config;
  config.record_path = dir / "kept.wav";
  std::int64_t written = 0;
  {
    Session session(script({1},
                           true,
                           {Step{noise(1.0), 0, 0, InputHealth::kRunning},
                            Step{noise(1.0, 2), 4800, 0, InputHealth::kRunning},
                            Step{{}, 0, 3, InputHealth::kRunning},
                            Step{{}, 0, 2, InputHealth::kRunning}}),
                    config);
    const auto events = all_events(session);
    REQUIRE(events.size() == 2);  // the second report comes too soon after the first
    CHECK(events[0].kind == EventKind::kSamplesLost);
    CHECK(events[0].lost_samples == 4800);
    CHECK(events[0].stream_s == 1.0);
    CHECK(events[1].lost_samples == SessionEvent::kUnknownCount);
    CHECK(session.newest().samples == 2 * 48000 + 4800);
    CHECK(session.newest().lost_samples == 4800);
    CHECK(session.newest().gap_reports == 5);
    CHECK(session.newest().late_s == 0.0);
    written = session.newest().samples;
  }
  io::SoundReader reader(config.record_path);
  CHECK(reader.promised_samples() == written);
}

TEST_CASE("there is one spectrum: of the tap that is shown, or the loudest of all") {
  const std::vector<float> sound = weave(ring_sound(), noise(6.0));
  std::vector<std::vector<float>> spectra;
  for (const std::optional<std::size_t> shown : {std::optional<std::size_t>(),
                                                 std::optional<std::size_t>(0),
                                                 std::optional<std::size_t>(1)}) {
    std::atomic<bool> is_free{false};
    Session session(std::make_unique<HeldSource>(script({1, 2}, false, {Step{sound}}), is_free));
    session.show_tap(shown);
    is_free = true;
    is_free.notify_one();
    static_cast<void>(all_events(session));
    const listen::Snapshot& last = session.newest();
    CHECK(last.together.spectrum_dbfs.empty() == shown.has_value());
    CHECK(last.taps[0].spectrum_dbfs.empty() == (shown != std::size_t{0}));
    CHECK(last.taps[1].spectrum_dbfs.empty() == (shown != std::size_t{1}));
    spectra.push_back(shown ? last.taps[*shown].spectrum_dbfs : last.together.spectrum_dbfs);
    REQUIRE(spectra.back().size() == session.spectrum_hz().size());
  }
  CHECK(spectra[1] != spectra[2]);
  for (std::size_t k = 0; k < spectra[0].size(); ++k) {
    CHECK(spectra[0][k] == std::max(spectra[1][k], spectra[2][k]));
  }
}

TEST_CASE("a face that draws nothing gets levels without spectra and tracks") {
  listen::SessionConfig config;
  config.has_pictures = false;
  Session session(script({1, 2}, false, {Step{weave(noise(6.0), ring_sound())}}), config);
  CHECK(!of_kind(all_events(session), EventKind::kRinging).empty());
  for (const listen::TapSnapshot& tap : session.newest().taps) {
    CHECK(tap.level.peak_dbfs > -100.0);
    CHECK(tap.spectrum_dbfs.empty());
    CHECK(tap.tracks.empty());
  }
}

TEST_CASE("what waits to be heard is told as the time by which a session is late") {
  Session session(script({1, 2}, true, {Step{noise(2.0), 0, 0, InputHealth::kRunning, 72000}}));
  CHECK(all_events(session).empty());
  CHECK(session.newest().samples == 48000);
  CHECK(session.newest().late_s == 1.5);
}

TEST_CASE("a recording holds what was heard, bit for bit") {
  const tests::TemporaryDirectory dir;
  listen::SessionConfig config;
  config.record_path = dir / "kept.wav";
  const std::vector<float> one = noise(1.3);
  const std::vector<float> two = noise(1.3, 2);
  {
    Session session(script({1, 2}, true, {Step{weave(one, two), 0, 0, InputHealth::kRunning}}),
                    config);
    all_events(session);
    CHECK_FALSE(session.recording_fault().has_value());
  }
  io::SoundReader reader(config.record_path);
  REQUIRE(reader.channels() == 2);
  std::size_t index = 0;
  bool is_exact = true;
  while (reader.next_block()) {
    for (std::size_t i = 0; i < reader.channel(0).size(); ++i, ++index) {
      is_exact =
          is_exact && reader.channel(0)[i] == one[index] && reader.channel(1)[i] == two[index];
    }
  }
  CHECK(is_exact);
  CHECK(index == one.size());
}

TEST_CASE("a recording that cannot begin is refused, one that breaks off ends alone") {
  listen::SessionConfig config;
  config.record_path = "kept.flac";
  CHECK_THROWS_AS(Session(script({1}, true, {}), config), base::Error);
  config.record_path = "/nonexistent/kept.wav";
  CHECK_THROWS_AS(Session(script({1}, true, {}), config), base::Error);
}

TEST_CASE("events that nobody takes in time are counted when the input has a pace of its own") {
  std::deque<Step> steps;
  for (int i = 0; i < 3000; ++i) {
    steps.push_back(Step{{}, 0, 0, InputHealth::kVanished});
    steps.push_back(Step{{}, 0, 0, InputHealth::kRunning});
  }
  Session session(script({1}, true, std::move(steps)));
  while (!session.is_over()) {
    std::this_thread::sleep_for(std::chrono::milliseconds(1));
  }
  CHECK(session.newest().lost_events == 6000 - 4096);
  CHECK(all_events(session).size() == 4096);
}

TEST_CASE("a source without a pace waits until its events are taken") {
  std::deque<Step> steps;
  for (int i = 0; i < 3000; ++i) {
    steps.push_back(Step{{}, 0, 0, InputHealth::kVanished});
    steps.push_back(Step{{}, 0, 0, InputHealth::kRunning});
  }
  Session session(script({1}, false, std::move(steps)));
  CHECK(all_events(session).size() == 6000);
  CHECK(session.newest().lost_events == 0);
}

TEST_CASE("a session stops when asked, whoever reads it or not") {
  std::atomic<int> news{0};
  listen::SessionConfig config;
  config.on_news = [&] { ++news; };
  Session session(script({1}, true, {Step{noise(600.0), 0, 0, InputHealth::kRunning}}), config);
  std::int64_t last = 0;
  while (last < 48000) {  // a face that looks as fast as it can
    const listen::Snapshot& snapshot = session.newest();
    REQUIRE(snapshot.samples >= last);
    last = snapshot.samples;
  }
  session.stop();
  while (!session.is_over()) {
    std::this_thread::sleep_for(std::chrono::milliseconds(1));
  }
  CHECK(session.newest().samples < 600 * 48000);
  CHECK(news > 1);
}

TEST_SUITE_END();

TEST_CASE("a ring that is gone has the cut that an analysis of the same sound gives it") {
  const tests::TemporaryDirectory directory;
  std::size_t compared = 0;
  std::size_t unsure = 0;
  // Rings that grow at 200 dB/s and stop: the shorter, the less sure. A cut for the slope alone
  // would be deep.
  for (const double length_s : {0.3, 0.32, 0.35, 0.5}) {
    tests::RawWav wav;
    std::mt19937 random(1);
    std::normal_distribution<float> noise(0.0F, 0.001F);
    for (int n = 0; n < 4 * 48000; ++n) {
      const double since_s = n / kRateHz - 2.0;
      const double level_dbfs = std::min(-60.0 + 200.0 * since_s, -6.0);
      const double tone =
          std::pow(10.0, level_dbfs / 20.0) * std::sin(2.0 * std::numbers::pi * 1000.0 * since_s);
      const bool sounds = since_s >= 0.0 && since_s < length_s;
      wav.samples.push_back(noise(random) + (sounds ? static_cast<float>(tone) : 0.0F));
    }
    const std::string path = directory / "short.wav";
    tests::write_bytes(path, wav.bytes());
    io::SoundReader reader(path);
    const listen::Analysis analysis = listen::analyse(reader, {}, nullptr);
    Session session(std::make_unique<io::FileSource>(path), {});
    const auto gone = of_kind(all_events(session), EventKind::kGone);
    for (const listen::FoundRing& found : analysis.rings) {
      const auto live = std::find_if(gone.begin(), gone.end(), [&](const SessionEvent& event) {
        return event.ring.onset_sample == found.ring.onset_sample;
      });
      REQUIRE(live != gone.end());
      REQUIRE(live->cut.has_value());
      INFO(length_s << " s, sure " << found.ring.confidence);
      CHECK(live->cut->depth_db == found.cut.depth_db);
      CHECK(live->cut->q == found.cut.q);
      ++compared;
      unsure += found.ring.confidence < 0.45 ? 1 : 0;
    }
  }
  CHECK(unsure > 0);
  CHECK(compared > unsure);
}
