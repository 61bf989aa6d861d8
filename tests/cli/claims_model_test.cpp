// Random evenings of ringing out, as keys and a session would drive them, against a model that
// knows only what was done and heard. BRINK_EVENINGS says how many; unset, a few thousand.

#include "cli/claims_model.h"

#include <doctest/doctest.h>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <random>
#include <string>
#include <vector>

#include "base/time_of_day.h"
#include "io/book/book.h"
#include "io/book/book_reader.h"
#include "report/book/book_json.h"
#include "report/book/book_text.h"
#include "sheet/facts.h"
#include "sheet/sheet.h"
#include "show/last_check.h"
#include "show/ring_out/ring_out.h"
#include "support/files.h"
#include "support/heard.h"

using namespace brink;
using show::EventKind;
using show::RingOut;
using tests::ClaimsModel;

namespace {

constexpr int kUsualEvenings = 3000;
constexpr int kSteps = 90;

show::ShowRecord new_show() {
  show::ShowRecord show;
  show.key = "00112233445566778899aabbccddeeff";
  show.venue = "Mill hall";
  show.started_at = "2026-05-01T19:00:00.000+02:00";
  return show;
}

bool is_near(const std::optional<double>& a, const std::optional<double>& b) {
  return a.has_value() == b.has_value() && (!a || std::abs(*a - *b) < 1e-9);
}

class Evening {
 public:
  explicit Evening(std::uint32_t number) : random_(number), is_seen_(number % 2 == 0) {}

  /// What was claimed and was not so; empty: nothing.
  std::string run() {
    for (int i = 0; i < kSteps && fault_.empty(); ++i) {
      step();
      look();
    }
    return fault_;
  }

  RingOut flow{new_show()};
  int check_count = 0;
  int margin_count = 0;
  int won_count = 0;

 private:
  std::uint32_t below(std::uint32_t count) { return static_cast<std::uint32_t>(random_() % count); }

  [[nodiscard]] std::string chosen_name() const {
    return flow.output() == nullptr ? "" : flow.output()->name;
  }

  void fail(const std::string& fault) {
    if (fault_.empty()) {
      fault_ = fault;
    }
  }

  /// An action that returned whether it changed something.
  bool act(bool is_done) {
    if (is_done) {
      model_.change();
    }
    return is_done;
  }

  // What is heard.

  void hear(EventKind kind, std::uint32_t id, double frequency_hz) {
    const show::SessionEvent event = heard_.event(kind, id, frequency_hz);
    if (kind == EventKind::kRinging) {
      model_.certain(id, frequency_hz, base::wall_text(event.wall), chosen_name());
    } else if (kind == EventKind::kFading || kind == EventKind::kGone) {
      model_.stopped(id, kind == EventKind::kGone);
    }
    flow.on_event(event);
  }

  void ring() {
    // A place that rang before, or a new one.
    const auto& known = model_.rings();
    const double frequency_hz =
        !known.empty() && below(4) == 0
            ? known[below(static_cast<std::uint32_t>(known.size()))].frequency_hz
            : 100.0 + 13.7 * below(700);
    const std::uint32_t id = heard_.begins();
    hear(EventKind::kBuilding, id, frequency_hz);
    if (below(8) != 0) {
      hear(EventKind::kRinging, id, frequency_hz);
      sounding_.push_back({id, frequency_hz});
    } else {
      hear(EventKind::kGone, id, frequency_hz);
    }
  }

  void end_ring() {
    if (sounding_.empty()) {
      return;
    }
    const std::size_t index = below(static_cast<std::uint32_t>(sounding_.size()));
    const auto [id, frequency_hz] = sounding_[index];
    hear(EventKind::kFading, id, frequency_hz);
    if (below(4) != 0) {
      hear(EventKind::kGone, id, frequency_hz);
      sounding_.erase(sounding_.begin() + static_cast<std::ptrdiff_t>(index));
    }
  }

  void listen(double for_s) {
    const double peak_dbfs = below(5) == 0 ? -95.0 : -20.0 - below(30);
    bool had_sound = false;
    for (double passed_s = 0.0; passed_s < for_s - 1e-6; passed_s += 0.25) {
      heard_.passes(0.25);
      if (had_sound) {
        model_.sound(0.25, peak_dbfs, is_open() ? chosen_name() : "");
      }
      flow.on_sound({heard_.stream_s(), peak_dbfs, true});
      had_sound = peak_dbfs > -80.0;
    }
    // Nobody looked in between.
    heard_.passes(5.0);
  }

