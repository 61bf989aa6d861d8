#include "listen/session.h"

#include <algorithm>
#include <atomic>
#include <chrono>
#include <thread>
#include <utility>

#include "base/denormals.h"
#include "base/ring_buffer.h"
#include "base/triple_buffer.h"
#include "listen/feed_watches.h"
#include "listen/input_teller.h"
#include "listen/pictures.h"
#include "listen/recording.h"
#include "listen/ring_teller.h"
#include "listen/tap_listener.h"
#include "listen/together.h"

namespace brink::listen {
namespace {

constexpr std::size_t kMostEvents = 4096;
/// Samples of each tap at a time: a face is fresh after one such block, and a file is read in few.
constexpr std::size_t kLiveBlockSamples = 1024;
constexpr std::size_t kFileBlockSamples = 4096;
constexpr double kMostBridgedS = 10.0;
constexpr double kSilentNewsS = 0.5;
constexpr std::chrono::milliseconds kFullPause(1);

bool is_output(int tap, const SessionConfig& config) {
  return std::find(config.outputs.begin(), config.outputs.end(), tap) != config.outputs.end();
}

std::vector<TapListener> make_listeners(const io::Source& source, const SessionConfig& config) {
  std::vector<TapListener> listeners;
  listeners.reserve(source.taps().size());
  for (const int tap : source.taps()) {
    listeners.emplace_back(tap, source.sample_rate_hz(), config.sure);
    // A loudspeaker's feed has all that goes to it: from it alone no loop can be told.
    if (listeners.size() <= config.forecasts && !is_output(tap, config)) {
      listeners.back().foresee();
    }
    if (const auto known = config.calibrations.find(tap); known != config.calibrations.end()) {
      listeners.back().measure_sound(known->second);
    }
  }
  return listeners;
}

std::vector<taps::TapInfo> tap_infos(const io::Source& source, const SessionConfig& config) {
  std::vector<taps::TapInfo> infos;
  for (const int tap : source.taps()) {
    infos.push_back(
        {tap, is_output(tap, config) ? taps::TapRole::kOutput : taps::TapRole::kMicrophone});
  }
  return infos;
}

Snapshot first_snapshot(const std::vector<TapListener>& listeners) {
  Snapshot snapshot;
  for (const TapListener& listener : listeners) {
    TapSnapshot tap;
    tap.tap = listener.tap();
    tap.level = listener.monitor().level();
    snapshot.taps.push_back(std::move(tap));
  }
  if (snapshot.taps.size() > 1) {
    put_together(snapshot.taps, snapshot.together);
  }
  return snapshot;
}

}  // namespace

struct Session::State {
  State(std::unique_ptr<io::Source> from, SessionConfig session_config);

  // The analysis thread's.
  void run();
  void take_in(const io::SourceReading& reading);
  void hear(std::size_t sample_count);
  void lose(std::int64_t sample_count);
  void change_health(io::InputHealth health);
  void watch_silence();
  void break_off();
  void collect();
  void send(show::SessionEvent event);
  void send(std::optional<show::SessionEvent> event);
  [[nodiscard]] std::optional<show::SoundLevels> sound_at(int tap) const noexcept;
  void publish();
  [[nodiscard]] bool is_news() const;

  [[nodiscard]] double stream_s() const {
    return static_cast<double>(samples) / source->sample_rate_hz();
  }

  std::unique_ptr<io::Source> source;
  SessionConfig config;
  std::vector<TapListener> listeners;
  FeedWatches feeds;
  taps::TapRings rings;
  RingTeller teller;
  InputTeller input;
  std::optional<Recording> recording;
  std::vector<float> mixed;                   // as the source has it
  std::vector<std::vector<float>> apart;      // tap by tap
  std::vector<std::span<const float>> block;  // what of `apart` is filled
  std::int64_t samples = 0;
  std::int64_t lost_samples = 0;
  std::int64_t waiting_samples = 0;
  std::int64_t lost_events = 0;
  std::uint64_t serial = 0;
  std::int64_t told_samples = 0;  // when on_news was called last
  std::uint64_t told_events = 0;

