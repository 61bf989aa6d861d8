#pragma once

#include <doctest/doctest.h>

#include <cstddef>
#include <cstdint>
#include <optional>
#include <vector>

#include "show/ring_out/ring_out.h"
#include "support/heard.h"

namespace brink::tests {

inline show::ShowRecord new_show() {
  show::ShowRecord show;
  show.key = "00112233445566778899aabbccddeeff";
  show.venue = "The Old Tannery";
  show.name = "Tin Lanterns";
  return show;
}

/// A wedge that is being rung out, and what is heard of it.
struct Wedge {
  show::RingOut flow{new_show()};
  Heard heard;

  explicit Wedge(const char* target = "parametric") {
    flow.add_output({"wedge 1", "vocal", "centre stage", target});
  }

  std::uint32_t rings(double frequency_hz, double level_dbfs = -30.0, int tap = 1) {
    const std::uint32_t id = heard.begins();
    flow.on_event(
        heard.event(show::EventKind::kBuilding, id, frequency_hz, level_dbfs - 20.0, tap));
    flow.on_event(heard.event(show::EventKind::kRinging, id, frequency_hz, level_dbfs, tap));
    return id;
  }

  void fades(std::uint32_t id, double frequency_hz, int tap = 1) {
    flow.on_event(heard.event(show::EventKind::kFading, id, frequency_hz, -40.0, tap));
    flow.on_event(heard.event(show::EventKind::kGone, id, frequency_hz, -70.0, tap));
  }

  /// Sound for so long, told of as often as a window draws.
  void listens(double for_s, double peak_dbfs = -35.0) {
    for (double passed_s = 0.0; passed_s <= for_s; passed_s += 0.1) {
      heard.passes(0.1);
      flow.on_sound({heard.stream_s(), peak_dbfs, true});
    }
  }

  /// All outputs open where they were left, on a stage that shows it.
  void opens_all() {
    std::vector<std::optional<double>> faders_db;
    for (std::size_t i = 0; i < flow.record().outputs.size(); ++i) {
      faders_db.push_back(flow.fader_db(i));
    }
    flow.see_faders(faders_db);
  }

  /// The first on the list, as one key logs it.
  bool log_first() {
    const auto offered = flow.offered();
    return !offered.empty() && flow.log_cut(offered.front().id);
  }

  /// Raise to a fader position, ring, cut, fade.
  void round(double fader_db, double frequency_hz) {
    flow.set_fader_db(fader_db);
    const auto id = rings(frequency_hz);
    REQUIRE(log_first());
    fades(id, frequency_hz);
  }

  /// One ring, some decibels back, and a last check that was listened to.
  void passes_last_check() {
    round(-10.0, 700.0);
    flow.back_off();
    opens_all();
    listens(12.0);
    REQUIRE(flow.log_last_check(heard.now()));
  }

  [[nodiscard]] const show::OutputRecord& output() const { return *flow.output(); }
};

}  // namespace brink::tests
