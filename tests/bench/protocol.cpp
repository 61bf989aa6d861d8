// brink and NINOS2-T under the protocol of a published evaluation, look by look:
// M. Mounir, G. Bernardi, T. van Waterschoot, "Robust and early howling detection based on a
// sparsity measure", EURASIP J. Audio Speech Music Proc. 2025 (S2), with stages and programmes of
// our own: theirs are not at hand. docs/validation.md says what else differs. Prints, judges
// nothing.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <complex>
#include <cstdint>
#include <functional>
#include <iterator>
#include <map>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include "bench/literature/criteria.h"
#include "bench/protocol_tally.h"
#include "core/detector.h"
#include "core/fft.h"
#include "core/window.h"
#include "loop/open_loop.h"
#include "loop/random.h"
#include "loop/scene.h"

using namespace brink;
using bench::Bins;
using bench::Tally;

namespace {

// S2's protocol.
constexpr double kRateHz = 16000.0;
constexpr double kLengthS = 20.0;
constexpr double kBelowDb = -6.0;      // loop gain until kRampS, 0 dB being the brink
constexpr double kRampS = 8.0;         // up, in one second
constexpr double kAnnotatedS = 8.5;    // the middle of the ramp: a howl is annotated from here on
constexpr double kEarlyEndS = 13.5;    // "early" leaves out what comes later
constexpr double kNoiseDb = -40.0;     // white, under the programme
constexpr std::size_t kHop = 320;      // 50 looks a second
constexpr std::size_t kWindow = 1024;  // S2's best for NINOS2-T on speech and on music
constexpr double kBinHz = kRateHz / static_cast<double>(kWindow);
constexpr int kSpeechLooks = 32;         // and its best memory on speech
constexpr int kMusicLooks = 96;          // and on music
constexpr std::size_t kThresholds = 21;  // 0 to 1 in steps of 0.05
constexpr double kThresholdStep = 0.05;

// Ours.
constexpr std::uint64_t kRooms = 16;  // S2 has 8
constexpr std::uint64_t kClipsPerRoom = 4;
constexpr double kProgrammeDbfs = -28.0;
constexpr double kNearDb = 3.0;
constexpr double kHeardFromS = 15.0;  // where a howl that will come has come

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

double look_time_s(std::size_t look) {
  return static_cast<double>((look + 1) * kHop) / kRateHz;
}

std::size_t bin_below(double frequency_hz) {
  return static_cast<std::size_t>(std::floor(frequency_hz / kBinHz));
}

struct Clip {
  std::vector<float> samples;
  std::vector<float> open;                 // the same with the loop cut open
  double howl_hz = 0.0;                    // the whole-turn frequency that reaches the brink first
  std::vector<loop::Crossing> near_brink;  // that one and all within kNearDb below it

