// Which microphone: seeded scenes of 2 to 12 microphones and 1 to 4 outputs, rendered with their
// truth, through a detector for each tap and the stage's one list.
//   taps_bench [FIRST] [COUNT]      seeds FIRST to FIRST + COUNT - 1; 1 60
// The seeds from 1001 on are those at which constants were chosen.

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdlib>
#include <ctime>
#include <map>
#include <numeric>
#include <optional>
#include <utility>
#include <vector>

#include "base/denormals.h"
#include "detector/detector.h"
#include "loop/matrix/matrix_scene.h"
#include "loop/random.h"
#include "taps/tap_rings.h"

using namespace brink;

namespace {

constexpr double kRateHz = 48000.0;
constexpr std::size_t kBlock = 4096;

loop::MatrixSceneOptions scene_of(std::uint64_t seed) {
  loop::Random random{seed * 77 + 5};
  loop::MatrixSceneOptions options;
  options.stage.room.seed = seed;
  options.stage.room.t60_s = random.between(0.2, 0.5);
  options.microphones = 2 + random.below(11);
  options.outputs = std::min(1 + random.below(4), options.microphones);
  options.stage.length_s = 10.0;
  options.stage.gain_db = loop::ramp(-6.0, random.between(1.0, 3.0), 0.5, 6.0);
  constexpr std::array kKinds{
      loop::ProgrammeKind::kVoice, loop::ProgrammeKind::kMusic, loop::ProgrammeKind::kSilence};
  options.stage.programme.kind = kKinds[seed % kKinds.size()];
  options.stage.programme.seed = seed;
  options.tap = loop::MatrixTap::kAll;
  return options;
}

struct TrueRing {
  const loop::MatrixNearBrink* near;
  double dominant_s;
  std::size_t best = 0;  // microphone
  double lead_db = 0.0;
};

std::vector<TrueRing> true_rings(const loop::MatrixRender& render, std::size_t microphones) {
  std::vector<TrueRing> rings;
  for (const loop::MatrixNearBrink& near : render.truth.near_brink) {
    std::optional<double> from_s;
    for (const auto& tap : render.rings) {
      for (const loop::RingLabel& label : tap) {
        if (label.frequency_hz == near.near.highest.frequency_hz) {
          from_s = std::min(from_s.value_or(1e9), label.dominant_s);
        }
      }
    }
    if (!from_s || near.shares.microphone.empty()) {
      continue;
    }
    TrueRing ring{&near, *from_s};
    const std::vector<double>& shares = near.shares.microphone;
    ring.best =
        static_cast<std::size_t>(std::max_element(shares.begin(), shares.end()) - shares.begin());
    double second = 0.0;
    for (std::size_t i = 0; i < microphones; ++i) {
      second = i == ring.best ? second : std::max(second, shares[i]);
    }
    ring.lead_db = second <= 0.0 ? 99.0 : 20.0 * std::log10(shares[ring.best] / second);
    rings.push_back(ring);
  }
  return rings;
}

struct Heard {
  detector::Ring ring;  // as first flagged, then as last told
  double flagged_s = 0.0;
  int first_named = 0;
  int last_named = 0;
  float first_share = 0.0F;
  bool is_withdrawn = false;
};

class Collector final : public detector::EventSink {
 public:
  void on_event(const detector::RingEvent& event) noexcept override { events.push_back(event); }

