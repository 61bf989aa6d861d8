#include "desk/console_keeper.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "show/band_changes.h"
#include "show/ring_out/ring_out_view.h"

namespace brink::desk {
namespace {

using State = cuts::LinkReport::State;

/// Of show::prepare_points(): "equaliser flat".
constexpr std::size_t kFlatPoint = 0;
/// A fader that a console tells trembles by its rounding.
constexpr double kMovedDb = 0.05;
/// What is read off a scale by eye differs by so much.
constexpr double kAgreeDb = 0.5;

std::string band_words(const cuts::LinkReport& report) {
  return report.band ? fmt::format("band {}", *report.band + 1) : "a band";
}

bool is_to_be_set(const cuts::LinkReport& report) {
  return report.state == State::kByHand || report.state == State::kStopped;
}

}  // namespace

std::string link_report_words(const cuts::LinkReport& report, cuts::Target::Kind kind) {
  const std::string what = show::change_words({report.change.was, report.change.now}, kind);
  switch (report.state) {
    case State::kWaiting:
      return fmt::format("Waits to be sent: {}.", what);
    case State::kSending:
      return fmt::format("Goes to {}: {}.", band_words(report), what);
    case State::kConfirmed:
      return fmt::format("Console, {}: {}; read back.", band_words(report), what);
    case State::kSent:
      return fmt::format("Console, {}: {}; sent, not confirmed.", band_words(report), what);
    case State::kStopped:
      return fmt::format(
          "Set {} by hand: {} was sent in part; {}.", band_words(report), what, report.why);
    default:
      return report.band
                 ? fmt::format("Set {} by hand: {}; {}.", band_words(report), what, report.why)
                 : fmt::format("Set by hand: {}; {}.", what, report.why);
  }
}

ConsoleKeeper::ConsoleKeeper(std::function<void()> on_news) : on_news_(std::move(on_news)) {}

void ConsoleKeeper::close() {
  if (link_) {
    closing_ = std::jthread(
        [link = std::shared_ptr<io::ConsoleLink>(std::move(link_))]() mutable { link.reset(); });
  }
  link_.reset();
  view_ = {};
  given_fader_db_.reset();
  disagreement_.clear();
}

/// Another output, show or target has another link, or none.
void ConsoleKeeper::follow_owner(const show::RingOut& flow, bool is_stage) {
  std::optional<Owner> owner;
  if (flow.output() != nullptr && !is_stage) {
    owner = Owner{flow.record().key, *flow.chosen(), flow.target().source_text};
  }
  if (owner != owner_) {
    close();
    owner_ = owner;
    linked_ = owner ? cuts::linked_target(flow.target()) : std::nullopt;
    kind_ = flow.target().kind;
  }
  if (!linked_ || !is_on_) {
    close();
  } else if (!link_) {
    sent_ = flow.output()->cuts;  // what was cut before is not sent
    was_flat_ = false;
    link_ = std::make_unique<io::ConsoleLink>(*linked_, on_news_);
  }
}

void ConsoleKeeper::send_changes(const show::RingOut& flow) {
  const show::OutputRecord& output = *flow.output();
  if (!was_flat_ && sent_.empty() && show::is_prepared(output, kFlatPoint)) {
    was_flat_ = true;
    link_->assume_flat();
  }
  if (output.cuts != sent_ && link_->log(sent_, output.cuts)) {
    sent_ = output.cuts;
  }
}

void ConsoleKeeper::follow_fader(show::RingOut& flow) {
  const auto read_db = view_.fader_db;
  const auto told_db = flow.fader_db();
  disagreement_.clear();
  if (!read_db) {
    given_fader_db_.reset();
    return;
  }
  const bool has_moved = given_fader_db_ && std::abs(*read_db - *given_fader_db_) > kMovedDb;
  if (!told_db) {
    flow.find_fader_db(*read_db);
  } else if (has_moved) {
    flow.set_fader_db(*read_db);
  }
  if (!given_fader_db_ || has_moved) {
    given_fader_db_ = read_db;
  }
  if (const auto now_db = flow.fader_db(); now_db && std::abs(*now_db - *read_db) > kAgreeDb) {
    disagreement_ = fmt::format(
        "The console's fader reads {:+.1f} dB, but {:+.1f} dB was typed; what was typed "
        "counts until the fader moves.",
        *read_db,
        *now_db);
  }
}

void ConsoleKeeper::follow(show::RingOut& flow, bool is_stage) {
  follow_owner(flow, is_stage);
  if (!link_) {
    return;
  }
  view_ = link_->view();
  send_changes(flow);
  follow_fader(flow);
}

std::string ConsoleKeeper::state_words() const {
  if (!link_) {
    return "";
  }
  if (!view_.is_open) {
    return view_.trouble.empty() ? "Looking for the console." : view_.trouble;
  }
  if (!view_.is_alive) {
    return view_.was_alive ? "The console does not answer any more: go on by hand."
                           : "The console does not answer yet.";
  }
  return linked_->link.answers == cuts::Link::Answers::kNever
             ? "Linked to the console; it does not answer, so nothing is confirmed."
             : "Linked to the console.";
}

std::string ConsoleKeeper::alarm() const {
  return link_ && view_.was_alive && !view_.is_alive
             ? "The link to the console is lost: set cuts by hand, and type the fader (F)."
             : "";
}

std::vector<std::string> ConsoleKeeper::report_words() const {
  std::vector<std::string> by_hand;
  std::vector<std::string> going;
  std::string newest;
  for (auto report = view_.reports.rbegin(); report != view_.reports.rend(); ++report) {
    const std::string words = link_report_words(*report, kind_);
    if (is_to_be_set(*report)) {
      by_hand.push_back(words);
    } else if (report->state == State::kWaiting || report->state == State::kSending) {
      going.push_back(words);
    } else if (report == view_.reports.rbegin()) {
      newest = words;
    }
  }
  by_hand.insert(by_hand.end(), going.begin(), going.end());
  if (!newest.empty()) {
    by_hand.push_back(newest);
  }
  return by_hand;
}

}  // namespace brink::desk