  /// Only an output that is being rung out is tried.
  [[nodiscard]] bool is_open() const {
    return flow.output() != nullptr && !flow.output()->is_ended;
  }

  // What is done.

  void move_fader(double to_db) {
    if (flow.output() == nullptr) {
      return;
    }
    if (act(flow.set_fader_db(to_db))) {
      model_.move_fader(chosen_name(), *flow.fader_db());
    }
  }

  std::uint64_t some_ring() {
    const auto offered = flow.offered();
    return offered.empty() ? 0 : offered[below(static_cast<std::uint32_t>(offered.size()))].id;
  }

  /// Takes the place of the planner, which is slow and has tests of its own.
  void fit_cuts() {
    while (const auto input = flow.next_to_propose()) {
      show::Proposal proposal;
      proposal.kind = show::Proposal::Kind::kAdds;
      proposal.cuts = input->cuts;
      if (proposal.cuts.size() >= 8) {
        proposal.cuts.pop_back();
      }
      proposal.cuts.push_back({input->wanted.centre_hz, 8.0, -6.0});
      proposal.index = proposal.cuts.size() - 1;
      flow.take_proposal(*input, proposal);
    }
  }

  void cut() {
    fit_cuts();
    if (act(flow.log_cut(some_ring()))) {
      model_.log_cut(chosen_name(), flow.output()->rounds.back().ring.flagged_at);
    }
  }

  void end_output() {
    const auto was_db = flow.fader_db();
    const double margin_db = 0.5 * below(20);
    const auto place_db = flow.place_db(margin_db);
    const bool is_done = act(flow.back_off(margin_db));
    if (!is_done) {
      return;
    }
    if (was_db && place_db) {
      if (*place_db > *was_db) {
        fail("backing off took the fader up");
      }
      model_.move_fader(chosen_name(), *place_db);
    }
  }

  /// Every output open at its place or nearly, as seen or as said.
  void put_in_place() {
    const auto& outputs = flow.record().outputs;
    std::vector<std::optional<double>> faders_db;
    for (std::size_t i = 0; i < outputs.size(); ++i) {
      const auto leave_db = show::leave_at_db(outputs[i]);
      auto stands_db = leave_db ? leave_db : outputs[i].tried_to_db;
      stands_db = below(12) == 0 ? std::optional(-12.0) : stands_db ? stands_db : -20.0;
      if (below(20) == 0) {
        stands_db.reset();
      }
      faders_db.push_back(stands_db);
    }
    if (is_seen_) {
      if (seen_db_ != faders_db) {
        seen_db_ = faders_db;
        model_.listen_anew();
      }
      flow.see_faders(faders_db);
      return;
    }
    for (std::size_t i = 0; i < outputs.size(); ++i) {
      if (below(20) != 0 && flow.say_in_place(i)) {
        model_.say_in_place(outputs[i].name);
      }
    }
  }

  /// What is seen of places, by the words of docs/ring-out.md.
  void look_at_places() {
    const auto& outputs = flow.record().outputs;
    for (std::size_t i = 0; is_seen_ && i < outputs.size(); ++i) {
      const auto seen_db = i < seen_db_.size() ? seen_db_[i] : std::nullopt;
      const auto leave_db = show::leave_at_db(outputs[i]);
      const auto highest_db =
          leave_db || show::has_rung(outputs[i]) ? leave_db : outputs[i].tried_to_db;
      const bool is_high = seen_db && highest_db && *seen_db > *highest_db + 0.05;
      const bool is_low = seen_db && leave_db && *seen_db < *leave_db - 0.05;
      model_.see_in_place(outputs[i].name, seen_db && !is_high && !is_low);
    }
  }

  void check() {
    look_at_places();
    const bool is_due = model_.is_all_in_place(flow.record()) && model_.sound_s() >= 9.999;
    const bool is_done = flow.log_last_check(heard_.now());
    if (is_done) {
      ++check_count;
      fail(model_.check(flow.record()));
    } else if (is_due) {
      fail("a check that was due was refused: " + flow.check_obstacle());
    }
  }

