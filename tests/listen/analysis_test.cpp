#include "listen/analysis.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <limits>
#include <span>

#include "base/error.h"
#include "base/units.h"
#include "cuts/propose.h"
#include "listen/analyser.h"
#include "show/merge_rings.h"
#include "support/files.h"
#include "support/sounds.h"

using namespace brink;
using tests::RawWav;
using tests::RingSound;
using tests::TemporaryDirectory;

namespace {

std::vector<float> interleave(const std::vector<std::vector<float>>& channels) {
  std::vector<float> mixed;
  for (std::size_t i = 0; i < channels.front().size(); ++i) {
    for (const auto& channel : channels) {
      mixed.push_back(channel[i]);
    }
  }
  return mixed;
}

listen::Analysis analyse(const RawWav& wav, const listen::AnalysisOptions& options = {}) {
  const TemporaryDirectory dir;
  tests::write_bytes(dir / "take.wav", wav.bytes());
  io::SoundReader reader(dir / "take.wav");
  return listen::analyse(reader, options, nullptr);
}

RawWav stereo() {
  RingSound left;
  RingSound right;
  right.frequency_hz = 2750.0;
  right.onset_s = 1.0;
  right.seed = 2;
  RawWav wav;
  wav.channels = 2;
  wav.samples = interleave({left.samples(), right.samples()});
  return wav;
}

}  // namespace

TEST_CASE("a ring in each channel is found in its channel, with a cut where it rings") {
  const listen::Analysis analysis = analyse(stereo());
  REQUIRE(analysis.rings.size() == 2);
  CHECK(analysis.rings[0].channel == 2);  // the earlier onset comes first
  CHECK(analysis.rings[1].channel == 1);
  // Five cents: the 95 % bound of the project's own target is four, and this is a clean ring.
  CHECK(std::abs(base::cents_between(analysis.rings[0].ring.frequency_hz, 2750.0)) < 5.0);
  CHECK(std::abs(base::cents_between(analysis.rings[1].ring.frequency_hz, 1000.0)) < 5.0);
  for (const auto& found : analysis.rings) {
    CHECK(found.cut.depth_db < 0.0);
    CHECK(found.cut.centre_hz == doctest::Approx(found.ring.frequency_hz).epsilon(0.002));
    CHECK(found.ring.growth_db_per_s > 0.0);
    CHECK(found.ring.onset_sample <= found.ring.flagged_sample);
    CHECK(found.ring.flagged_sample < found.ring.ended_sample);
  }
  CHECK(analysis.cuts.size() == 2);
  CHECK(analysis.analysed.size() == 2);
  CHECK(analysis.duration_s() == 6.0);
}

TEST_CASE("one channel asked for is the only one heard, and its rings are the same") {
  const listen::Analysis both = analyse(stereo());
  const listen::Analysis one = analyse(stereo(), {1, false});
  REQUIRE(one.rings.size() == 1);
  CHECK(one.rings[0].channel == 1);
  CHECK(one.rings[0].ring.frequency_hz == both.rings[1].ring.frequency_hz);
  CHECK(one.rings[0].ring.flagged_sample == both.rings[1].ring.flagged_sample);
  CHECK(one.channels == 2);
  CHECK_THROWS_WITH_AS(
      analyse(stereo(), {3, false}), doctest::Contains("no channel 3; it has 2"), base::Error);
}

TEST_CASE(
    "from a file or by hand, whole or in crumbs: the same samples give the same rings, bit for "
    "bit") {
  RawWav wav;
  wav.samples = RingSound().samples();
  const listen::Analysis analysis = analyse(wav);
  REQUIRE(analysis.rings.size() == 1);
  for (const std::size_t step : {std::size_t{1}, std::size_t{977}, wav.samples.size()}) {
    detector::Detector detector({48000.0});
    show::RingList list(false);
    for (std::size_t at = 0; at < wav.samples.size(); at += step) {
      const std::size_t length = std::min(step, wav.samples.size() - at);
      detector.push(std::span(wav.samples).subspan(at, length), list);
    }
    detector.finish(list);
    REQUIRE(list.rings().size() == 1);
    const detector::Ring& file = analysis.rings[0].ring;
    const detector::Ring hand = list.rings()[0];
    CHECK(hand.id == file.id);
    CHECK(hand.frequency_hz == file.frequency_hz);
    CHECK(hand.frequency_sd_hz == file.frequency_sd_hz);
    CHECK(hand.onset_sample == file.onset_sample);
    CHECK(hand.flagged_sample == file.flagged_sample);
    CHECK(hand.ended_sample == file.ended_sample);
    CHECK(hand.growth_db_per_s == file.growth_db_per_s);
    CHECK(hand.peak_dbfs == file.peak_dbfs);
    CHECK(hand.confidence == file.confidence);
  }
}