  [[nodiscard]] std::size_t howl_bin() const { return bin_below(howl_hz); }
};

// Straight in amplitude.
loop::Lines gain_plan(double hold_db) {
  constexpr int kSteps = 20;
  const double from = std::pow(10.0, kBelowDb / 20.0);
  const double to = std::pow(10.0, hold_db / 20.0);
  std::vector<loop::Lines::Point> points;
  for (int n = 0; n <= kSteps; ++n) {
    const double share = static_cast<double>(n) / kSteps;
    points.push_back({kRampS + share, 20.0 * std::log10(from + share * (to - from))});
  }
  return loop::Lines{std::move(points)};
}

loop::SceneOptions stage(std::uint64_t room_seed) {
  loop::Random random{1000 + room_seed};
  loop::SceneOptions scene;
  scene.sample_rate_hz = kRateHz;
  scene.length_s = kLengthS;
  scene.room.seed = room_seed;
  scene.room.length_m = random.between(8.0, 20.0);
  scene.room.width_m = random.between(6.0, 14.0);
  scene.room.height_m = random.between(2.8, 6.0);
  scene.room.t60_s = random.between(0.4, 0.9);  // S2's responses are 1 s long
  scene.distance_m = random.between(0.8, 2.5);
  scene.off_axis_deg = random.between(90.0, 180.0);
  return scene;
}

std::vector<float> play(const loop::StageConfig& config, const std::vector<float>& programme) {
  loop::Stage stage{config};
  std::vector<float> tap(programme.size());
  stage.process(programme, tap);
  return tap;
}

Clip render_clip(const loop::Scene& scene) {
  std::vector<float> programme(static_cast<std::size_t>(kLengthS * kRateHz));
  loop::Programme{scene.programme}.fill(programme);
  Clip clip;
  clip.samples = play(scene.stage, programme);
  loop::StageConfig cut_open = scene.stage;
  std::fill(cut_open.response.begin(), cut_open.response.end(), 0.0);
  clip.open = play(cut_open, programme);
  const loop::OpenLoop loop{loop::loop_taps(scene.stage, 0.0), {}, kRateHz};
  clip.near_brink = loop.crossings(loop.response(), -kNearDb);
  clip.howl_hz =
      std::max_element(clip.near_brink.begin(),
                       clip.near_brink.end(),
                       [](const auto& a, const auto& b) { return a.gain_db < b.gain_db; })
          ->frequency_hz;
  return clip;
}

// Calls use(look, power of the newest window) from the first full window on.
template <typename Use>
void for_each_look(std::span<const float> samples, const Use& use) {
  core::Fft fft{static_cast<int>(kWindow)};
  const std::vector<float> window = core::hann_window(static_cast<int>(kWindow));
  std::vector<float> windowed(kWindow);
  std::vector<std::complex<float>> bins(kWindow / 2 + 1);
  std::vector<float> power(bins.size());
  for (std::size_t look = 0; (look + 1) * kHop <= samples.size(); ++look) {
    const std::size_t end = (look + 1) * kHop;
    if (end < kWindow) {
      continue;
    }
    for (std::size_t n = 0; n < kWindow; ++n) {
      windowed[n] = window[n] * samples[end - kWindow + n];
    }
    fft.forward(windowed, bins);
    std::transform(
        bins.begin(), bins.end(), power.begin(), [](auto bin) { return std::norm(bin); });
    use(look, power);
  }
}

// The power of each bin at the end.
std::vector<double> late_power(std::span<const float> samples) {
  std::vector<double> sum(kWindow / 2 + 1);
  for_each_look(samples, [&](std::size_t look, std::span<const float> power) {
    if (look_time_s(look) > kHeardFromS) {
      std::transform(power.begin(), power.end(), sum.begin(), sum.begin(), std::plus<>{});
    }
  });
  return sum;
}

// S2's authors listened and left out clips with no howl or several. In place of their ears: a howl
// is heard whose two bins stand at the end kDominantDb over what their third-octave holds with the
// loop cut open. Frequencies within three bins of each other are one howl.
std::size_t heard_howls(const Clip& clip) {
  const std::vector<double> closed = late_power(clip.samples);
  const std::vector<double> open = late_power(clip.open);
  const double sixth_octave = std::exp2(1.0 / 6.0);
  std::size_t count = 0;
  std::optional<std::size_t> last;
  for (const loop::Crossing& crossing : clip.near_brink) {
    const std::size_t bin = std::min(bin_below(crossing.frequency_hz), closed.size() - 2);
    const std::size_t low = std::min(bin, bin_below(crossing.frequency_hz / sixth_octave) + 1);
    const std::size_t high = std::max(bin + 1, bin_below(crossing.frequency_hz * sixth_octave));
    double programme = 0.0;
    for (std::size_t k = low; k <= std::min(high, open.size() - 1); ++k) {
      programme += open[k];
    }
    const double tone = closed[bin] + closed[bin + 1];
    if (10.0 * std::log10(tone / programme) >= loop::kDominantDb) {
      count += last && bin <= *last + 3 ? 0U : 1U;
      last = bin;
    }
  }
  return count;
}

// The rings that are `ringing` as of now, as a live listener knows them.
class Ringing final : public core::EventSink {
 public:
  void on_event(const core::RingEvent& event) noexcept override {
    if (event.ring.state == core::RingState::kRinging) {
      frequency_hz_[event.ring.id] = event.ring.frequency_hz;
    } else {
      frequency_hz_.erase(event.ring.id);
    }
  }