  /// The end of an evening, as it should be.
  void finish() {
    for (std::size_t i = 0; i < flow.record().outputs.size(); ++i) {
      choose(i);
      if (is_open()) {
        if (!show::has_rung(*flow.output()) && below(2) == 0) {
          ring();
          cut();
        }
        end_output();
      }
    }
    while (!sounding_.empty() && below(4) != 0) {
      end_ring();
    }
    put_in_place();
    listen(4.0 + below(14));
    if (below(4) == 0) {
      ring();
      listen(3.0);
    }
    check();
  }

  void choose(std::size_t index) {
    if (flow.choose_output(index) && !flow.are_all_done()) {
      model_.listen_anew();
    }
  }

  void restart() {
    const show::ShowRecord record = flow.record();
    const auto won_before = show::gain_won_db(record);
    if (below(2) == 0) {
      const auto brought = report::parse_book(report::show_json(record), "the book");
      if (brought.shows.size() != 1 || brought.shows[0] != record) {
        fail("the export is not the record");
      }
    }
    flow = RingOut(record);
    seen_db_.clear();
    sounding_.clear();
    model_.restart();
    if (flow.record() != record || show::gain_won_db(flow.record()) != won_before) {
      fail("a restart lost something");
    }
  }

  void step() {
    const std::uint32_t what = below(40);
    if (flow.output() == nullptr || what == 0) {
      if (flow.record().outputs.size() < 3) {
        flow.add_output({fmt::format("output {}", ++output_count_), "", "", "parametric"});
        act(true);
      }
      return;
    }
    const auto was_db = flow.fader_db();
    switch (what) {
      case 1:
        choose(below(3));
        return;
      case 2:
        act(flow.tick(below(5), below(2) == 0));
        return;
      case 3:
        act(flow.edit_cut(below(4), {300.0 + 100.0 * below(40), 6.0, -1.0 - below(9)}));
        return;
      case 4:
        act(below(2) == 0 ? flow.remove_cut(below(4)) : flow.add_cut({80.0, 0.0, 0.0}));
        return;
      case 5:
        act(below(3) == 0 ? flow.restore(below(3))
                          : flow.dismiss(some_ring(), "hum", heard_.now()));
        return;
      case 6:
        flow.let_go(some_ring());
        return;
      case 7:
        mark();
        return;
      case 8:
        below(2) == 0 ? flow.note_output(fmt::format("note {}", below(3)))
                      : flow.name_show("Mill hall", fmt::format("show {}", below(3)));
        return;
      case 9:
        end_output();
        return;
      case 10:
        act(flow.reopen());
        return;
      case 11:
        act(flow.change_output(
            {chosen_name(), "vocal", "", below(2) == 0 ? "octave" : "parametric"}));
        return;
      case 12:
      case 13:
        act(below(3) == 0 ? flow.redo() : flow.undo());
        return;
      case 14:
        restart();
        return;
      case 15:
        flow.on_break();
        sounding_.clear();
        model_.lost_input();
        return;
      case 16:
        check();
        return;
      case 17:
      case 18:
        finish();
        return;
      case 19:
        if (flow.find_fader_db(-12.0)) {
          model_.listen_anew();
          model_.move_fader(chosen_name(), -12.0);
        }
        return;
      case 20:
      case 21:
      case 22:
        listen(0.5 + below(3));
        return;
      case 23:
      case 24:
      case 25:
      case 26:
        cut();
        return;
      case 27:
      case 28:
      case 29:
        end_ring();
        return;
      case 30:
      case 31:
      case 32:
      case 33:
        ring();
        return;
      default:
        move_fader(was_db.value_or(-15.0) + 0.5 * below(8) - 1.5);
        return;
    }
  }

  void mark() {
    const std::size_t round = below(3);
    const auto at_db = flow.fader_db();
    if (act(flow.mark_returned(round)) && at_db) {
      model_.mark_returned(chosen_name(), *at_db);
    }
  }

  // What is claimed.

  void look() {
    fail(model_.fault_in(flow.record()));
    for (std::size_t i = 0; i < flow.record().outputs.size(); ++i) {
      if (!is_near(flow.fader_db(i), model_.fader_db(flow.record().outputs[i].name))) {
        fail("a fader stands where no hand put it");
      }
    }
    if (flow.output() != nullptr) {
      look_at_sums(*flow.output());
    }
    if (flow.phase() == show::Phase::kCatch &&
        std::string(flow.instruction()).find("checked") != std::string::npos) {
      fail("the check is told in the place of a ring");
    }
  }

