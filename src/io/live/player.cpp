#include "io/live/player.h"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cmath>

#include "base/error.h"
#include "base/units.h"
#include "io/live/capture_memory.h"
#include "io/live/child_process.h"
#include "io/live/play_child.h"
#include "io/live/play_memory.h"
#include "io/sound_file.h"

namespace brink::io {
namespace {

using Clock = std::chrono::steady_clock;

constexpr std::chrono::milliseconds kStartWithin(8000);
constexpr int kPatienceMs = 1300;  // the child takes up to a second to close the stream

std::span<const float> checked(double sample_rate_hz, std::span<const float> samples) {
  if (!(sample_rate_hz >= kLowestRateHz && sample_rate_hz <= kHighestRateHz)) {
    throw base::Error(
        fmt::format("Sound at {:g} Hz cannot be played; brink takes {:.0f} to {:.0f} Hz.",
                    sample_rate_hz,
                    kLowestRateHz,
                    kHighestRateHz));
  }
  if (samples.empty() || static_cast<double>(samples.size()) > Player::kLongestS * sample_rate_hz) {
    throw base::Error(fmt::format("What is played must be something, and at most {:.0f} s long.",
                                  Player::kLongestS));
  }
  return samples;
}

double peak_of(std::span<const float> samples) noexcept {
  float peak = 0.0F;
  for (const float sample : samples) {
    if (std::isfinite(sample)) {
      peak = std::max(peak, std::abs(sample));
    }
  }
  return static_cast<double>(peak);
}

}  // namespace

struct Player::Child {
  PlayMemory memory;
  ChildProcess process;
  Clock::time_point started = Clock::now();
  std::string failure;  // a failure noticed in this process

  Child(double sample_rate_hz,
        std::span<const float> samples,
        const std::string& program,
        const PlayOutput& output)
      : memory(sample_rate_hz, samples),
        process(program, {kPlayChildCommand}, told(memory, output), false) {}

  static int told(const PlayMemory& memory, const PlayOutput& output) {
    put_text(memory.header().output, output.name);
    memory.header().channel = static_cast<std::uint32_t>(std::max(0, output.channel));
    return memory.descriptor();
  }
};

Player::Player(double sample_rate_hz,
               std::span<const float> samples,
               const std::string& program,
               const PlayOutput& output)
    : child_(std::make_unique<Child>(
          sample_rate_hz, checked(sample_rate_hz, samples), program, output)) {
  const double peak = peak_of(samples);
  const double ceiling = base::db_to_amplitude(kPlayCeilingDbfs);
  most_lin_ = peak > ceiling ? ceiling / peak : 1.0;
  set_level_db(kFirstLevelDb);
}

Player::~Player() {
  stop();
  child_->process.stop(kPatienceMs);
}

void Player::play(std::int64_t from_sample) noexcept {
  PlayHeader& header = child_->memory.header();
  header.from_sample.store(static_cast<std::uint64_t>(std::max<std::int64_t>(0, from_sample)),
                           std::memory_order_relaxed);
  header.is_wanted.store(true, std::memory_order_relaxed);
  header.plays.fetch_add(1, std::memory_order_release);
}

void Player::stop() noexcept {
  child_->memory.header().is_wanted.store(false, std::memory_order_relaxed);
}

void Player::set_level_db(double level_db) noexcept {
  constexpr double kLowestDb = -100.0;
  level_db_ = std::isnan(level_db) ? kLowestDb : std::clamp(level_db, kLowestDb, 0.0);
  const double level_lin =
      level_db_ > kLowestDb ? std::min(base::db_to_amplitude(level_db_), most_lin_) : 0.0;
  child_->memory.header().level_lin.store(static_cast<float>(level_lin), std::memory_order_relaxed);
}

Player::State Player::state() noexcept {
  const PlayHeader& header = child_->memory.header();
  const PlayPhase phase = header.phase.load(std::memory_order_acquire);
  if (!child_->failure.empty() || phase == PlayPhase::kRefused) {
    return State::kFailed;
  }
  if (!child_->process.is_running()) {
    child_->failure = phase == PlayPhase::kRunning ? "The sound output went away."
                                                   : "The process for live sound ended by itself.";
    return State::kFailed;
  }
  if (phase == PlayPhase::kStarting) {
    if (Clock::now() - child_->started > kStartWithin) {
      child_->failure = "The sound system did not answer; a sound server may hang: restart it.";
      return State::kFailed;
    }
    return State::kStarting;
  }
  const bool is_done = header.done_plays.load(std::memory_order_acquire) ==
                       header.plays.load(std::memory_order_relaxed);
  return is_done ? State::kSilent : State::kPlaying;
}

std::string Player::why() const {
  return child_->failure.empty() ? to_string(child_->memory.header().sentence) : child_->failure;
}

std::int64_t Player::position() const noexcept {
  return static_cast<std::int64_t>(
      child_->memory.header().position.load(std::memory_order_relaxed));
}

}  // namespace brink::io