  // Between the threads.
  base::OwnedRingBuffer<show::SessionEvent> events{kMostEvents};
  base::TripleBuffer<Snapshot> snapshots;
  static constexpr std::size_t kAllTaps = static_cast<std::size_t>(-1);
  std::atomic<std::size_t> shown_tap{kAllTaps};
  std::atomic<bool> is_stopping{false};
  std::atomic<bool> is_over{false};
  std::jthread thread;  // last: it uses all of the above
};

Session::State::State(std::unique_ptr<io::Source> from, SessionConfig session_config)
    : source(std::move(from)),
      config(std::move(session_config)),
      listeners(make_listeners(*source, config)),
      feeds(source->sample_rate_hz(), source->taps(), config.outputs, config.forecasts),
      rings(source->sample_rate_hz(), tap_infos(*source, config)),
      teller(source->sample_rate_hz()),
      input(source->taps()),
      snapshots(first_snapshot(listeners)) {
  const std::size_t taps = listeners.size();
  const std::size_t block_samples = source->is_live() ? kLiveBlockSamples : kFileBlockSamples;
  mixed.resize(taps * block_samples);
  apart.assign(taps, std::vector<float>(block_samples));
  block.resize(taps);
  if (!config.record_path.empty()) {
    recording.emplace(config.record_path, source->sample_rate_hz(), taps);
  }
}

void Session::State::run() {
  const base::NoDenormals no_denormals;
  bool is_at_end = false;
  while (!is_at_end && !is_stopping.load(std::memory_order_relaxed)) {
    const io::SourceReading reading = source->read(mixed);
    take_in(reading);
    is_at_end = reading.is_over;
  }
  for (TapListener& listener : listeners) {
    listener.finish();
  }
  feeds.finish();
  collect();
  if (recording) {
    recording->close();
  }
  publish();
  is_over.store(true, std::memory_order_release);
  if (config.on_news) {
    config.on_news();
  }
}

void Session::State::take_in(const io::SourceReading& reading) {
  const std::uint64_t written = events.written();
  waiting_samples = reading.waiting_samples;
  if (reading.lost_samples > 0) {
    lose(reading.lost_samples);
  }
  if (reading.samples > 0) {
    hear(reading.samples);
  }
  send(input.take_gaps(reading.gap_reports, stream_s()));
  change_health(reading.health);
  if (reading.samples > 0 || events.written() != written) {
    publish();
  }
}

void Session::State::hear(std::size_t sample_count) {
  const std::size_t taps = listeners.size();
  for (std::size_t t = 0; t < taps; ++t) {
    for (std::size_t i = 0; i < sample_count; ++i) {
      apart[t][i] = mixed[i * taps + t];
    }
    block[t] = std::span(apart[t]).first(sample_count);
  }
  if (recording) {
    recording->write(block);
  }
  for (std::size_t t = 0; t < taps; ++t) {
    listeners[t].push(block[t]);
  }
  feeds.push(block);
  samples += static_cast<std::int64_t>(sample_count);
  rings.hear(block);
  collect();
  if (source->is_live()) {
    watch_silence();
  }
}

void Session::State::lose(std::int64_t sample_count) {
  lost_samples += sample_count;
  show::SessionEvent event;
  event.kind = show::EventKind::kSamplesLost;
  event.lost_samples = sample_count;
  send(event);
  if (static_cast<double>(sample_count) > kMostBridgedS * source->sample_rate_hz()) {
    break_off();
    return;
  }
  for (TapListener& listener : listeners) {
    listener.push_lost(sample_count);
  }
  feeds.reset();
  if (recording) {
    recording->write_lost(sample_count);
  }
  samples += sample_count;
  rings.hear_silence(static_cast<std::size_t>(sample_count));
  collect();
}

void Session::State::change_health(io::InputHealth health) {
  const std::optional<show::SessionEvent> event = input.take_health(health);
  if (event && event->kind == show::EventKind::kInputLost) {
    break_off();
  }
  send(event);
}

void Session::State::watch_silence() {
  for (std::size_t t = 0; t < listeners.size(); ++t) {
    send(input.take_silence(t, listeners[t].monitor().is_silent()));
  }
}

void Session::State::break_off() {
  for (TapListener& listener : listeners) {
    listener.break_off();
  }
  feeds.reset();
  collect();
  rings.break_off();
}

/// The events of the stage in the order of stream time, whatever the blocks.
void Session::State::collect() {
  for (std::size_t t = 0; t < listeners.size(); ++t) {
    for (const detector::RingEvent& event : listeners[t].events()) {
      rings.take(t, event);
    }
    listeners[t].clear_events();
  }
  for (const taps::TapRingEvent& event : rings.settle()) {
    show::SessionEvent told = teller.tell(event);
    told.sound = sound_at(told.heard_tap);
    send(told);
  }
}

/// At the microphone of that tap; nothing where it is not calibrated.
std::optional<show::SoundLevels> Session::State::sound_at(int tap) const noexcept {
  const auto listener = std::find_if(listeners.begin(),
                                     listeners.end(),
                                     [tap](const TapListener& one) { return one.tap() == tap; });
  return listener == listeners.end() ? std::nullopt : listener->sound_levels();
}

void Session::State::send(show::SessionEvent event) {
  event.wall = std::chrono::system_clock::now();
  if (!show::is_of_ring(event.kind)) {
    event.stream_s = stream_s();
  }
  while (!events.push(event)) {
    if (source->is_live() || is_stopping.load(std::memory_order_relaxed)) {
      ++lost_events;
      return;
    }
    std::this_thread::sleep_for(kFullPause);
  }
}

void Session::State::send(std::optional<show::SessionEvent> event) {
  if (event) {
    send(*event);
  }
}

void Session::State::publish() {
  Snapshot& snapshot = snapshots.back();
  snapshot.serial = ++serial;
  snapshot.samples = samples;
  snapshot.health = input.health();
  snapshot.lost_samples = lost_samples;
  snapshot.gap_reports = input.gap_reports();
  snapshot.late_s = static_cast<double>(waiting_samples) / source->sample_rate_hz();
  snapshot.lost_events = lost_events;
  for (std::size_t t = 0; t < listeners.size(); ++t) {
    TapSnapshot& tap = snapshot.taps[t];
    tap.level = listeners[t].monitor().level();
    tap.sound = listeners[t].sound_levels();
    tap.counts = listeners[t].counts();
    const int original = rings.copies().copy_of(t);
    tap.copy_of = original < 0 ? 0 : listeners[static_cast<std::size_t>(original)].tap();
    tap.forecast = feeds.forecast(t, listeners[t].forecast());
  }
  if (config.has_pictures) {
    draw_tracks(listeners, rings, snapshot.taps);
  }
  if (snapshot.taps.size() > 1) {
    put_together(snapshot.taps, snapshot.together);
  }
  if (config.has_pictures) {
    draw_spectrum(listeners, shown_tap.load(std::memory_order_relaxed), snapshot);
  }
  snapshots.publish();
  if (config.on_news && is_news()) {
    told_samples = samples;
    told_events = events.written();
    config.on_news();
  }
}

/// Of exact zeros on every tap a face hears now and then, for its clock: nothing else changes.
bool Session::State::is_news() const {
  const auto pause = static_cast<std::int64_t>(kSilentNewsS * source->sample_rate_hz());
  return !input.is_all_silent() || events.written() != told_events ||
         samples - told_samples >= pause;
}

Session::Session(std::unique_ptr<io::Source> source, const SessionConfig& config)
    : state_(std::make_unique<State>(std::move(source), config)) {
  state_->thread = std::jthread([this] { state_->run(); });
}

Session::~Session() {
  stop();
}

const std::string& Session::source_name() const noexcept {
  return state_->source->name();
}

double Session::sample_rate_hz() const noexcept {
  return state_->source->sample_rate_hz();
}

const std::vector<int>& Session::taps() const noexcept {
  return state_->source->taps();
}

std::span<const float> Session::spectrum_hz() const noexcept {
  return state_->listeners.front().detector().spectrum_hz();
}

void Session::stop() noexcept {
  state_->is_stopping.store(true, std::memory_order_relaxed);
}

bool Session::is_over() const noexcept {
  return state_->is_over.load(std::memory_order_acquire);
}

std::size_t Session::take_events(std::span<show::SessionEvent> events) noexcept {
  return state_->events.pull(events);
}

void Session::show_tap(std::optional<std::size_t> index) noexcept {
  state_->shown_tap.store(index.value_or(State::kAllTaps), std::memory_order_relaxed);
}

const Snapshot& Session::newest() noexcept {
  return state_->snapshots.newest();
}

std::optional<std::string> Session::recording_fault() const {
  return state_->recording ? state_->recording->fault() : std::nullopt;
}

}  // namespace brink::listen