  /// The card, the record and the sheet.
  void look_at_sums(const show::OutputRecord& output) {
    double sum_db = 0.0;
    for (const show::RoundView& round : flow.rounds()) {
      sum_db += round.won_db.value_or(0.0);
      won_count += round.won_db ? 1 : 0;
    }
    if (std::abs(show::gain_won_db(output).value_or(0.0) - sum_db) > 1e-9) {
      fail("won so far is not the sum of its rounds");
    }
    if (below(8) != 0) {
      return;  // a sheet takes its time
    }
    const sheet::SheetOutput sheet = sheet::sheet_output(output);
    if (!is_near(sheet.won_db, show::gain_won_db(output)) ||
        (!sheet.rounds.empty() && !is_near(sheet.rounds.back().won_so_far_db, sheet.won_db))) {
      fail("the sheet's sum is another one");
    }
    if (sheet.leave_at_db) {
      ++margin_count;
      if (!output.is_ended || !output.back_off_db ||
          !is_near(*sheet.edge_db - *output.back_off_db, sheet.leave_at_db)) {
        fail("the sheet says where to leave a fader, and nothing says why");
      }
    }
  }

  std::mt19937 random_;
  bool is_seen_;
  tests::Heard heard_;
  ClaimsModel model_;

  struct Sounding {
    std::uint32_t id;
    double frequency_hz;
  };

  std::vector<Sounding> sounding_;
  std::vector<std::optional<double>> seen_db_;
  int output_count_ = 0;
  std::string fault_;
};

int evening_count() {
  const char* const wanted = std::getenv("BRINK_EVENINGS");
  return wanted == nullptr ? kUsualEvenings : std::max(1, std::atoi(wanted));
}

bool has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

}  // namespace

TEST_CASE("whatever an evening brings, nothing is claimed that was not heard or done") {
  int checks = 0;
  int margins = 0;
  int won = 0;
  for (int number = 1; number <= evening_count(); ++number) {
    Evening evening(static_cast<std::uint32_t>(number));
    const std::string fault = evening.run();
    CAPTURE(number);
    REQUIRE_MESSAGE(fault.empty(), fault);
    checks += evening.check_count;
    margins += evening.margin_count;
    won += evening.won_count;
  }
  // It is no proof where nothing is claimed.
  MESSAGE(checks << " checks, " << margins << " margins, " << won << " rounds that won");
  CHECK(checks * 20 > evening_count());
  CHECK(margins * 2 > evening_count());
  CHECK(won > evening_count());
}

TEST_CASE("evenings that found a fault once") {
  for (const std::uint32_t number :
       {4U, 43U, 65U, 84U, 106U, 109U, 160U, 1559U, 1589U, 2768U, 10752U}) {
    CAPTURE(number);
    Evening evening(number);
    const std::string fault = evening.run();
    CHECK_MESSAGE(fault.empty(), fault);
  }
}

TEST_CASE("screen, book and sheet tell an evening's check and sums in the same words") {
  const tests::TemporaryDirectory folder;
  const std::string path = folder / "book.sqlite";
  io::Book book(path);
  for (std::uint32_t number = 1; number <= 40; ++number) {
    CAPTURE(number);
    Evening evening(number);
    REQUIRE(evening.run().empty());
    const show::ShowRecord& show = evening.flow.record();
    REQUIRE(book.wait_for(book.keep(show), 20.0));
    const auto kept = io::BookReader(path).show(show.key);
    REQUIRE(kept.has_value());
    CHECK(*kept == show);
    const std::string text = report::show_text(*kept);
    const std::string sheet = sheet::sheet_html(*kept);
    CHECK(has(text, "Last check") == show.check.has_value());
    CHECK(has(sheet, "all outputs open: not done.") != show.check.has_value());
    if (show.check) {
      CHECK(has(text, show::check_words(*show.check)));
      CHECK(has(sheet, show::check_words(*show.check)));
    }
    CHECK(is_near(io::BookReader(path).shows().at(0).won_db, show::gain_won_db(show)));
  }
}
