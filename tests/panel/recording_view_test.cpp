#include "panel/recording/recording_view.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "io/sound_file.h"
#include "panel/plots/frequency_axis.h"
#include "panel/recording/recording_picture.h"
#include "panel/recording/recording_work.h"
#include "support/files.h"
#include "support/sounds.h"

using namespace brink;
using namespace brink::panel;

TEST_CASE("zooming keeps the moment under the hand, and ends at the whole and at four seconds") {
  RecordingView view;
  view.open(48000 * 600, 48000.0);
  CHECK(view.is_whole());
  view.zoom(0.5, 0.25);
  // A quarter of the way through 600 s lies 150 s, a quarter of the way through 75 s to 375 s.
  CHECK(view.from() == doctest::Approx(75.0 * 48000));
  CHECK(view.to() == doctest::Approx(375.0 * 48000));
  view.zoom(1e-6, 0.5);
  CHECK(view.to() - view.from() == doctest::Approx(4.0 * 48000));
  view.pan(-1000.0);
  CHECK(view.from() == 0.0);
  view.bring(500.0 * 48000);
  CHECK(view.from() < 500.0 * 48000);
  CHECK(view.to() > 500.0 * 48000);
  view.zoom(1e9, 0.5);
  CHECK(view.is_whole());
}

TEST_CASE("a recording that grows is shown whole as long as nobody looked closer") {
  RecordingView view;
  view.open(48000 * 10, 48000.0);
  view.grow(48000 * 20);
  CHECK(view.is_whole());
  CHECK(view.to() == 48000.0 * 20);
  view.zoom(0.5, 0.0);
  view.grow(48000 * 40);
  CHECK(view.to() == 48000.0 * 10);
}

TEST_CASE("a place in the plot and its channel, moment and frequency lead to each other") {
  const PlotScale strips{{100.0F, 50.0F, 900.0F, 450.0F}, 1000.0, 9000.0, 0, 4};
  for (const int channel : {1, 2, 4}) {
    const float y = strips.y_of(1000.0, channel);
    CHECK(strips.channel_at(y) == channel);
    CHECK(strips.hz_at(y) == doctest::Approx(1000.0).epsilon(0.01));
  }
  CHECK(strips.sample_at(strips.x_of(5000.0)) == doctest::Approx(5000.0));
  const PlotScale one{{100.0F, 50.0F, 900.0F, 450.0F}, 0.0, 9000.0, 3, 4};
  CHECK(one.channel_at(60.0F) == 3);
  CHECK(one.strips() == 1);
}

TEST_CASE("a part that is read again stands where it is in the file, finer than the whole") {
  const tests::TemporaryDirectory folder;
  const std::string path = folder / "clicks.wav";
  constexpr double kRateHz = 48000.0;
  std::vector<float> samples(static_cast<std::size_t>(40.0 * kRateHz), 0.0F);
  samples[static_cast<std::size_t>(21.3 * kRateHz)] = 0.9F;
  io::SoundWriter writer(path, kRateHz, 1, io::SampleFormat::kFloat);
  writer.write(samples);
  writer.close();
  const RecordingSection section = read_section({}, path, 48000 * 19, 48000 * 25, 1);
  REQUIRE(section.channels.size() == 1);
  const Spectrogram& picture = section.channels.front();
  for (const double frequency_hz : {100.0, 1000.0, 8000.0}) {
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
        sum_s += 19.0 + (column + 0.5) * static_cast<double>(picture.column_samples()) / kRateHz;
        ++count;
      }
    }
    CAPTURE(frequency_hz);
    CHECK(loudest_dbfs > -100.0F);
    // As for the whole picture: half a column and half a hop.
    CHECK(std::abs(sum_s / count - 21.3) <= 0.0165);
  }
  std::stop_source stopped;
  stopped.request_stop();
  CHECK(read_section(stopped.get_token(), path, 0, 48000, 1).channels.empty());
}
