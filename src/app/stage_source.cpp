#include "app/stage_source.h"

#include <algorithm>
#include <cmath>
#include <thread>
#include <utility>

namespace brink::app {
namespace {

constexpr std::size_t kBlockSamples = 512;
constexpr std::chrono::milliseconds kMostBehind(250);

}  // namespace

void StageControls::set_fader_db(double fader_db) noexcept {
  fader_db_.store(std::clamp(fader_db, kLowestFaderDb, kHighestFaderDb));
}

bool StageControls::set_equaliser(const cuts::Setting& setting, double sample_rate_hz) {
  const std::vector<core::Biquad> sections = cuts::to_sections(setting, sample_rate_hz);
  Sections& row = sections_.back();
  if (sections.size() > row.all.size()) {
    return false;
  }
  std::copy(sections.begin(), sections.end(), row.all.begin());
  row.count = sections.size();
  sections_.publish();
  has_new_sections_.store(true, std::memory_order_release);
  return true;
}

loop::Scene practice_scene(std::uint64_t seed) {
  loop::SceneOptions options;
  options.room.seed = seed;
  options.room.t60_s = 0.6;
  options.gain_db = loop::Lines{0.0};
  options.programme.kind = loop::ProgrammeKind::kVoice;
  options.programme.level_dbfs = -38.0;
  options.programme.seed = seed;
  return loop::build_scene(options);
}

StageSource::StageSource(const loop::Scene& scene, std::shared_ptr<StageControls> controls)
    : sample_rate_hz_(scene.stage.sample_rate_hz),
      controls_(std::move(controls)),
      stage_(scene.stage),
      programme_(scene.programme),
      dry_(kBlockSamples),
      fader_db_(controls_->fader_db()),
      due_(Clock::now()) {
  stage_.set_fader_db(fader_db_);
}

bool StageSource::wait_for(std::size_t sample_count) {
  const auto takes = std::chrono::duration_cast<Clock::duration>(
      std::chrono::duration<double>(static_cast<double>(sample_count) / sample_rate_hz_));
  const Clock::time_point now = Clock::now();
  due_ = std::max(due_, now - kMostBehind);
  const Clock::duration early = due_ + takes - now;
  if (early > std::chrono::milliseconds(kLongestWaitMs)) {
    std::this_thread::sleep_for(std::chrono::milliseconds(kLongestWaitMs));
    return false;
  }
  if (early > Clock::duration::zero()) {
    std::this_thread::sleep_for(early);
  }
  due_ += takes;
  return true;
}

io::SourceReading StageSource::read(std::span<float> samples) {
  io::SourceReading reading;
  const std::size_t count = std::min(samples.size(), kBlockSamples);
  if (!wait_for(count)) {
    return reading;
  }
  if (const double fader_db = controls_->fader_db(); fader_db != fader_db_) {
    fader_db_ = fader_db;
    stage_.set_fader_db(fader_db);
  }
  if (controls_->has_new_sections_.exchange(false, std::memory_order_acquire)) {
    const StageControls::Sections& row = controls_->sections_.newest();
    stage_.set_equaliser(std::span(row.all).first(row.count));
  }
  programme_.fill(std::span(dry_).first(count));
  stage_.process(std::span(dry_).first(count), samples.first(count));
  reading.samples = count;
  return reading;
}

}  // namespace brink::app
