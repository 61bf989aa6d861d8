#include "desk/show_keeper.h"

#include <algorithm>

#include "base/error.h"
#include "base/time_of_day.h"
#include "io/book/book_reader.h"
#include "show/record_key.h"

namespace brink::desk {
namespace {

constexpr std::chrono::hours kLongestNight(6);
constexpr std::size_t kDateLength = 10;  // of 2026-11-25T...

/// Whether the first of these events is a ring that is gone because the input is: the session says
/// so in the same moment.
bool is_by_loss(std::span<const show::SessionEvent> events) {
  const show::SessionEvent& first = events.front();
  return first.kind == show::EventKind::kGone &&
         std::any_of(events.begin(), events.end(), [&](const show::SessionEvent& event) {
           return event.kind == show::EventKind::kInputLost && event.stream_s == first.stream_s;
         });
}

}  // namespace

show::ShowRecord new_show(const std::string& venue, const std::string& name) {
  show::ShowRecord show;
  show.venue = venue;
  show.name = name;
  show.key = show::new_key();
  show.started_at = base::wall_text(std::chrono::system_clock::now());
  return show;
}

std::optional<show::ShowRecord> find_show_in_progress(const std::string& book_path,
                                                      std::chrono::system_clock::time_point now) {
  io::BookReader reader(book_path);
  const auto key = reader.newest_live_show();
  auto show = key ? reader.show(*key) : std::nullopt;
  const std::string earliest = base::wall_text(now - kLongestNight).substr(0, kDateLength);
  if (!show || show->started_at.substr(0, kDateLength) < earliest || show->outputs.empty()) {
    return std::nullopt;
  }
  return show;
}

ShowKeeper::ShowKeeper(const std::string& book_path,
                       io::Book& book,
                       const std::string& venue,
                       const std::string& name,
                       std::function<void()> on_news)
    : book_(book), on_news_(std::move(on_news)), flow_(new_show(venue, name)) {
  if (!book_.trouble()) {
    looking_.start(
        [book_path] { return find_show_in_progress(book_path, std::chrono::system_clock::now()); },
        on_news_);
  }
}

void ShowKeeper::take_found_show() {
  try {
    auto found = looking_.take();
    if (found && *found && flow_.revision() == 0) {
      flow_ = show::RingOut(std::move(**found), {}, flow_.rings());
      was_found_ = true;
      ++show_count_;
    }
  } catch (const base::Error&) {
    // What is wrong with the book, Book::trouble() says; the show begins anew.
  }
}

void ShowKeeper::begin_show() {
  keep();
  flow_ = show::RingOut(new_show(flow_.record().venue, flow_.record().name), {}, flow_.rings());
  kept_revision_ = 0;
  was_found_ = false;
  ++show_count_;
}

void ShowKeeper::hear(std::span<const show::SessionEvent> events,
                      int source_count,
                      const std::optional<show::HeardSound>& sound) {
  if (source_count != source_count_) {
    source_count_ = source_count;
    flow_.on_other_source();
  }
  for (std::size_t index = 0; index < events.size(); ++index) {
    if (is_by_loss(events.subspan(index))) {
      flow_.on_break();
    }
    flow_.on_event(events[index]);
  }
  if (sound) {
    flow_.on_sound(*sound);
  }
}

void ShowKeeper::watch(const listen::Snapshot& snapshot) noexcept {
  for (const listen::TapSnapshot& tap : snapshot.taps) {
    flow_.on_tracks(tap.tap, tap.tracks);
  }
}

void ShowKeeper::keep() {
  if (flow_.revision() != kept_revision_) {
    kept_revision_ = flow_.revision();
    serial_ = book_.keep(flow_.record());
  }
}

void ShowKeeper::follow_proposals() {
  if (const auto proposal = proposing_.take()) {
    flow_.take_proposal(asked_, *proposal);
  }
  if (proposing_.is_busy()) {
    return;
  }
  if (const auto next = flow_.next_to_propose()) {
    asked_ = *next;
    proposing_.start([input = *next] { return show::propose(input); }, on_news_);
  }
}

void ShowKeeper::update() {
  take_found_show();
  keep();
  follow_proposals();
}

}  // namespace brink::desk
