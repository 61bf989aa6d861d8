// brink and NINOS2-T under the protocol of a published evaluation, look by look: M. Mounir, G.
// Bernardi, T. van Waterschoot, "Robust and early howling detection based on a sparsity measure",
// EURASIP J. Audio Speech Music Proc. 2025 (S2). Stages and programmes are our own, because theirs
// are not available. docs/validation.md says what else differs. It prints figures; there is no pass
// or fail.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <iterator>
#include <map>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include "bench/literature/criteria.h"
#include "bench/protocol_clip.h"
#include "bench/protocol_tally.h"
#include "detector/detector.h"
#include "loop/scene.h"

using namespace brink;
using namespace brink::bench;

namespace {

// From S2's protocol. protocol_clip.h describes the clips.
constexpr double kAnnotatedS = 8.5;      // the middle of the ramp: a howl is annotated from here on
constexpr double kEarlyEndS = 13.5;      // "early" ignores everything later
constexpr int kSpeechLooks = 32;         // S2's best memory for NINOS2-T on speech
constexpr int kMusicLooks = 96;          // the same on music
constexpr std::size_t kThresholds = 21;  // 0 to 1 in steps of 0.05
constexpr double kThresholdStep = 0.05;

// Our own choice.
constexpr std::uint64_t kRooms = 16;  // S2 has 8
constexpr std::uint64_t kClipsPerRoom = 4;

struct Score {
  Tally full;
  Tally early;

  void add(const Score& other) {
    full.add(other.full);
    early.add(other.early);
  }

  void add_look(double time_s, const Bins& fired, std::size_t howl_bin) {
    const std::optional<std::size_t> annotated =
        time_s > kAnnotatedS ? std::optional{howl_bin} : std::nullopt;
    full.add_look(fired, annotated);
    if (time_s <= kEarlyEndS) {
      early.add_look(fired, annotated);
    }
  }
};

using Sweep = std::array<Score, kThresholds>;

// The rings that are in state `ringing` at present, as a live listener knows them.
class Ringing final : public detector::EventSink {
 public:
  void on_event(const detector::RingEvent& event) noexcept override {
    if (event.ring.state == detector::RingState::kRinging) {
      frequency_hz_[event.ring.id] = event.ring.frequency_hz;
    } else {
      frequency_hz_.erase(event.ring.id);
    }
  }

  [[nodiscard]] Bins bins() const {
    Bins bins;
    for (const auto& [id, frequency_hz] : frequency_hz_) {
      const std::size_t below = bin_below(frequency_hz);
      bins.insert({below, below + 1});
    }
    return bins;
  }

 private:
  std::map<std::uint32_t, double> frequency_hz_;
};

// The two bins beside a frequency, and the next bin on either side, which an error of half a bin
// reaches.
Bins around(double frequency_hz) {
  const std::size_t bin = bin_below(frequency_hz);
  return {bin == 0 ? 0 : bin - 1, bin, bin + 1, bin + 2};
}

Bins without(const Bins& bins, const Bins& others) {
  Bins left;
  std::set_difference(
      bins.begin(), bins.end(), others.begin(), others.end(), std::inserter(left, left.end()));
  return left;
}

struct BrinkScore {
  Score all;
  Score not_around;  // score if nothing had fired around the howl
  Score not_near;    // score if nothing had fired around any frequency near the brink
  std::size_t near_bins = 0;

  void add(const BrinkScore& other) {
    all.add(other.all);
    not_around.add(other.not_around);
    not_near.add(other.not_near);
    near_bins += other.near_bins;
  }
};

BrinkScore score_brink(const Clip& clip) {
  const Bins howl = around(clip.howl_hz);
  Bins near;
  for (const loop::Crossing& crossing : clip.near_brink) {
    near.merge(around(crossing.frequency_hz));
  }
  detector::Detector detector{detector::DetectorConfig{kRateHz}};
  Ringing ringing;
  BrinkScore score;
  score.near_bins = near.size();
  const std::span<const float> samples{clip.samples};
  for (std::size_t look = 0; (look + 1) * kHop <= samples.size(); ++look) {
    detector.push(samples.subspan(look * kHop, kHop), ringing);
    const Bins fired = ringing.bins();
    const double time_s = look_time_s(look);
    score.all.add_look(time_s, fired, clip.howl_bin());
    score.not_around.add_look(time_s, without(fired, howl), clip.howl_bin());
    score.not_near.add_look(time_s, without(fired, near), clip.howl_bin());
  }
  return score;
}

Sweep score_ninos2_t(const Clip& clip, int looks) {
  CriterionOptions options;
  options.sample_rate_hz = kRateHz;
  options.threshold = 0.0;
  options.looks = looks;
  const auto criterion = make_ninos2_t(options);
  std::vector<std::vector<Howl>> howls(clip.samples.size() / kHop);
  for_each_look(clip.samples, [&](std::size_t look, std::span<const float> power) {
    howls[look] = criterion->look(power);
  });
  Sweep sweep;
  for (std::size_t step = 0; step < kThresholds; ++step) {
    for (std::size_t look = 0; look < howls.size(); ++look) {
      Bins fired;
      for (const Howl& howl : howls[look]) {
        if (howl.value >= kThresholdStep * static_cast<double>(step)) {
          fired.insert(howl.bin);
        }
      }
      sweep[step].add_look(look_time_s(look), fired, clip.howl_bin());
    }
  }
  return sweep;
}

struct Total {
  int clips = 0;
  int found = 0;  // clips in which brink hit at least one look
  BrinkScore brink;
  Sweep ninos2_t;

