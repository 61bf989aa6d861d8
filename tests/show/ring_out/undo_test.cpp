#include <doctest/doctest.h>

#include <cstddef>
#include <cstdint>
#include <optional>
#include <random>
#include <string>
#include <vector>

#include "cuts/band.h"
#include "show/ring_out/ring_out.h"
#include "support/heard.h"
#include "support/wedge.h"

using namespace brink;
using show::EventKind;
using show::RingOut;
using tests::Heard;
using tests::new_show;
using tests::Wedge;

TEST_CASE("undo moves no fader: a fader goes up by a hand alone") {
  Wedge wedge;
  wedge.flow.set_fader_db(-20.0);
  wedge.flow.step_fader_db(5.0);
  wedge.rings(800.0);
  wedge.flow.step_fader_db(-10.0);
  CHECK(wedge.flow.undo_what() == "add wedge 1");
  CHECK(wedge.flow.undo());
  CHECK(wedge.flow.output() == nullptr);
  CHECK(wedge.flow.redo());
  CHECK(wedge.flow.fader_db() == -25.0);
  CHECK(wedge.flow.undo());
  wedge.flow.add_output({"wedge 2", "", "", ""});
  CHECK(!wedge.flow.fader_db());  // another one, of which nothing is known
  CHECK(wedge.flow.undo());
  CHECK(!wedge.flow.undo());
  CHECK(wedge.flow.redo_what() == "add wedge 2");
}

TEST_CASE("a ring that is heard while undoing is no round's, and makes none") {
  Wedge wedge;
  wedge.round(-14.0, 700.0);
  wedge.flow.set_fader_db(-11.0);
  CHECK(wedge.flow.note_output("dry stage"));
  CHECK(wedge.flow.undo());
  const show::OutputRecord before = wedge.output();
  const auto id = wedge.rings(1200.0);
  CHECK(wedge.output() == before);  // nothing came back after round 1, as far as is known
  REQUIRE(wedge.flow.offered().size() == 1);
  wedge.fades(id, 1200.0);
  // Heard after the next move of the fader it counts.
  wedge.flow.set_fader_db(-10.0);
  wedge.rings(1900.0);
  CHECK(wedge.output().rounds[0].returned_at_db == -10.0);
}

TEST_CASE("an undone cut offers its ring again, that it faded is not forgotten") {
  Wedge wedge;
  wedge.flow.set_fader_db(-14.0);
  const auto id = wedge.rings(700.0);
  CHECK(wedge.log_first());
  CHECK(wedge.flow.undo());
  CHECK(wedge.output().rounds.empty());
  CHECK(wedge.output().cuts.empty());
  CHECK(wedge.flow.offered().size() == 1);
  CHECK(wedge.flow.redo());
  CHECK(wedge.flow.note_output("dry stage"));
  wedge.fades(id, 700.0);
  CHECK(wedge.output().rounds[0].has_faded);
  CHECK(wedge.flow.undo());  // the note
  CHECK(wedge.output().note.empty());
  CHECK(wedge.output().rounds[0].has_faded);
  CHECK(wedge.flow.redo());
  CHECK(wedge.output().rounds[0].has_faded);
}

namespace {

/// Does and says anything at all, in any order.
class Wanderer {
 public:
  explicit Wanderer(std::uint32_t seed) : random_(seed) {}

  /// True when an action, rather than an event, was asked for.
  bool step() {
    const std::uint32_t what = below(22);
    if (what < 6) {
      happen();
      return false;
    }
    act(what);
    return true;
  }

  RingOut flow{new_show()};

 private:
  std::uint32_t below(std::uint32_t count) { return static_cast<std::uint32_t>(random_() % count); }

  void happen() {
    if (sounding_.empty() || below(2) == 0) {
      sounding_.push_back({heard_.begins(), 100.0 * (1 + below(60))});
      const auto& ring = sounding_.back();
      flow.on_event(heard_.event(EventKind::kBuilding, ring.id, ring.frequency_hz));
      flow.on_event(heard_.event(EventKind::kRinging, ring.id, ring.frequency_hz));
      return;
    }
    const std::size_t index = below(static_cast<std::uint32_t>(sounding_.size()));
    const auto ring = sounding_[index];
    flow.on_event(heard_.event(EventKind::kFading, ring.id, ring.frequency_hz));
    if (below(2) == 0) {
      flow.on_event(heard_.event(EventKind::kGone, ring.id, ring.frequency_hz));
      sounding_.erase(sounding_.begin() + static_cast<std::ptrdiff_t>(index));
    }
  }

