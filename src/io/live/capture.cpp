#include "io/live/capture.h"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <optional>
#include <thread>
#include <utility>

#include "base/error.h"
#include "io/live/capture_child.h"
#include "io/live/capture_memory.h"
#include "io/live/child_process.h"
#include "io/sound_file.h"

namespace brink::io {
namespace {

using base::Error;
using Clock = std::chrono::steady_clock;
using std::chrono::milliseconds;

/// An input without a block for this long is frozen. Blocks come every 1 to 100 ms. The user must
/// be told of a loss within a second.
constexpr milliseconds kFrozenAfter(600);
/// A sound server may take more than a second before the first block.
constexpr milliseconds kFirstBlockWithin(2500);
/// A frozen input has this long to go on before it is opened again.
constexpr milliseconds kThawWithin(3000);
constexpr milliseconds kStartWithin(8000);
constexpr milliseconds kPause(400);  // between two tries
/// If two looks are further apart than this, this process was stopped, and the child's state is
/// old.
constexpr milliseconds kOwnPause(300);
/// The child's callback must not wake us, since that would be a system call. So we look for samples
/// ourselves. This pause is shorter than a block of 256 samples at 48 kHz.
constexpr milliseconds kLookPause(4);
constexpr int kPatienceMs = 1300;  // the child takes up to a second to close the stream

void check(const CaptureConfig& config) {
  const bool are_legal =
      !config.taps.empty() && config.taps.size() <= kMostTaps && config.taps.front() >= 1 &&
      std::adjacent_find(config.taps.begin(), config.taps.end(), std::greater_equal<>()) ==
          config.taps.end();
  if (!are_legal) {
    throw Error(fmt::format("The channels to listen to must be 1 to {} different numbers from 1.",
                            kMostTaps));
  }
  if (config.channels != 0 && config.channels < config.taps.back()) {
    throw Error(fmt::format(
        "Channel {} was asked for, out of only {}.", config.taps.back(), config.channels));
  }
  const bool is_rate = config.sample_rate_hz == 0.0 || (config.sample_rate_hz >= kLowestRateHz &&
                                                        config.sample_rate_hz <= kHighestRateHz);
  if (!is_rate) {
    throw Error(fmt::format("A sample rate of {:g} Hz was asked for; brink takes {:.0f} to {:.0f}.",
                            config.sample_rate_hz,
                            kLowestRateHz,
                            kHighestRateHz));
  }
}

CaptureRequest to_request(const CaptureConfig& config) {
  CaptureRequest request;
  put_text(request.input, config.input);
  request.sample_rate_hz = config.sample_rate_hz;
  request.channel_count = static_cast<std::uint32_t>(std::max(config.channels, config.taps.back()));
  request.tap_count = static_cast<std::uint32_t>(config.taps.size());
  std::transform(config.taps.begin(), config.taps.end(), request.channels.begin(), [](int tap) {
    return static_cast<std::uint32_t>(tap - 1);
  });
  return request;
}

/// One run of the capture child, and the memory shared with it.
class Attempt {
 public:
  Attempt(const std::string& program, const CaptureRequest& request)
      : memory_(request),
        child_(program, {kCaptureChildCommand}, memory_.descriptor(), false),
        samples_(memory_.samples()),
        gaps_(memory_.gaps()),
        started_(Clock::now()),
        last_look_(started_),
        last_block_(started_) {}

  [[nodiscard]] CaptureHeader& header() const { return memory_.header(); }

  [[nodiscard]] CapturePhase phase() const {
    return header().phase.load(std::memory_order_acquire);
  }

  [[nodiscard]] bool is_late() const { return Clock::now() - started_ > kStartWithin; }

  [[nodiscard]] bool is_alive() { return child_.is_running(); }

  [[nodiscard]] bool has_blocks() const { return header().block_count.load() > 0; }

  /// False while the source that our ports were joined to is not there.
  [[nodiscard]] bool is_joined() const { return header().is_joined.load(); }

