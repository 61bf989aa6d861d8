#include "panel/plots/spectrogram.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include "panel/draw/words.h"
#include "panel/plots/frequency_axis.h"

using namespace brink::panel;

namespace {

constexpr int kHop = 100;

/// Bins 10 Hz apart up to 20 kHz.
std::vector<float> bins_hz() {
  std::vector<float> hz;
  for (int i = 1; i <= 2000; ++i) {
    hz.push_back(10.0F * static_cast<float>(i));
  }
  return hz;
}

/// A line at one bin over a floor of -90 dBFS.
std::vector<float> line_at(std::size_t bin, float level_dbfs) {
  std::vector<float> levels(2000, -90.0F);
  levels[bin] = level_dbfs;
  return levels;
}

int row_of(double frequency_hz) {
  return static_cast<int>(FrequencyAxis::to_share(frequency_hz) * Spectrogram::kRows);
}

const Spectrogram& look_all(SpectrogramMaker& maker, int looks, int loud_look) {
  const auto hz = bins_hz();
  const auto quiet = line_at(99, -60.0F);
  const auto loud = line_at(99, -10.0F);
  for (int look = 1; look <= looks; ++look) {
    maker.look(look * kHop, hz, look == loud_look ? loud : quiet);
  }
  maker.finish();
  return maker.picture();
}

}  // namespace

TEST_CASE("a tone stands in its row from the first column to the last") {
  SpectrogramMaker maker(50 * kHop, kHop);
  const Spectrogram& picture = look_all(maker, 50, 20);
  REQUIRE(picture.column_count() == 50);
  for (int column = 0; column < 50; ++column) {
    // A level is kept to the next half dB.
    const float expected_dbfs = column == 19 ? -10.0F : -60.0F;
    CHECK(std::abs(picture.level_dbfs(column, row_of(1000.0)) - expected_dbfs) <= 0.25F);
    CHECK(std::abs(picture.level_dbfs(column, row_of(8000.0)) + 90.0F) <= 0.25F);
  }
}

TEST_CASE("a long recording keeps its loudest look, however long, told or not") {
  constexpr int kLooks = 7000;
  constexpr int kLoudLook = 5000;
  for (const std::int64_t expected : {std::int64_t{kLooks} * kHop, std::int64_t{-1}}) {
    SpectrogramMaker maker(expected, kHop);
    const Spectrogram& picture = look_all(maker, kLooks, kLoudLook);
    REQUIRE(picture.column_count() <= Spectrogram::kColumns);
    CHECK(picture.column_count() > Spectrogram::kColumns / 2 - 1);
    int loud_columns = 0;
    for (int column = 0; column < picture.column_count(); ++column) {
      if (picture.level_dbfs(column, row_of(1000.0)) > -20.0F) {
        ++loud_columns;
        // The look ends in the column, whose edges belong to one of two.
        const std::int64_t end = kLoudLook * kHop;
        CHECK(column * picture.column_samples() <= end);
        CHECK((column + 1) * picture.column_samples() >= end);
      }
    }
    CHECK(loud_columns == 1);
  }
}

TEST_CASE("nothing looked at is an empty picture") {
  SpectrogramMaker maker(0, kHop);
  maker.finish();
  CHECK(maker.picture().column_count() == 0);
}

TEST_CASE("a place in a recording is said to the tenth of a second") {
  CHECK(place_words(0.0) == "0:00.0");
  CHECK(place_words(10.61) == "0:10.6");
  CHECK(place_words(59.96) == "1:00.0");
  CHECK(place_words(3723.4) == "1:02:03.4");
}

TEST_CASE("the loudest of some rows is the loudest of each, also where a delay shifts them") {
  SpectrogramMaker maker(50 * kHop, kHop);
  const std::vector<float> delays_hz{40.0F, 1000.0F, 20000.0F};
  const std::vector<float> delays{8.0F * kHop, 3.0F * kHop, 0.0F};
  maker.set_delays(delays_hz, delays);
  const Spectrogram& picture = look_all(maker, 50, 20);
  const int middle = row_of(1000.0);
  std::vector<float> levels(50);
  picture.loudest(middle - 7, middle + 8, levels);
  for (int column = 0; column < 50; ++column) {
    float loudest_dbfs = -1000.0F;
    for (int row = middle - 7; row < middle + 8; ++row) {
      loudest_dbfs = std::max(loudest_dbfs, picture.level_dbfs(column, row));
    }
    CHECK(levels[static_cast<std::size_t>(column)] == loudest_dbfs);
  }
}

TEST_CASE("a picture that was taken stays what it was while looks go on and columns are joined") {
  const auto hz = bins_hz();
  SpectrogramMaker maker(-1, kHop);
  int looks = 0;
  const auto look = [&](int count, float level_dbfs) {
    for (const int end = looks + count; looks < end;) {
      maker.look(++looks * kHop, hz, line_at(99, level_dbfs));
    }
  };
  look(300, -60.0F);
  const Spectrogram early = maker.picture();
  const int columns = early.column_count();
  CHECK(columns >= 298);
  look(3 * Spectrogram::kColumns, -10.0F);
  CHECK(maker.picture().column_samples() > early.column_samples());
  REQUIRE(early.column_count() == columns);
  for (int column = 0; column < columns; ++column) {
    CHECK(std::abs(early.level_dbfs(column, row_of(1000.0)) + 60.0F) <= 0.25F);
  }
}