  void add(const BrinkScore& brink_score, const Sweep& sweep) {
    ++clips;
    found += brink_score.all.full.hits > 0 ? 1 : 0;
    brink.add(brink_score);
    for (std::size_t step = 0; step < kThresholds; ++step) {
      ninos2_t[step].add(sweep[step]);
    }
  }
};

void print_tally(const char* name, const char* span, const Tally& tally, const std::string& note) {
  fmt::print("    {:9} {:6} F1 {:.2f}  precision {:.2f}  recall {:.2f}  {}\n",
             name,
             span,
             tally.f1(),
             tally.precision(),
             tally.recall(),
             note);
}

void print_where(const Total& total) {
  const BrinkScore& brink = total.brink;
  const int around = brink.all.full.false_alarms - brink.not_around.full.false_alarms;
  const int near = brink.not_around.full.false_alarms - brink.not_near.full.false_alarms;
  constexpr std::size_t kBins = kWindow / 2 + 1;
  const double near_share =
      static_cast<double>(brink.near_bins) / static_cast<double>(kBins) / total.clips;
  fmt::print(
      "    brink's false alarms: {} beside the howl's own two bins, {} at other frequencies within "
      "{:.0f} dB of it, {} elsewhere (which is {:.0f} % of all bins)\n",
      around,
      near,
      kNearDb,
      brink.not_near.full.false_alarms,
      100.0 * (1.0 - near_share));
}

void print(const char* which, const Total& total) {
  fmt::print("  {}: {} clips, brink found {}\n", which, total.clips, total.found);
  if (total.clips == 0) {
    return;
  }
  print_tally("brink", "full", total.brink.all.full, "");
  print_tally("brink", "early", total.brink.all.early, "");
  print_where(total);
  for (const auto& [span, tally] :
       {std::pair{"full", &Score::full}, std::pair{"early", &Score::early}}) {
    const auto best = std::max_element(
        total.ninos2_t.begin(), total.ninos2_t.end(), [t = tally](const auto& a, const auto& b) {
          return (a.*t).f1() < (b.*t).f1();
        });
    const double threshold = kThresholdStep * static_cast<double>(best - total.ninos2_t.begin());
    print_tally("NINOS2-T", span, *best.*tally, fmt::format("threshold {:.2f}", threshold));
  }
}

void run(const char* name, loop::ProgrammeKind kind, int looks, double hold_db) {
  Total all;
  Total one_howl;
  std::array<int, 2> left_out{};  // clips without a heard howl, clips with several
  for (std::uint64_t room = 1; room <= kRooms; ++room) {
    loop::Scene scene = protocol_scene(room, kind, hold_db);
    for (std::uint64_t clip_seed = 1; clip_seed <= kClipsPerRoom; ++clip_seed) {
      scene.programme.seed = 100 * room + clip_seed;
      const Clip clip = render_clip(scene);
      const BrinkScore brink_score = score_brink(clip);
      const Sweep sweep = score_ninos2_t(clip, looks);
      all.add(brink_score, sweep);
      const std::size_t heard = heard_howls(clip);
      if (heard == 1) {
        one_howl.add(brink_score, sweep);
      } else {
        ++left_out[heard == 0 ? 0 : 1];
      }
    }
  }
  fmt::print(
      "{}, held {:+.0f} dB over the maximum stable gain; no howl heard in {}, several in {}\n",
      name,
      hold_db,
      left_out[0],
      left_out[1]);
  print("one howl heard", one_howl);
  print("every clip", all);
}

}  // namespace

int main() {
  fmt::print(
      "Published (S2) for NINOS2-T: F1 full 0.88 speech, 0.70 music; early 0.74 speech, 0.42 "
      "music\n");
  // The protocol's clip, and one with a loop that grows by itself.
  for (const double hold_db : {0.0, 1.0}) {
    run("voice", loop::ProgrammeKind::kVoice, kSpeechLooks, hold_db);
    run("music", loop::ProgrammeKind::kMusic, kMusicLooks, hold_db);
  }
}
