#pragma once

#include <chrono>
#include <cstdint>
#include <functional>
#include <optional>
#include <span>
#include <string>
#include <utility>

#include "base/background.h"
#include "io/book/book.h"
#include "listen/snapshot.h"
#include "show/ring_out/ring_out.h"
#include "show/session_event.h"

namespace brink::desk {

/// The show to go on with after the program ended in the middle of it: the newest that was rung out
/// live with this book, when it has outputs, and began on the day that it was six hours ago, or
/// later (an evening may end after midnight); checked or not. Nothing when there is none. Throws
/// base::Error when the book cannot be read.
[[nodiscard]] std::optional<show::ShowRecord> find_show_in_progress(
    const std::string& book_path, std::chrono::system_clock::time_point now);

/// A show that begins now.
[[nodiscard]] show::ShowRecord new_show(const std::string& venue, const std::string& name);

/// A show that is rung out at a window: RingOut, kept in the book after every action, with its cuts
/// proposed on a thread of their own. A show in progress is continued. It is not if something was
/// done before the book was read, or if another program writes to the book and continues it there.
/// [one face thread]
class ShowKeeper {
 public:
  /// Begins to look for a show in progress. `on_news` is called on other threads when update() has
  /// something to take.
  /// `venue` and `name`: of a show that is new.
  ShowKeeper(const std::string& book_path,
             io::Book& book,
             const std::string& venue,
             const std::string& name,
             std::function<void()> on_news);

  [[nodiscard]] show::RingOut& flow() noexcept { return flow_; }

  [[nodiscard]] const show::RingOut& flow() const noexcept { return flow_; }

  /// The events since the last call, and what the input gives now; `source_count` as Desk has it.
  /// The rings of a source that is listened to no more are over. This is where events change the
  /// list of live rings.
  void hear(std::span<const show::SessionEvent> events,
            int source_count,
            const std::optional<show::HeardSound>& sound = std::nullopt);

  /// Growth and level of the live rings as the newest snapshot has them.
  void watch(const listen::Snapshot& snapshot) noexcept;

  /// Hands what was done to the book, takes and asks for proposals: once a pass, after the actions.
  void update();

  /// Another show, in the same place and of the same name as the last; what was done stays in the
  /// book.
  void begin_show();

  /// The book is still being looked into; true for moments only.
  [[nodiscard]] bool is_looking() const noexcept { return looking_.is_busy(); }

  /// The show was taken from the book at the start.
  [[nodiscard]] bool was_found() const noexcept { return was_found_; }

  /// All that was done is on the disk. True also when nothing was done yet.
  [[nodiscard]] bool is_logged() const noexcept {
    return flow_.revision() == kept_revision_ && book_.kept() >= serial_;
  }

  /// Rises when another show is rung out.
  [[nodiscard]] int show_count() const noexcept { return show_count_; }

 private:
  void take_found_show();
  void keep();
  void follow_proposals();

  io::Book& book_;
  std::function<void()> on_news_;
  show::RingOut flow_;
  std::uint64_t kept_revision_ = 0;
  std::uint64_t serial_ = 0;
  bool was_found_ = false;
  int show_count_ = 1;
  int source_count_ = 0;
  show::ProposalInput asked_;
  base::Background<show::Proposal> proposing_;
  base::Background<std::optional<show::ShowRecord>> looking_;
};

}  // namespace brink::desk