  void take(std::span<float> samples, SourceReading& reading);
  /// Leaves out what came while no source was there.
  void discard();

  [[nodiscard]] bool is_drained() const { return samples_.available() == 0; }

  /// For how long no block has come. It must be asked often.
  [[nodiscard]] Clock::duration silence();

  /// Samples that were lost and not reported, because no sample came after them.
  [[nodiscard]] std::int64_t untold_samples() const {
    return static_cast<std::int64_t>(header().lost_samples.load()) - told_samples_;
  }

  void stop() { child_.stop(kPatienceMs); }

  /// Ends the run at once, and keeps for the next one what our ports were joined to.
  void end(CaptureRequest& next);

 private:
  CaptureMemory memory_;
  ChildProcess child_;
  base::RingBuffer<float> samples_;
  base::RingBuffer<SampleGap> gaps_;
  Clock::time_point started_;
  Clock::time_point last_look_;
  Clock::time_point last_block_;
  std::uint64_t block_count_ = 0;
  std::uint64_t gap_reports_ = 0;
  std::int64_t told_samples_ = 0;
};

void Attempt::take(std::span<float> samples, SourceReading& reading) {
  const std::size_t taps = header().request.tap_count;
  std::size_t count = std::min(samples.size(), samples_.available()) / taps * taps;
  // A gap is written before the first sample after it. So after seeing the samples we also see
  // the gap.
  if (gaps_.available() > 0) {
    const SampleGap gap = gaps_.peek(1)[0].front();
    if (gap.position == samples_.pulled()) {
      gaps_.drop(1);
      reading.lost_samples = static_cast<std::int64_t>(gap.samples);
      told_samples_ += reading.lost_samples;
    } else {
      count = std::min(count, static_cast<std::size_t>(gap.position - samples_.pulled()));
    }
  }
  if (reading.lost_samples == 0) {
    reading.samples = samples_.pull(samples.first(count)) / taps;
  }
  reading.waiting_samples = static_cast<std::int64_t>(samples_.available() / taps);
  const std::uint64_t reports = header().gap_reports.load(std::memory_order_relaxed);
  reading.gap_reports = static_cast<std::int64_t>(reports - std::exchange(gap_reports_, reports));
}

void Attempt::discard() {
  samples_.drop(samples_.available());
  gaps_.drop(gaps_.available());
  told_samples_ = static_cast<std::int64_t>(header().lost_samples.load());
  gap_reports_ = header().gap_reports.load();
  last_block_ = Clock::now();
}

void Attempt::end(CaptureRequest& next) {
  child_.stop(0);  // so that the child does not write while we read
  const std::uint64_t count = header().joins_count.load(std::memory_order_acquire);
  if (count > 0) {
    next.has_joins = true;
    next.joins = header().joins[count % 2];
  }
}

Clock::duration Attempt::silence() {
  const auto now = Clock::now();
  const std::uint64_t blocks = header().block_count.load(std::memory_order_relaxed);
  if (blocks != block_count_ || now - last_look_ > kOwnPause) {
    block_count_ = blocks;
    last_block_ = now;
  }
  last_look_ = now;
  return now - last_block_;
}

}  // namespace

struct Capture::State {
  CaptureConfig config;
  CaptureRequest request;
  std::string name;
  double sample_rate_hz = 0.0;
  std::optional<Attempt> attempt;
  InputHealth health = InputHealth::kRunning;
  Clock::time_point next_try;

