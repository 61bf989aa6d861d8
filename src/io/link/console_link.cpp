#include "io/link/console_link.h"

#include <algorithm>
#include <chrono>
#include <memory>
#include <utility>

#include "base/error.h"
#include "io/link/console_wire.h"

namespace brink::io {
namespace {

constexpr double kTickS = 0.01;
constexpr double kTryAgainS = 1.0;

double now_s() {
  const std::chrono::duration<double> now = std::chrono::steady_clock::now().time_since_epoch();
  return now.count();
}

/// Opens a wire, again and again.
class Opener {
 public:
  explicit Opener(ConsoleWire& wire) : wire_(wire) {}

  void follow(double now) {
    if (wire_.is_open() || now < next_s_) {
      return;
    }
    next_s_ = now + kTryAgainS;
    try {
      wire_.open();
      trouble_.clear();
    } catch (const base::Error& error) {
      trouble_ = error.what();
    }
  }

  [[nodiscard]] const std::string& trouble() const noexcept { return trouble_; }

 private:
  ConsoleWire& wire_;
  double next_s_ = -1e9;
  std::string trouble_;
};

}  // namespace

ConsoleLink::ConsoleLink(const cuts::LinkedTarget& linked, std::function<void()> on_news)
    : on_news_(std::move(on_news)),
      thread_([this, linked](const std::stop_token& stop) { run(stop, linked); }) {}

bool ConsoleLink::log(std::span<const cuts::Band> before, std::span<const cuts::Band> after) {
  if (before.size() > kMostBands || after.size() > kMostBands) {
    return false;
  }
  Command command;
  command.is_log = true;
  command.before.count = before.size();
  command.after.count = after.size();
  std::copy(before.begin(), before.end(), command.before.bands.begin());
  std::copy(after.begin(), after.end(), command.after.bands.begin());
  return commands_.push(command);
}

void ConsoleLink::assume_flat() {
  (void)commands_.push(Command{});
}

void ConsoleLink::publish(ConsoleView view) {
  view_.back() = std::move(view);
  view_.publish();
  if (on_news_) {
    on_news_();
  }
}

void ConsoleLink::run(const std::stop_token& stop, const cuts::LinkedTarget& linked) {
  std::unique_ptr<ConsoleWire> wire;
  try {
    wire = make_wire(linked.link);
  } catch (const base::Error& error) {
    ConsoleView view;
    view.trouble = error.what();
    publish(std::move(view));
    return;
  }
  Opener opener(*wire);
  cuts::LinkTalk talk(linked);
  ConsoleView shown;
  while (!stop.stop_requested()) {
    opener.follow(now_s());
    talk.set_open(wire->is_open(), now_s());
    std::array<Command, 1> command;
    while (commands_.pull(command) == 1) {
      const auto& [is_log, before, after] = command.front();
      if (is_log) {
        talk.log(std::span(before.bands).first(before.count),
                 std::span(after.bands).first(after.count));
      } else {
        talk.assume_flat();
      }
    }
    for (const cuts::LinkMessage& message : talk.due(now_s())) {
      wire->send(message);
    }
    if (wire->is_open()) {
      wire->receive(kTickS, [&](const ConsoleWord& word) {
        talk.hear(word.number ? word.part : std::nullopt, word.number.value_or(0.0), now_s());
      });
    } else {
      std::this_thread::sleep_for(std::chrono::duration<double>(kTickS));
    }
    ConsoleView view;
    view.is_open = wire->is_open();
    view.is_alive = talk.is_alive(now_s());
    view.was_alive = shown.was_alive || view.is_alive;
    view.fader_db = talk.fader_db(now_s());
    view.reports.assign(talk.reports().begin(), talk.reports().end());
    view.trouble = opener.trouble();
    if (view != shown) {
      shown = view;
      publish(std::move(view));
    }
  }
}

}  // namespace brink::io
