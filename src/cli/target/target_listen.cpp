#include "cli/target/target_listen.h"

#include <fmt/format.h>

#include <chrono>
#include <map>
#include <memory>
#include <string>
#include <thread>
#include <vector>

#include "base/error.h"
#include "base/printable.h"
#include "cli/command.h"
#include "cli/interrupt.h"
#include "cli/output.h"
#include "cuts/link/linked_target.h"
#include "io/link/console_wire.h"
#include "report/link_report.h"

namespace brink::cli {
namespace {

using Clock = std::chrono::steady_clock;

/// Asks for one number after another, and keeps the console awake.
class Asker {
 public:
  Asker(const cuts::Link& link, io::ConsoleWire& wire)
      : link_(link), parts_(cuts::parts(link)), wire_(wire) {}

  void follow() {
    const Clock::time_point now = Clock::now();
    if (!link_.keep_alive.empty() && now >= kept_alive_) {
      kept_alive_ = now + std::chrono::duration_cast<Clock::duration>(
                              std::chrono::duration<double>(link_.keep_alive_s));
      wire_.send({cuts::LinkMessage::Kind::kKeepAlive, {}, 0.0});
    }
    if (link_.answers == cuts::Link::Answers::kAsked && now >= asked_) {
      asked_ = now + std::chrono::milliseconds(20);
      next_ = (next_ + 1) % parts_.size();
      wire_.send({cuts::LinkMessage::Kind::kAsk, parts_[next_], 0.0});
    }
  }

 private:
  const cuts::Link& link_;
  std::vector<cuts::LinkPart> parts_;
  io::ConsoleWire& wire_;
  std::size_t next_ = 0;
  Clock::time_point asked_;
  Clock::time_point kept_alive_;
};

/// What was printed last for each place.
class News {
 public:
  bool is_new(const io::ConsoleWord& word) {
    constexpr std::size_t kMostPlaces = 10000;
    if (last_.size() >= kMostPlaces && !last_.contains(word.place)) {
      return true;
    }
    std::string& last = last_[word.place];
    const bool is_other = last != word.words || last.empty();
    last = word.words;
    return is_other;
  }

 private:
  std::map<std::string, std::string> last_;
};

}  // namespace

int listen_to_console(const cuts::Target& target, bool wants_json, double seconds) {
  const auto linked = cuts::linked_target(target);
  if (!linked) {
    throw base::Error(
        fmt::format("{} has no link to a console; docs/console-link.md says how to write one.",
                    base::printable(target.name)));
  }
  catch_interrupts();
  const std::unique_ptr<io::ConsoleWire> wire = io::make_wire(linked->link);
  wire->open();
  say(fmt::format("listening to {}; move something there. Nothing is set.",
                  report::wire_words(linked->link)));
  Asker asker(linked->link, *wire);
  News news;
  Output screen{""};
  const auto end = Clock::now() + std::chrono::duration<double>(seconds);
  bool is_read = true;
  bool has_heard = false;
  while (is_read && interrupt_signal() == 0 && (seconds <= 0.0 || Clock::now() < end)) {
    asker.follow();
    if (!wire->is_open()) {
      throw base::Error("the console's port is gone.");
    }
    wire->receive(0.01, [&](const io::ConsoleWord& word) {
      has_heard = true;
      if (news.is_new(word)) {
        const auto wall = std::chrono::system_clock::now();
        is_read =
            is_read && screen.write(wants_json ? report::heard_json(linked->link, word, wall)
                                               : report::heard_text(linked->link, word, wall));
      }
    });
  }
  if (!has_heard) {
    say("nothing came from the console: are its address and port right, and does it answer?");
  }
  screen.finish();
  return kDone;
}

}  // namespace brink::cli