  std::uint64_t some_ring() {
    const auto offered = flow.offered();
    return offered.empty() ? 0 : offered[below(static_cast<std::uint32_t>(offered.size()))].id;
  }

  void act(std::uint32_t what) {
    switch (what) {
      case 6:
        flow.add_output({"output " + std::to_string(++output_count_), "", "", "parametric-4"});
        break;
      case 7:
        flow.choose_output(below(4));
        break;
      case 8:
        flow.tick(below(6), below(2) == 0);
        break;
      case 9:
      case 10:
        flow.step_fader_db(0.5 * below(8) - 1.5);
        break;
      case 11:
      case 12:
      case 13:
        flow.log_cut(some_ring());
        break;
      case 14:
        flow.log_cut(some_ring(), cuts::Band{100.0 * (1 + below(60)), 6.0, -4.5});
        break;
      case 15:
        flow.edit_cut(below(4), {100.0 * (1 + below(60)), 6.0, -1.0 * (1 + below(9))});
        break;
      case 16:
        below(2) == 0 ? flow.remove_cut(below(4))
                      : flow.add_cut(cuts::to_band(cuts::HighPass{80.0}));
        break;
      case 17:
        below(3) == 0 ? flow.restore(below(3)) : flow.dismiss(some_ring(), "hum", heard_.now());
        break;
      case 18:
        below(2) == 0 ? flow.let_go(some_ring()) : flow.mark_returned(below(5));
        break;
      case 19:
        below(2) == 0 ? flow.note_output("note " + std::to_string(below(3)))
                      : flow.note_round(below(3), "note");
        break;
      case 20:
        below(2) == 0 ? flow.back_off(below(10)) : flow.reopen();
        break;
      default:
        below(2) == 0 ? flow.log_last_check(heard_.now())
                      : flow.name_show("venue", "show " + std::to_string(below(3)));
        break;
    }
  }

  struct Sounding {
    std::uint32_t id;
    double frequency_hz;
  };

  std::mt19937 random_;
  Heard heard_;
  std::vector<Sounding> sounding_;
  int output_count_ = 0;
};

/// Everything that undo brings back.
struct Seen {
  show::ShowRecord record;
  std::optional<std::size_t> chosen;

  explicit Seen(const RingOut& flow) : record(flow.record()), chosen(flow.chosen()) {
    for (show::OutputRecord& output : record.outputs) {
      output.start_at_db.reset();  // heard, not done: compared apart
      for (show::RoundRecord& round : output.rounds) {
        round.has_faded = false;
        round.returned_at_db.reset();
      }
    }
    record.check.reset();
  }

  friend bool operator==(const Seen&, const Seen&) = default;
};

}  // namespace

TEST_CASE(
    "whatever is done, undoing all of it leads back to the start, and redoing all to the end") {
  for (std::uint32_t seed = 1; seed <= 20; ++seed) {
    CAPTURE(seed);
    Wanderer wanderer(seed);
    RingOut& flow = wanderer.flow;
    std::vector<Seen> path{Seen(flow)};
    for (int count = 0; count < 120; ++count) {
      const std::uint64_t revision = flow.revision();
      const show::ShowRecord record = flow.record();
      wanderer.step();
      CHECK((flow.record() == record || flow.revision() != revision));
      if (path.back() != Seen(flow)) {
        path.emplace_back(flow);
      }
    }
    show::ShowRecord end = flow.record();
    end.check.reset();  // undo voids it for good
    // Backwards through places of the path, in order.
    std::size_t at = path.size() - 1;
    int undone = 0;
    while (flow.undo()) {
      ++undone;
      const Seen now(flow);
      while (at > 0 && path[at] != now) {
        --at;
      }
      REQUIRE(path[at] == now);
    }
    CHECK(undone > 20);
    CHECK(flow.record() == new_show());
    CHECK(!flow.chosen());
    int redone = 0;
    while (flow.redo()) {
      ++redone;
    }
    CHECK(redone == undone);
    CHECK(flow.record() == end);  // what was heard included
    CHECK(Seen(flow) == path.back());
  }
}

TEST_CASE("after an undo a new action takes the place of what could be redone") {
  Wedge wedge;
  wedge.flow.note_output("one");
  wedge.flow.note_output("two");
  CHECK(wedge.flow.undo());
  CHECK(wedge.output().note == "one");
  wedge.flow.note_output("three");
  CHECK(!wedge.flow.redo());
  CHECK(wedge.flow.undo());
  CHECK(wedge.output().note == "one");
}