  std::vector<detector::RingEvent> events;
};

struct Listened {
  std::map<std::uint32_t, Heard> rings;  // certain
  std::map<std::pair<std::size_t, std::uint32_t>, std::uint32_t>
      stage_id;  // of a tap's certain ring
  std::map<std::pair<std::size_t, std::uint32_t>, double> tap_hz;
  double cpu_s = 0.0;  // to put them together
};

/// What each tap's detector said, block by block.
struct Detected {
  std::vector<std::vector<std::vector<detector::RingEvent>>> events;  // [tap][block]
  double cpu_s = 0.0;
};

double cpu_now_s() {
  return static_cast<double>(std::clock()) / CLOCKS_PER_SEC;
}

Detected detect(const std::vector<std::vector<float>>& taps) {
  Detected detected;
  const double start_s = cpu_now_s();
  for (const std::vector<float>& samples : taps) {
    detector::DetectorConfig config;
    config.sample_rate_hz = kRateHz;
    detector::Detector one{config};
    Collector sink;
    auto& blocks = detected.events.emplace_back();
    for (std::size_t at = 0; at <= samples.size(); at += kBlock) {
      const std::size_t count = std::min(kBlock, samples.size() - at);
      one.push(std::span(samples).subspan(at, count), sink);
      if (count < kBlock) {
        one.finish(sink);
      }
      blocks.push_back(std::exchange(sink.events, {}));
    }
  }
  detected.cpu_s = cpu_now_s() - start_s;
  return detected;
}

/// The stage of the taps named.
Listened listen(const std::vector<std::vector<float>>& sound,
                const Detected& detected,
                const std::vector<std::size_t>& taps,
                const std::vector<taps::TapInfo>& infos) {
  Listened heard;
  const double start_s = cpu_now_s();
  taps::TapRings stage{kRateHz, infos};
  const std::size_t length = sound.front().size();
  for (std::size_t at = 0; at <= length; at += kBlock) {
    const std::size_t count = std::min(kBlock, length - at);
    std::vector<std::span<const float>> block;
    std::vector<std::pair<std::size_t, detector::Ring>> certain;
    for (std::size_t t = 0; t < taps.size(); ++t) {
      block.push_back(std::span(sound[taps[t]]).subspan(at, count));
      for (const detector::RingEvent& event : detected.events[taps[t]][at / kBlock]) {
        stage.take(t, event);
        if (event.ring.state == detector::RingState::kRinging) {
          certain.emplace_back(t, event.ring);
        }
      }
    }
    stage.hear(block);
    for (const taps::TapRingEvent& event : stage.settle()) {
      if (event.ring.flagged_sample == detector::kNever) {
        continue;
      }
      const auto [entry, is_new] = heard.rings.try_emplace(event.ring.id);
      Heard& one = entry->second;
      if (is_new) {
        one.first_named = event.channel;
        one.flagged_s = static_cast<double>(event.sample) / kRateHz;
        one.ring = event.ring;
      }
      one.last_named = event.channel;
      one.ring.ended_sample = event.ring.ended_sample;
      one.is_withdrawn = event.ring.state == detector::RingState::kWithdrawn;
    }
    for (const auto& [tap, ring] : certain) {
      heard.stage_id[{tap, ring.id}] = taps.size() == 1 ? ring.id : stage.id_of(tap, ring.id);
      heard.tap_hz[{tap, ring.id}] = ring.frequency_hz;
    }
  }
  heard.cpu_s = cpu_now_s() - start_s;
  return heard;
}

/// The true ring at that frequency, heard or only near the brink, or nothing.
const loop::MatrixNearBrink* place_at(const loop::MatrixTruth& truth, double frequency_hz) {
  const loop::MatrixNearBrink* nearest = nullptr;
  double nearest_hz = std::max(3.0, 0.005 * frequency_hz);
  for (const loop::MatrixNearBrink& near : truth.near_brink) {
    const double hz =
        near.near.pole ? near.near.pole->frequency_hz : near.near.highest.frequency_hz;
    if (std::abs(hz - frequency_hz) <= nearest_hz) {
      nearest_hz = std::abs(hz - frequency_hz);
      nearest = &near;
    }
  }
  return nearest;
}

struct Named {
  int rings = 0;
  int first = 0;
  int last = 0;
};

struct Tally {
  Named by_6_db;
  Named by_2_db;
  Named all;
  int true_rings = 0;
  int found = 0;
  int told_once = 0;
  int told_again = 0;
  int two_as_one = 0;
  int groups = 0;
  int false_rings = 0;
  std::vector<double> delay_s;
};

void count_named(Named& named, const Heard& heard, const TrueRing& ring) {
  ++named.rings;
  named.first += heard.first_named == static_cast<int>(ring.best) + 1 ? 1 : 0;
  named.last += heard.last_named == static_cast<int>(ring.best) + 1 ? 1 : 0;
}

void score(Tally& tally,
           const Listened& heard,
           const loop::MatrixRender& render,
           const std::vector<TrueRing>& truth) {
  for (const TrueRing& ring : truth) {
    ++tally.true_rings;
    std::vector<const Heard*> told;
    for (const auto& [id, one] : heard.rings) {
      const auto* place = place_at(render.truth, one.ring.frequency_hz);
      if (!one.is_withdrawn && place == ring.near) {
        told.push_back(&one);
      }
    }
    if (told.empty()) {
      continue;
    }
    ++tally.found;
    std::sort(told.begin(), told.end(), [](const Heard* a, const Heard* b) {
      return a->flagged_s < b->flagged_s;
    });
    bool is_once = true;
    for (std::size_t i = 1; i < told.size(); ++i) {
      const auto ended = told[i - 1]->ring.ended_sample;
      is_once = is_once && ended != detector::kNever &&
                static_cast<double>(ended) / kRateHz <= told[i]->flagged_s;
    }
    ++(is_once ? tally.told_once : tally.told_again);
    tally.delay_s.push_back(told.front()->flagged_s - ring.dominant_s);
    count_named(tally.all, *told.front(), ring);
    if (ring.lead_db >= 2.0) {
      count_named(tally.by_2_db, *told.front(), ring);
    }
    if (ring.lead_db >= 6.0) {
      count_named(tally.by_6_db, *told.front(), ring);
    }
  }
  std::map<std::uint32_t, std::vector<const loop::MatrixNearBrink*>> places;
  for (const auto& [key, id] : heard.stage_id) {
    if (const auto* place = place_at(render.truth, heard.tap_hz.at(key))) {
      places[id].push_back(place);
    }
  }
  for (const auto& [id, list] : places) {
    ++tally.groups;
    const bool is_two = std::any_of(list.begin(), list.end(), [&](const auto* place) {
      return std::abs(place->near.highest.frequency_hz - list.front()->near.highest.frequency_hz) >
             20.0;
    });
    tally.two_as_one += is_two ? 1 : 0;
  }
  for (const auto& [id, one] : heard.rings) {
    tally.false_rings +=
        !one.is_withdrawn && place_at(render.truth, one.ring.frequency_hz) == nullptr ? 1 : 0;
  }
}

double quantile(std::vector<double> values, double share) {
  std::sort(values.begin(), values.end());
  return values.empty()
             ? 0.0
             : values[static_cast<std::size_t>(share * static_cast<double>(values.size() - 1))];
}

std::string named_text(const Named& named) {
  return fmt::format("{}: {:.3f} at the flag, {:.3f} at the end",
                     named.rings,
                     named.first / std::max(1.0, static_cast<double>(named.rings)),
                     named.last / std::max(1.0, static_cast<double>(named.rings)));
}

void print(const char* name, const Tally& tally, double scenes) {
  fmt::print(
      "{}\n  recall {:.3f} of {}; false {:.2f} a scene; delay median {:.2f} s, 95 % {:.2f} s\n",
      name,
      tally.found / std::max(1.0, static_cast<double>(tally.true_rings)),
      tally.true_rings,
      tally.false_rings / scenes,
      quantile(tally.delay_s, 0.5),
      quantile(tally.delay_s, 0.95));
  fmt::print("  told once {}, twice {}; two as one {} of {}\n",
             tally.told_once,
             tally.told_again,
             tally.two_as_one,
             tally.groups);
  fmt::print("  named, leads by 6 dB {}\n  named, leads by 2 dB {}\n  named, all {}\n",
             named_text(tally.by_6_db),
             named_text(tally.by_2_db),
             named_text(tally.all));
}

}  // namespace

