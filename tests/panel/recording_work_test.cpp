#include "panel/recording/recording_work.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <atomic>
#include <chrono>
#include <cmath>
#include <memory>
#include <thread>
#include <vector>

#include "io/sound_file.h"
#include "panel/plots/frequency_axis.h"
#include "panel/recording/recording_rings.h"
#include "support/files.h"

using namespace brink;
using namespace brink::panel;

namespace {

const std::string kClip = std::string(BRINK_TEST_SIGNALS) + "/two_rings.flac";

template <typename IsSo>
void wait_until(const IsSo& is_so) {
  // Far longer than the work takes on a loaded machine; a hang fails.
  const auto end = std::chrono::steady_clock::now() + std::chrono::seconds(60);
  while (!is_so() && std::chrono::steady_clock::now() < end) {
    std::this_thread::sleep_for(std::chrono::milliseconds(2));
  }
  REQUIRE(is_so());
}

listen::Analysis analysed(const std::string& path) {
  io::SoundReader reader(path);
  return listen::analyse(reader, {}, {});
}

}  // namespace

TEST_CASE("watching the spectra changes no ring") {
  std::atomic<int> news{0};
  RecordingWork work(kClip, [&] { ++news; });
  wait_until([&] { return work.is_over(); });
  CHECK(work.fault().empty());
  CHECK(news >= 1);
  const listen::Analysis plain = analysed(kClip);
  const listen::Analysis& watched = work.found().analysis;
  REQUIRE(plain.rings.size() >= 2);
  REQUIRE(watched.rings.size() == plain.rings.size());
  for (std::size_t i = 0; i < plain.rings.size(); ++i) {
    CHECK(watched.rings[i].ring.frequency_hz == plain.rings[i].ring.frequency_hz);
    CHECK(watched.rings[i].ring.onset_sample == plain.rings[i].ring.onset_sample);
    CHECK(watched.rings[i].ring.flagged_sample == plain.rings[i].ring.flagged_sample);
    CHECK(watched.rings[i].cut == plain.rings[i].cut);
  }
  REQUIRE(work.found().pictures.size() == 1);
  CHECK(work.found().pictures.front().column_count() > 100);
}

TEST_CASE("a click stands in the picture where it is in the file, at every frequency") {
  const tests::TemporaryDirectory folder;
  for (const double rate_hz : {44100.0, 48000.0, 192000.0}) {
    const std::string path = folder / (std::to_string(rate_hz) + ".wav");
    constexpr double kClickS = 2.3;
    std::vector<float> samples(static_cast<std::size_t>(4.0 * rate_hz), 0.0F);
    samples[static_cast<std::size_t>(kClickS * rate_hz)] = 0.9F;
    io::SoundWriter writer(path, rate_hz, 1, io::SampleFormat::kFloat);
    writer.write(samples);
    writer.close();
    RecordingWork work(path, [] {});
    wait_until([&] { return work.is_over(); });
    REQUIRE(work.found().pictures.size() == 1);
    const Spectrogram& picture = work.found().pictures.front();
    for (const double frequency_hz : {60.0, 500.0, 1000.0, 3000.0, 5000.0, 12000.0}) {
      const int row = static_cast<int>(FrequencyAxis::to_share(frequency_hz) * Spectrogram::kRows);
      float loudest_dbfs = -1000.0F;
      double sum_s = 0.0;
      int count = 0;
      for (int column = 0; column < picture.column_count(); ++column) {
        const float level_dbfs = picture.level_dbfs(column, row);
        if (level_dbfs > loudest_dbfs) {
          loudest_dbfs = level_dbfs;
          sum_s = 0.0;
          count = 0;
        }
        if (level_dbfs == loudest_dbfs) {
          sum_s += (column + 0.5) * static_cast<double>(picture.column_samples()) / rate_hz;
          ++count;
        }
      }
      CAPTURE(rate_hz);
      CAPTURE(frequency_hz);
      CHECK(loudest_dbfs > -100.0F);
      // Half a column, as long as a hop of 16 ms here, and half a hop between two looks.
      CHECK(std::abs(sum_s / count - kClickS) <= 0.0165);
    }
  }
}

TEST_CASE("work that is stopped at once is over soon and says that it is not all") {
  RecordingWork work(kClip, [] {});
  work.stop();
  wait_until([&] { return work.is_over(); });
  CHECK(work.found().analysis.was_stopped);
  CHECK(work.found().analysis.samples < analysed(kClip).samples);
}

TEST_CASE("a file that is no recording is one sentence") {
  const tests::TemporaryDirectory folder;
  const std::string path = folder / "notes.wav";
  tests::write_bytes(path, "bring two more stands");
  RecordingWork work(path, [] {});
  wait_until([&] { return work.is_over(); });
  CHECK(work.fault().find("notes.wav") != std::string::npos);
}

TEST_CASE("a place that rang twice is one row with the cut of its loudest ring") {
  listen::Analysis analysis = analysed(kClip);
  REQUIRE(analysis.rings.size() >= 2);
  RecordingRings one;
  one.show(std::make_shared<listen::Analysis>(analysis), 0);
  const std::size_t before = one.rows().size();
  const std::size_t lead = one.rows().front().place.loudest;
  listen::FoundRing again = analysis.rings[lead];
  again.ring.peak_dbfs += 3.0;
  analysis.rings.push_back(again);
  RecordingRings rings;
  rings.show(std::make_shared<listen::Analysis>(analysis), 0);
  REQUIRE(rings.rows().size() == before);
  CHECK(rings.rows().front().place.rings.size() >= 2);
  CHECK(&rings.loudest(0) == &rings.rings().back());
}

TEST_CASE("a channel's rings are its own, fitted to whatever the target is") {
  listen::Analysis analysis = analysed(kClip);
  REQUIRE(analysis.rings.size() >= 2);
  analysis.channels = 2;
  analysis.rings.front().channel = 2;
  RecordingRings rings;
  const auto shown = std::make_shared<const listen::Analysis>(analysis);
  rings.show(shown, 0);
  CHECK(rings.rings().size() == analysis.rings.size());
  rings.show(shown, 2);
  REQUIRE(rings.rings().size() == 1);
  for (const char* name : {"parametric", "third-octave"}) {
    const cuts::Target& target = *cuts::find_target(name);
    rings.fit(target, [] {});
    CHECK_FALSE(rings.is_fitted());
    wait_until([&] {
      rings.fit(target, [] {});
      return rings.is_fitted();
    });
    REQUIRE_FALSE(rings.cuts(0).empty());
    // On the target: a graphic's cut stands at one of its centres.
    const auto& centres = target.centres_hz;
    CHECK(std::find(centres.begin(), centres.end(), rings.cuts(0).front().centre_hz) !=
          centres.end());
  }
}
