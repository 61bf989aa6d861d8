#include "detector/scales.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <span>

#include "support/tones.h"

using namespace brink::detector;
using brink::tests::Tones;

namespace {

constexpr std::array kRates{
    8000.0, 11025.0, 16000.0, 22050.0, 44100.0, 48000.0, 88200.0, 96000.0, 192000.0};

const Scale* speaker_for(const Scales& scales, double frequency_hz) {
  const Scale* found = nullptr;
  for (const Scale& scale : scales.all()) {
    if (frequency_hz >= static_cast<double>(scale.lowest_hz) &&
        frequency_hz < static_cast<double>(scale.highest_hz)) {
      CHECK(found == nullptr);  // one voice for each frequency
      found = &scale;
    }
  }
  return found;
}

}  // namespace

TEST_CASE("at every rate a hop is 16 ms and each frequency has one scale that speaks for it") {
  for (const double rate : kRates) {
    CAPTURE(rate);
    const Scales scales{rate};
    // Rounded to samples of the lowest rate inside, at least 2.5 kHz.
    CHECK(scales.hop_samples() / rate == doctest::Approx(0.016).epsilon(0.02));
    for (double frequency = 45.0; frequency < std::min(0.44 * rate, 20000.0); frequency *= 1.1) {
      CAPTURE(frequency);
      const Scale* scale = speaker_for(scales, frequency);
      REQUIRE(scale != nullptr);
      CHECK(scale->spectrum.hop_s() == doctest::Approx(scales.hop_samples() / rate));
      CHECK(static_cast<double>(scale->spectrum.bin_count() - 1) * scale->spectrum.bin_width_hz() >
            frequency);
      // Rooms have their places 4/T60 apart: low frequencies are looked at through long windows;
      // growth of 100 dB/s and more is found in the treble: there they are short.
      CHECK(static_cast<double>(scale->window_s()) == doctest::Approx(frequency < 700.0    ? 0.3413
                                                                      : frequency < 3500.0 ? 0.1707
                                                                                           : 0.0853)
                                                          .epsilon(0.06));
      CHECK(scale->delay_s() > 0.4999 * static_cast<double>(scale->window_s()));
      CHECK(scale->delay_s() < 0.5 * static_cast<double>(scale->window_s()) + 0.05);
    }
  }
}

TEST_CASE("a tone reads its level and frequency in the scale that speaks for it, at every rate") {
  for (const double rate : kRates) {
    for (const double frequency : {60.0, 440.0, 690.0, 1234.5, 3300.0}) {
      CAPTURE(rate);
      CAPTURE(frequency);
      const Tones tones = Tones(1.2, rate, -90.0).add(frequency, [](double) { return -12.0; });
      Scales scales{rate};
      const auto hop = static_cast<std::size_t>(scales.hop_samples());
      std::span<const float> rest{tones.samples()};
      for (; rest.size() >= hop; rest = rest.subspan(hop)) {
        scales.advance(rest.first(hop));
      }
      const Scale* scale = speaker_for(scales, frequency);
      REQUIRE(scale != nullptr);
      const auto live = scale->tracks.live();
      const auto loudest =
          std::max_element(live.begin(), live.end(), [](const Track* a, const Track* b) {
            return a->look(0).level_dbfs < b->look(0).level_dbfs;
          });
      REQUIRE(loudest != live.end());
      CHECK(static_cast<double>((*loudest)->frequency_hz) ==
            doctest::Approx(frequency).epsilon(0.001));
      // A decimator is flat within a tenth of a dB.
      CHECK(std::abs((*loudest)->look(0).level_dbfs + 12.0F) < 0.15F);
    }
  }
}