int main(int argc, char** argv) {
  const auto first = static_cast<std::uint64_t>(argc > 1 ? std::atoi(argv[1]) : 1);
  const auto count = static_cast<std::uint64_t>(argc > 2 ? std::atoi(argv[2]) : 60);
  Tally channels;
  Tally with_outputs;
  double alone_found = 0.0;  // by the mean channel
  double alone_false = 0.0;
  std::vector<double> alone_delay_s;
  double cpu_s = 0.0;
  double stage_cpu_s = 0.0;
  double tap_s = 0.0;
  int with_rings = 0;
  for (std::uint64_t seed = first; seed < first + count; ++seed) {
    const loop::MatrixScene scene = loop::build_matrix_scene(scene_of(seed));
    const loop::MatrixRender render = loop::render(scene);
    const std::size_t microphones = scene.microphones.size();
    const std::vector<TrueRing> truth = true_rings(render, microphones);
    with_rings += truth.empty() ? 0 : 1;
    std::vector<taps::TapInfo> infos;
    for (std::size_t t = 0; t < render.taps.size(); ++t) {
      infos.push_back({static_cast<int>(t) + 1,
                       t < microphones ? taps::TapRole::kMicrophone : taps::TapRole::kOutput});
    }
    const base::NoDenormals no_denormals;
    const Detected detected = detect(render.taps);
    std::vector<std::size_t> all(render.taps.size());
    std::iota(all.begin(), all.end(), std::size_t{0});
    const std::vector<std::size_t> first_taps(
        all.begin(), all.begin() + static_cast<std::ptrdiff_t>(microphones));
    const std::vector<taps::TapInfo> first_infos(
        infos.begin(), infos.begin() + static_cast<std::ptrdiff_t>(microphones));
    score(channels, listen(render.taps, detected, first_taps, first_infos), render, truth);
    const Listened both = listen(render.taps, detected, all, infos);
    score(with_outputs, both, render, truth);
    cpu_s += detected.cpu_s + both.cpu_s;
    stage_cpu_s += both.cpu_s;
    tap_s += static_cast<double>(render.taps.size()) * scene.length_s;
    Tally taps_alone;
    for (std::size_t t = 0; t < microphones; ++t) {
      score(taps_alone, listen(render.taps, detected, {t}, {infos[t]}), render, truth);
    }
    const auto share = 1.0 / static_cast<double>(microphones);
    alone_found += taps_alone.found * share;
    alone_false += taps_alone.false_rings * share;
    alone_delay_s.insert(alone_delay_s.end(), taps_alone.delay_s.begin(), taps_alone.delay_s.end());
    fmt::print(stderr,
               "scene {}: {} microphones, {} outputs, {} rings; found and named rightly so far: "
               "channels {} and {}, with outputs {} and {}\n",
               seed,
               microphones,
               scene.loudspeakers.size(),
               truth.size(),
               channels.found,
               channels.all.first,
               with_outputs.found,
               with_outputs.all.first);
  }
  const auto scenes = static_cast<double>(count);
  fmt::print("{} scenes, of which {} have a ring\n", count, with_rings);
  print("channels after the fader", channels, scenes);
  print("channels and outputs", with_outputs, scenes);
  fmt::print(
      "one channel alone, the mean of them\n  recall {:.3f}; false {:.2f} a scene; "
      "delay median {:.2f} s, 95 % {:.2f} s\n",
      alone_found / std::max(1, channels.true_rings),
      alone_false / scenes,
      quantile(alone_delay_s, 0.5),
      quantile(alone_delay_s, 0.95));
  fmt::print(
      "processor for 32 taps: {:.1f} % of one core, of these {:.1f} % to put them together\n",
      100.0 * 32.0 * cpu_s / tap_s,
      100.0 * 32.0 * stage_cpu_s / tap_s);
  return 0;
}
