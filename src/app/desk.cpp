#include "app/desk.h"

#include <array>
#include <chrono>
#include <utility>

#include "core/error.h"

namespace brink::app {
namespace {

/// A room in which ringing out shows what it can do: rings that come one after the other, and 5 dB
/// won in seven rounds; others win less, down to nothing (docs/log.md).
constexpr std::uint64_t kFirstStage = 3;

}  // namespace

Desk::Desk(std::function<void()> on_news)
    : on_news_(std::move(on_news)), board_(cuts::built_in_targets().front()), gain_(on_news_) {
  use_stage(kFirstStage);
}

void Desk::use_stage(std::uint64_t seed) {
  auto controls = std::make_shared<StageControls>();
  controls->set_fader_db(kStartFaderDb);
  const loop::Scene scene = practice_scene(seed);
  listen_to(std::make_unique<StageSource>(scene, controls));
  stage_ = std::move(controls);
  gain_.set_stage(std::make_shared<const loop::StageConfig>(scene.stage));
  equaliser_ = {};
  has_cuts_in_ = true;
}

void Desk::use_input(const io::CaptureConfig& config) {
  opening_ = std::async(std::launch::async, [config, on_news = on_news_] {
    struct AtEnd {
      const std::function<void()>& call;
      ~AtEnd() { call(); }
    } at_end{on_news};
    return std::unique_ptr<io::Source>(std::make_unique<io::Capture>(config));
  });
}

void Desk::listen_to(std::unique_ptr<io::Source> source) {
  session_.reset();
  board_.clear();
  fresh_.clear();
  SessionConfig config;
  config.on_news = on_news_;
  session_ = std::make_unique<Session>(std::move(source), config);
  snapshot_ = &session_->newest();
  ++source_count_;
  trouble_.reset();
}

void Desk::finish_opening() {
  if (!opening_.valid() ||
      opening_.wait_for(std::chrono::seconds(0)) != std::future_status::ready) {
    return;
  }
  try {
    listen_to(opening_.get());
    stage_.reset();
    gain_.set_stage(nullptr);
  } catch (const core::Error& error) {
    trouble_ = error.what();
  }
}

void Desk::update() {
  finish_opening();
  gain_.update();
  snapshot_ = &session_->newest();
  fresh_.clear();
  std::array<SessionEvent, 64> events;
  for (std::size_t count = 0; (count = session_->take_events(events)) > 0;) {
    fresh_.insert(
        fresh_.end(), events.begin(), events.begin() + static_cast<std::ptrdiff_t>(count));
  }
  for (const SessionEvent& event : fresh_) {
    board_.take(event);
  }
  board_.follow(*snapshot_, session_->sample_rate_hz());
}

double Desk::stream_s() const noexcept {
  return static_cast<double>(snapshot_->samples) / session_->sample_rate_hz();
}

double Desk::fader_db() const noexcept {
  return stage_ ? stage_->fader_db() : 0.0;
}

void Desk::set_fader_db(double fader_db) noexcept {
  if (stage_) {
    stage_->set_fader_db(fader_db);
  }
}

void Desk::set_equaliser(cuts::Setting setting) {
  equaliser_ = std::move(setting);
  apply_equaliser();
}

void Desk::switch_cuts(bool has_cuts_in) {
  has_cuts_in_ = has_cuts_in;
  apply_equaliser();
}

void Desk::apply_equaliser() {
  if (!stage_) {
    return;
  }
  const cuts::Setting in_loop = has_cuts_in_ ? equaliser_ : cuts::Setting{};
  if (stage_->set_equaliser(in_loop, session_->sample_rate_hz())) {
    gain_.set_equaliser(in_loop);
  } else {
    trouble_ = "the stage's equaliser takes at most 40 sections; some cuts are not in the loop.";
  }
}

}  // namespace brink::app
