#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <vector>

#include "base/units.h"
#include "panel/draw/label_places.h"
#include "panel/draw/words.h"
#include "panel/plots/brink_map.h"
#include "panel/plots/frequency_axis.h"
#include "panel/plots/spectrum_plot.h"
#include "panel/plots/trails.h"

using namespace brink;
using namespace brink::panel;

TEST_CASE("the brink lies half way up the map, and more growth lies higher, up to the edge") {
  CHECK(growth_share(0.0) == doctest::Approx(0.5));
  double last = -1.0;
  for (double growth = -200.0; growth <= 200.0; growth += 0.5) {
    const auto share = static_cast<double>(growth_share(growth));
    CHECK(share > last);
    CHECK(share + static_cast<double>(growth_share(-growth)) == doctest::Approx(1.0));
    last = share;
  }
  CHECK(growth_share(1e9) == 1.0F);
  CHECK(growth_share(-1e9) == 0.0F);
}

TEST_CASE("the frequency axis gives every octave the same width and finds its way back") {
  const FrequencyAxis axis{100.0F, 900.0F};
  const float octave = axis.x_of(200.0) - axis.x_of(100.0);
  CHECK(axis.x_of(8000.0) - axis.x_of(4000.0) == doctest::Approx(octave).epsilon(1e-4));
  CHECK(axis.x_of(FrequencyAxis::kLowestHz) == doctest::Approx(100.0F));
  CHECK(axis.x_of(FrequencyAxis::kHighestHz) == doctest::Approx(900.0F));
  // A tenth of a pixel is about 0.8 per mille here; single precision adds less.
  CHECK(axis.hz_at(axis.x_of(1234.0)) == doctest::Approx(1234.0).epsilon(1e-3));
}

TEST_CASE("a column of the spectrum shows the highest level that falls into it") {
  std::vector<float> hz;
  std::vector<float> dbfs;
  for (int i = 0; i < 20000; ++i) {
    hz.push_back(40.0F + static_cast<float>(i));
    dbfs.push_back(-90.0F);
  }
  dbfs[1000 - 40] = -10.0F;
  std::vector<float> columns(800);
  to_columns(hz, dbfs, columns);
  const auto at = static_cast<std::size_t>(FrequencyAxis::to_share(1000.0) * 800.0);
  CHECK(columns[at] == -10.0F);
  CHECK(columns[at + 2] == -90.0F);
  CHECK(columns[0] == -90.0F);
}

TEST_CASE("between bins that lie far apart the columns follow a straight line") {
  const std::array<float, 2> hz{100.0F, 400.0F};
  const std::array<float, 2> dbfs{-80.0F, -40.0F};
  std::vector<float> columns(1000);
  to_columns(hz, dbfs, columns);
  const auto middle = static_cast<std::size_t>(FrequencyAxis::to_share(200.0) * 1000.0);
  CHECK(columns[middle] == doctest::Approx(-60.0).epsilon(0.01));
  CHECK(static_cast<double>(columns.front()) == base::kSilenceDb);
  CHECK(static_cast<double>(columns.back()) == base::kSilenceDb);
}

TEST_CASE("a track leaves a trail of where it was, and takes it along when it goes") {
  Trails trails;
  detector::TrackView track;
  track.track_id = 7;
  for (int i = 0; i < 100; ++i) {
    track.growth_db_per_s = i;
    trails.look({&track, 1});
  }
  const Trails::Trail* trail = trails.find(7);
  REQUIRE(trail != nullptr);
  CHECK(trail->size() == Trails::kPoints);
  CHECK(trail->at(0).growth_db_per_s == 99.0F);
  CHECK(trail->at(Trails::kPoints - 1).growth_db_per_s == 100.0F - Trails::kPoints);
  trails.look({});
  CHECK(trails.find(7) == nullptr);
}

TEST_CASE("growth, cuts and time read as an engineer says them") {
  CHECK(growth_words(34.7) == "+35 dB/s");
  CHECK(growth_words(-4.25) == "-4.2 dB/s");
  CHECK(clock_words(3723.9) == "01:02:03");
  const std::array<cuts::Cut, 2> cuts{{{2631.0, 8.0, -6.0}, {811.0, 4.3, -3.5}}};
  CHECK(cut_words(cuts, cuts::Target::Kind::kParametric) ==
        "cut 2.63 kHz  Q 8  -6.0 dB  and 811 Hz  Q 4.3  -3.5 dB");
  CHECK(cut_words({}, cuts::Target::Kind::kParametric) == kNoCutHelps);
}

TEST_CASE("labels stand beside their marks, and none on another while there is room") {
  const Rect plot{0.0F, 0.0F, 400.0F, 300.0F};
  constexpr float kReach = 10.0F;
  constexpr float kWidth = 60.0F;
  constexpr float kHeight = 15.0F;
  const auto is_within = [&](const Rect& label) {
    return label.left >= plot.left && label.right <= plot.right && label.top >= plot.top &&
           label.bottom <= plot.bottom;
  };

  LabelPlaces alone(plot);
  const Rect right = alone.take(100.0F, 100.0F, kReach, kWidth, kHeight);
  CHECK(right.left == 110.0F);
  CHECK(right.middle_y() == doctest::Approx(100.0));
  const Rect left = alone.take(390.0F, 200.0F, kReach, kWidth, kHeight);
  CHECK(left.right == 380.0F);

  // Five marks as near to each other as rings of one loop can be.
  LabelPlaces crowd(plot);
  std::vector<Rect> labels;
  for (const float x : {200.0F, 205.0F, 210.0F, 215.0F, 220.0F}) {
    labels.push_back(crowd.take(x, 150.0F, kReach, kWidth, kHeight));
  }
  for (std::size_t i = 0; i < labels.size(); ++i) {
    CHECK(is_within(labels[i]));
    for (std::size_t k = 0; k < i; ++k) {
      const bool is_apart = labels[i].right <= labels[k].left ||
                            labels[k].right <= labels[i].left ||
                            labels[i].bottom <= labels[k].top || labels[k].bottom <= labels[i].top;
      CHECK(is_apart);
    }
  }

  // A line through the mark: above or below it, not through the letters.
  LabelPlaces lined(plot);
  lined.keep_free({0.0F, 149.0F, 400.0F, 151.0F});
  const Rect off_line = lined.take(200.0F, 150.0F, kReach, kWidth, kHeight);
  CHECK((off_line.bottom <= 149.0F || off_line.top >= 151.0F));

  // No room at all: it is shown all the same.
  LabelPlaces full(plot);
  full.keep_free(plot);
  CHECK(full.take(200.0F, 150.0F, kReach, kWidth, kHeight).left == 210.0F);
}