TEST_CASE(
    "any number of jobs gives the same rings, bit for bit, and looks in the order of each "
    "channel") {
  const TemporaryDirectory dir;
  tests::write_bytes(dir / "take.wav", stereo().bytes());
  const listen::Analysis one = analyse(stereo());
  REQUIRE(one.rings.size() == 2);
  for (const int jobs : {1, 2, 3, 16}) {
    CAPTURE(jobs);
    std::array<std::int64_t, 2> heard{};
    std::array<bool, 2> is_rising{true, true};  // two channels may look at once
    const auto look = [&](int channel, std::int64_t samples, const detector::Detector&) {
      const auto line = static_cast<std::size_t>(channel - 1);
      is_rising[line] = is_rising[line] && samples > heard[line];
      heard[line] = samples;
    };
    io::SoundReader reader(dir / "take.wav");
    listen::AnalysisOptions options;
    options.jobs = jobs;
    const listen::Analysis many = listen::analyse(reader, options, nullptr, look);
    CHECK(is_rising == std::array{true, true});
    CHECK(heard[0] == heard[1]);
    CHECK(many.samples == one.samples);
    REQUIRE(many.rings.size() == 2);
    for (std::size_t i = 0; i < 2; ++i) {
      CHECK(many.rings[i].channel == one.rings[i].channel);
      CHECK(many.rings[i].ring.frequency_hz == one.rings[i].ring.frequency_hz);
      CHECK(many.rings[i].ring.frequency_sd_hz == one.rings[i].ring.frequency_sd_hz);
      CHECK(many.rings[i].ring.flagged_sample == one.rings[i].ring.flagged_sample);
      CHECK(many.rings[i].ring.growth_db_per_s == one.rings[i].ring.growth_db_per_s);
      CHECK(many.rings[i].cut == one.rings[i].cut);
    }
  }
}

TEST_CASE("what was found so far is told while the rest is still unheard") {
  const TemporaryDirectory dir;
  tests::write_bytes(dir / "take.wav", stereo().bytes());
  io::SoundReader reader(dir / "take.wav");
  listen::Analyser analyser(reader, {});
  std::size_t known = 0;
  while (analyser.advance()) {
    const listen::Analysis so_far = analyser.so_far();
    CHECK(so_far.rings.size() >= known);
    known = so_far.rings.size();
    if (known > 0 && so_far.samples < 4 * 48000) {
      break;  // the file has six seconds
    }
  }
  REQUIRE(known == 1);
  CHECK(analyser.done_ratio() < 0.8);
  const listen::Analysis part = analyser.finish();
  CHECK(part.was_stopped);
  CHECK(part.rings.front().channel == 2);
}

TEST_CASE("noise alone rings nowhere and takes no cut") {
  RawWav wav;
  wav.samples = tests::white_noise(5.0, 48000.0, -30.0, 9);
  const listen::Analysis analysis = analyse(wav);
  CHECK(analysis.rings.empty());
  CHECK(analysis.cuts.empty());
  CHECK(listen::warnings(analysis).empty());
}

TEST_CASE("samples that are no numbers are counted and named, nothing but them is refused") {
  RawWav wav;
  wav.samples = RingSound().samples();
  wav.samples[100] = std::numeric_limits<float>::quiet_NaN();
  wav.samples[200] = std::numeric_limits<float>::infinity();
  const listen::Analysis analysis = analyse(wav);
  CHECK(analysis.rings.size() == 1);
  REQUIRE(listen::warnings(analysis).size() == 1);
  CHECK(listen::warnings(analysis)[0].find("2 of 288000 samples are no numbers") !=
        std::string::npos);

  wav.samples.assign(48000, std::numeric_limits<float>::quiet_NaN());
  CHECK_THROWS_WITH_AS(
      analyse(wav), doctest::Contains("not one sample in it is a number"), base::Error);
}

TEST_CASE("progress rises to the end and can stop the work") {
  const TemporaryDirectory dir;
  RawWav wav;
  wav.samples = tests::white_noise(2.0, 48000.0, -30.0, 9);
  tests::write_bytes(dir / "take.wav", wav.bytes());
  double last = 0.0;
  io::SoundReader whole(dir / "take.wav");
  const listen::Analysis all = listen::analyse(whole, {}, [&](double done_ratio) {
    CHECK(done_ratio > last);
    last = done_ratio;
    return true;
  });
  CHECK(last == 1.0);
  CHECK_FALSE(all.was_stopped);
  io::SoundReader part(dir / "take.wav");
  const listen::Analysis some = listen::analyse(part, {}, [](double) { return false; });
  CHECK(some.was_stopped);
  CHECK(some.samples == io::SoundReader::kBlockSamples);
  CHECK(listen::warnings(some).empty());
}

TEST_CASE("a ring that stayed unsure to its end gets the least cut, however steep it rose") {
  listen::Analysis analysis;
  analysis.sample_rate_hz = 48000.0;
  listen::FoundRing found;
  found.ring.frequency_hz = 494.0;
  found.ring.growth_db_per_s = 100.0;  // 3 dB over the brink at 30 ms, and 2 dB: two steps
  found.ring.confidence = 0.46;
  CHECK(cuts::propose_cut(listen::to_measurement(found, analysis)).depth_db == -6.0);
  found.ring.confidence = 0.44;
  CHECK(cuts::propose_cut(listen::to_measurement(found, analysis)).depth_db == -3.0);
}
