#include "cli/stage/sweep_take.h"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <memory>

#include "base/error.h"
#include "base/printable.h"
#include "cli/interrupt.h"
#include "cli/line_input.h"
#include "cli/output.h"
#include "detector/detector.h"
#include "io/live/capture.h"
#include "io/live/player.h"

namespace brink::cli {
namespace {

using base::Error;
using State = io::Player::State;

/// Recording goes on so long after the player has finished, because devices have a delay.
constexpr double kAfterS = 0.7;

class RingAlarm final : public detector::EventSink {
 public:
  void on_event(const detector::RingEvent& event) noexcept override {
    if (event.ring.state == detector::RingState::kRinging) {
      frequency_hz_ = event.ring.frequency_hz;
    }
  }

  [[nodiscard]] double frequency_hz() const noexcept { return frequency_hz_; }

 private:
  double frequency_hz_ = 0.0;
};

io::CaptureConfig capture_config(const SweepTakeOptions& options) {
  io::CaptureConfig config;
  config.input = options.input;
  config.taps = {options.channel};
  if (options.reference_channel > 0) {
    config.taps.push_back(options.reference_channel);
    std::sort(config.taps.begin(), config.taps.end());
  }
  return config;
}

class SweepRun {
 public:
  explicit SweepRun(const SweepTakeOptions& options)
      : options_(options), capture_(capture_config(options)) {
    take_.signal = options.signal;
    take_.signal.sweep.sample_rate_hz = capture_.sample_rate_hz();
    detector_ = std::make_unique<detector::Detector>(
        detector::DetectorConfig{.sample_rate_hz = capture_.sample_rate_hz()});
    player_ = std::make_unique<io::Player>(
        capture_.sample_rate_hz(),
        loop::sweep_signal(take_.signal),
        io::kThisProgram,
        io::PlayOutput{.name = options.output, .channel = options.output_channel});
    player_->set_level_db(options.level_dbfs);
  }

  SweepTake run() {
    greet();
    wait_for_go();
    play();
    return std::move(take_);
  }

 private:
  void greet() const {
    say("shut the microphone's way to this output (mute its send), clear the stage, protect your "
        "ears, keep a hand on the amplifier's level: a sweep can hurt ears and drivers. By the "
        "exposure guide of NIOSH 85 dBA may be heard for 8 hours a day, half as long for every 3 "
        "dB more; local rules and qualified people come first.");
    say(
        fmt::format("it lasts {:.0f} s at {:g} dBFS. Enter begins; Enter again, Ctrl-C or the end "
                    "of stdin stops it.",
                    take_.signal.length_s(),
                    options_.level_dbfs));
  }

  /// Throws if the user or a device ended the sweep.
  void look_after() {
    if (interrupt_signal() != 0) {
      stop("stopped.");
    }
    if (player_->state() == State::kFailed) {
      throw Error(player_->why());
    }
    const std::size_t taps = capture_.taps().size();
    const io::SourceReading reading = capture_.read(block_);
    if (reading.health != io::InputHealth::kRunning) {
      stop("the input went away; nothing was measured.");
    }
    if (is_recording_ && (reading.lost_samples > 0 || reading.gap_reports > 0)) {
      stop("samples were lost on the way in; close other programs and measure again.");
    }
    const auto all = std::span(block_).first(reading.samples * taps);
    hear(all);
  }

  void hear(std::span<const float> all) {
    const auto& taps = capture_.taps();
    const auto at_of = [&](int channel) {
      return static_cast<std::size_t>(std::find(taps.begin(), taps.end(), channel) - taps.begin());
    };
    heard_.clear();
    for (std::size_t n = at_of(options_.channel); n < all.size(); n += taps.size()) {
      heard_.push_back(all[n]);
    }
    detector_->push(heard_, alarm_);
    if (alarm_.frequency_hz() > 0.0) {
      stop(
          fmt::format("something rings at {:.0f} Hz: the microphone still reaches the loudspeaker. "
                      "Shut its way to this output and measure again.",
                      alarm_.frequency_hz()));
    }
    if (is_recording_) {
      take_.heard.insert(take_.heard.end(), heard_.begin(), heard_.end());
      if (options_.reference_channel > 0) {
        for (std::size_t n = at_of(options_.reference_channel); n < all.size(); n += taps.size()) {
          take_.reference.push_back(all[n]);
        }
      }
    }
  }

  [[noreturn]] void stop(const std::string& why) {
    player_->stop();
    throw Error(why);
  }

  void wait_for_go() {
    std::string line;
    LineInput::Outcome outcome = LineInput::Outcome::kNothingYet;
    while (outcome == LineInput::Outcome::kNothingYet || player_->state() == State::kStarting) {
      if (outcome == LineInput::Outcome::kNothingYet) {
        outcome = input_.next(line, 0);
      }
      look_after();
    }
    if (outcome == LineInput::Outcome::kEnd) {
      stop("stdin ended before a line came: nothing was played.");
    }
  }

  void play() {
    is_recording_ = true;
    player_->play();
    std::string line;
    const auto least =
        static_cast<std::size_t>(take_.signal.length_s() * take_.signal.sweep.sample_rate_hz);
    const auto after = static_cast<std::size_t>(kAfterS * take_.signal.sweep.sample_rate_hz);
    std::size_t end = 0;
    while (end == 0 || take_.heard.size() < end) {
      look_after();
      const bool is_played = player_->state() == State::kSilent;
      if (!is_played && input_.next(line, 0) != LineInput::Outcome::kNothingYet) {
        stop("stopped; nothing was measured.");
      }
      if (end == 0 && is_played) {
        end = std::max(least, take_.heard.size()) + after;
      }
    }
  }

  const SweepTakeOptions& options_;
  io::Capture capture_;
  std::unique_ptr<detector::Detector> detector_;
  std::unique_ptr<io::Player> player_;
  RingAlarm alarm_;
  LineInput input_;
  SweepTake take_;
  std::vector<float> block_ = std::vector<float>(16384);
  std::vector<float> heard_;
  bool is_recording_ = false;
};

}  // namespace

SweepTake take_sweep(const SweepTakeOptions& options) {
  if (options.channel == options.reference_channel) {
    throw Error("--channel and --reference are one and the same; the reference is what is sent.");
  }
  catch_interrupts();
  return SweepRun(options).run();
}

}  // namespace brink::cli