  [[nodiscard]] Bins bins() const {
    Bins bins;
    for (const auto& [id, frequency_hz] : frequency_hz_) {
      const auto below = static_cast<std::size_t>(std::floor(frequency_hz / kBinHz));
      bins.insert({below, below + 1});
    }
    return bins;
  }

 private:
  std::map<std::uint32_t, double> frequency_hz_;
};

struct BrinkScore {
  Score all;
  Score elsewhere;  // of bins that are neither beside a frequency near the brink nor next to those

  void add(const BrinkScore& other) {
    all.add(other.all);
    elsewhere.add(other.elsewhere);
  }
};

BrinkScore score_brink(const Clip& clip) {
  Bins near;
  for (const loop::Crossing& crossing : clip.near_brink) {
    const std::size_t bin = bin_below(crossing.frequency_hz);
    near.insert({bin == 0 ? 0 : bin - 1, bin, bin + 1, bin + 2});
  }
  core::Detector detector{core::DetectorConfig{kRateHz}};
  Ringing ringing;
  BrinkScore score;
  const std::span<const float> samples{clip.samples};
  for (std::size_t look = 0; (look + 1) * kHop <= samples.size(); ++look) {
    detector.push(samples.subspan(look * kHop, kHop), ringing);
    const Bins fired = ringing.bins();
    Bins elsewhere;
    std::set_difference(fired.begin(),
                        fired.end(),
                        near.begin(),
                        near.end(),
                        std::inserter(elsewhere, elsewhere.end()));
    score.all.add_look(look_time_s(look), fired, clip.howl_bin());
    score.elsewhere.add_look(look_time_s(look), elsewhere, clip.howl_bin());
  }
  return score;
}

Sweep score_ninos2_t(const Clip& clip, int looks) {
  bench::CriterionOptions options;
  options.sample_rate_hz = kRateHz;
  options.threshold = 0.0;
  options.looks = looks;
  const auto criterion = bench::make_ninos2_t(options);
  std::vector<std::vector<bench::Howl>> howls(clip.samples.size() / kHop);
  for_each_look(clip.samples, [&](std::size_t look, std::span<const float> power) {
    howls[look] = criterion->look(power);
  });
  Sweep sweep;
  for (std::size_t step = 0; step < kThresholds; ++step) {
    for (std::size_t look = 0; look < howls.size(); ++look) {
      Bins fired;
      for (const bench::Howl& howl : howls[look]) {
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
  int found = 0;  // clips of which brink hit at least one look
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

std::string elsewhere_note(const BrinkScore& score) {
  return fmt::format("false alarms {}, away from frequencies near the brink {}",
                     score.all.full.false_alarms,
                     score.elsewhere.full.false_alarms);
}

void print(const char* which, const Total& total) {
  fmt::print("  {}: {} clips, brink found {}\n", which, total.clips, total.found);
  if (total.clips == 0) {
    return;
  }
  print_tally("brink", "full", total.brink.all.full, elsewhere_note(total.brink));
  print_tally("brink", "early", total.brink.all.early, "");
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
  std::array<int, 2> left_out{};  // none heard, several heard
  for (std::uint64_t room = 1; room <= kRooms; ++room) {
    loop::SceneOptions options = stage(room);
    options.gain_db = gain_plan(hold_db);
    options.programme.kind = kind;
    options.programme.level_dbfs = kProgrammeDbfs;
    options.programme.noise_floor_dbfs = kProgrammeDbfs + kNoiseDb;
    loop::Scene scene = loop::build_scene(options);
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
  for (const double hold_db : {0.0, 1.0}) {  // the protocol's; and a loop that grows by itself
    run("voice", loop::ProgrammeKind::kVoice, kSpeechLooks, hold_db);
    run("music", loop::ProgrammeKind::kMusic, kMusicLooks, hold_db);
  }
}