  [[nodiscard]] SourceReading look(std::span<float> samples);
  void open();
  void end_attempt();
  void try_again();
  void wait_for_start();
  void give_up(InputHealth reason, SourceReading& reading);
  void watch(SourceReading& reading);
  void look_for_input();
};

void Capture::State::open() {
  attempt.emplace(config.program, request);
}

void Capture::State::wait_for_start() {
  while (attempt->phase() == CapturePhase::kStarting) {
    if (!attempt->is_alive() && attempt->phase() == CapturePhase::kStarting) {
      throw Error("The process that captures sound ended by itself; try again.");
    }
    if (attempt->is_late()) {
      throw Error(
          fmt::format("The sound system did not answer within {} s; a sound server may "
                      "hang: restart it.",
                      kStartWithin.count() / 1000));
    }
    std::this_thread::sleep_for(milliseconds(2));
  }
  if (attempt->phase() == CapturePhase::kRefused) {
    throw Error(to_string(attempt->header().sentence));
  }
  name = to_string(attempt->header().name);
  sample_rate_hz = attempt->header().sample_rate_hz;
  // From now on, open the same input at the same rate, even if other devices come and go.
  put_text(request.input, to_string(attempt->header().id));
  request.is_again = true;
  request.sample_rate_hz = sample_rate_hz;
}

void Capture::State::end_attempt() {
  attempt->end(request);
  attempt.reset();
  next_try = Clock::now() + kPause;
}

/// Ends a run whose input does not work any more. All its samples were handed over before.
void Capture::State::give_up(InputHealth reason, SourceReading& reading) {
  reading.lost_samples += attempt->untold_samples();
  end_attempt();
  health = reason;
}

/// Watches a run that works, or that has been frozen for a short time.
void Capture::State::watch(SourceReading& reading) {
  const bool is_alive = attempt->is_alive() && attempt->header().is_active.load();
  const auto silence = attempt->silence();
  if (!attempt->is_drained()) {
    // Hand over all samples, even those that came just before the end.
    health = InputHealth::kRunning;
    return;
  }
  if (!is_alive) {
    give_up(InputHealth::kVanished, reading);
  } else if (silence > kThawWithin) {
    give_up(InputHealth::kFrozen, reading);
  } else if (silence > (attempt->has_blocks() ? kFrozenAfter : kFirstBlockWithin)) {
    health = InputHealth::kFrozen;
  } else if (attempt->has_blocks()) {
    health = attempt->is_joined() ? InputHealth::kRunning : InputHealth::kVanished;
  }
}

void Capture::State::try_again() {
  try {
    open();
  } catch (const Error&) {
    next_try = Clock::now() + kPause;  // no memory or no process at present
  }
}

/// Looks for a lost input: one try after another, without waiting for any.
void Capture::State::look_for_input() {
  if (!attempt) {
    if (Clock::now() >= next_try) {
      try_again();
    }
    return;
  }
  const bool has_failed =
      attempt->phase() == CapturePhase::kRefused || !attempt->is_alive() || attempt->is_late();
  if (has_failed) {
    end_attempt();
  }
}

Capture::Capture(const CaptureConfig& config) : state_(std::make_unique<State>()) {
  check(config);
  state_->config = config;
  state_->request = to_request(config);
  state_->open();
  state_->wait_for_start();
}

Capture::~Capture() {
  if (state_ && state_->attempt) {
    state_->attempt->stop();
  }
}

const std::string& Capture::name() const noexcept {
  return state_->name;
}

double Capture::sample_rate_hz() const noexcept {
  return state_->sample_rate_hz;
}

const std::vector<int>& Capture::taps() const noexcept {
  return state_->config.taps;
}

SourceReading Capture::State::look(std::span<float> samples) {
  SourceReading reading;
  const bool is_up = attempt && attempt->phase() == CapturePhase::kRunning;
  if (is_up && !attempt->is_joined()) {
    attempt->discard();
  } else if (is_up && health == InputHealth::kRunning) {
    attempt->take(samples, reading);
  }
  if (reading.samples == 0 && reading.lost_samples == 0) {
    is_up ? watch(reading) : look_for_input();
  }
  reading.health = health;
  return reading;
}

SourceReading Capture::read(std::span<float> samples) {
  SourceReading reading = state_->look(samples);
  if (reading.samples == 0 && reading.lost_samples == 0) {
    std::this_thread::sleep_for(kLookPause);
  }
  return reading;
}

}  // namespace brink::io
