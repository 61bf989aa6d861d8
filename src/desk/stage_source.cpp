#include "desk/stage_source.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <thread>
#include <utility>

#include "desk/loop_colour.h"

namespace brink::desk {
namespace {

constexpr std::size_t kBlockSamples = 512;
constexpr std::chrono::milliseconds kMostBehind(250);

}  // namespace

void StageControls::set_fader_db(double fader_db) noexcept {
  fader_db_.store(std::clamp(fader_db, kLowestFaderDb, kHighestFaderDb));
}

bool StageControls::set_equaliser(const cuts::Setting& setting, double sample_rate_hz) {
  const std::vector<base::Biquad> sections = cuts::to_sections(setting, sample_rate_hz);
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

loop::Scene practice_scene(std::uint64_t seed, std::size_t output) {
  // From the wedge to the microphone: one's own wedge, the neighbours', one further off.
  constexpr std::array kDistancesM{1.5, 1.2, 1.8, 2.4};
  constexpr std::uint64_t kSeedsApart = 1000;  // far from the rooms that a user meets one by one
  loop::SceneOptions options;
  options.room.seed = seed + kSeedsApart * output;
  options.distance_m = kDistancesM[output % kDistancesM.size()];
  options.room.t60_s = 0.6;
  options.gain_db = loop::Lines{0.0};
  options.programme.kind = loop::ProgrammeKind::kVoice;
  options.programme.level_dbfs = -38.0;
  options.programme.seed = seed;
  loop::Scene scene = loop::build_scene(options);
  colour_loop(scene.stage, options.room.seed);
  return scene;
}

StageSource::StageSource(const loop::Scene& scene, std::shared_ptr<StageControls> controls)
    : StageSource({{std::make_shared<const loop::Scene>(scene), std::move(controls)}}) {}

StageSource::StageSource(const std::vector<OpenOutput>& outputs)
    : sample_rate_hz_(outputs.front().scene->stage.sample_rate_hz),
      programme_(outputs.front().scene->programme),
      dry_(kBlockSamples) {
  if (outputs.size() > 1) {
    name_ += fmt::format(", {} outputs open", outputs.size());
  }
  for (const OpenOutput& output : outputs) {
    controls_.push_back(output.controls);
    faders_db_.push_back(output.controls->fader_db());
    stages_.emplace_back(output.scene->stage).set_fader_db(faders_db_.back());
  }
}

bool StageSource::wait_for(std::size_t sample_count) {
  const auto takes = std::chrono::duration_cast<Clock::duration>(
      std::chrono::duration<double>(static_cast<double>(sample_count) / sample_rate_hz_));
  const Clock::time_point now = Clock::now();
  due_ = std::max(due_.value_or(now), now - kMostBehind);
  const Clock::duration early = *due_ + takes - now;
  if (early > std::chrono::milliseconds(kLongestWaitMs)) {
    std::this_thread::sleep_for(std::chrono::milliseconds(kLongestWaitMs));
    return false;
  }
  if (early > Clock::duration::zero()) {
    std::this_thread::sleep_for(early);
  }
  *due_ += takes;
  return true;
}

void StageSource::follow_hands() {
  for (std::size_t i = 0; i < stages_.size(); ++i) {
    StageControls& controls = *controls_[i];
    if (const double fader_db = controls.fader_db(); fader_db != faders_db_[i]) {
      faders_db_[i] = fader_db;
      stages_[i].set_fader_db(fader_db);
    }
    if (controls.has_new_sections_.exchange(false, std::memory_order_acquire)) {
      const StageControls::Sections& row = controls.sections_.newest();
      stages_[i].set_equaliser(std::span(row.all).first(row.count));
    }
  }
}

io::SourceReading StageSource::read(std::span<float> samples) {
  io::SourceReading reading;
  const std::size_t count = std::min(samples.size(), kBlockSamples);
  if (!wait_for(count)) {
    return reading;
  }
  follow_hands();
  programme_.fill(std::span(dry_).first(count));
  loop::process_together(stages_, std::span(dry_).first(count), samples.first(count));
  reading.samples = count;
  return reading;
}

}  // namespace brink::desk
