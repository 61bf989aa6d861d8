#pragma once

#include <array>
#include <cstddef>
#include <functional>
#include <optional>
#include <span>
#include <string>
#include <thread>
#include <vector>

#include "base/ring_buffer.h"
#include "base/triple_buffer.h"
#include "cuts/band.h"
#include "cuts/link/link_talk.h"
#include "cuts/link/linked_target.h"

namespace brink::io {

/// What a face may know of a link.
struct ConsoleView {
  bool is_open = false;   ///< there is a way to the console
  bool is_alive = false;  ///< and the console is there, as far as that can be known
  bool was_alive = false;
  std::optional<double> fader_db;         ///< where it stands; nothing while that is not known
  std::vector<cuts::LinkReport> reports;  ///< the newest last
  std::string trouble;                    ///< why there is no way, one sentence

  friend bool operator==(const ConsoleView&, const ConsoleView&) = default;
};

/// A link to a console: cuts::LinkTalk over a ConsoleWire, on a thread of its own. The face never
/// waits for it. Where no way is open it tries again each second.
class ConsoleLink {
 public:
  /// `on_news` is called on the other thread when view() is another one.
  ConsoleLink(const cuts::LinkedTarget& linked, std::function<void()> on_news);
  /// Stops: nothing is sent after it.
  ~ConsoleLink() = default;
  ConsoleLink(const ConsoleLink&) = delete;
  ConsoleLink& operator=(const ConsoleLink&) = delete;
  ConsoleLink(ConsoleLink&&) = delete;
  ConsoleLink& operator=(ConsoleLink&&) = delete;

  // [one face thread]

  /// The key was pressed: the equaliser is to become this (LinkTalk::log()). At most kMostBands
  /// each; false when the link has fallen behind so far that it takes no more.
  bool log(std::span<const cuts::Band> before, std::span<const cuts::Band> after);
  /// LinkTalk::assume_flat().
  void assume_flat();

  /// The newest.
  [[nodiscard]] const ConsoleView& view() noexcept { return view_.newest(); }

  static constexpr std::size_t kMostBands = 64;

 private:
  struct Bands {
    std::size_t count = 0;
    std::array<cuts::Band, kMostBands> bands{};
  };

  /// Of the face. Without `is_log` it says that all is flat.
  struct Command {
    bool is_log = false;
    Bands before;
    Bands after;
  };

  void publish(ConsoleView view);
  void run(const std::stop_token& stop, const cuts::LinkedTarget& linked);

  std::function<void()> on_news_;
  base::OwnedRingBuffer<Command> commands_{64};
  base::TripleBuffer<ConsoleView> view_{ConsoleView{}};
  std::jthread thread_;  // the last: it uses all of the others
};

}  // namespace brink::io
