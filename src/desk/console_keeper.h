#pragma once

#include <cstddef>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <thread>
#include <vector>

#include "cuts/band.h"
#include "cuts/link/link_talk.h"
#include "cuts/link/linked_target.h"
#include "cuts/target.h"
#include "io/link/console_link.h"
#include "show/ring_out/ring_out.h"

namespace brink::desk {

/// The link between the output that is rung out and its console, where the output's target has one.
/// Off until it is switched on, and never on the simulated stage. Each change of the chosen
/// output's cuts goes to the console as the link allows, and the fader that the console tells goes
/// to the show. [one face thread]
class ConsoleKeeper {
 public:
  /// `on_news` is called on other threads when follow() has something to take.
  explicit ConsoleKeeper(std::function<void()> on_news);

  /// Once a pass, after the show's own update. `is_stage`: what sounds is the simulated stage.
  void follow(show::RingOut& flow, bool is_stage);

  /// The chosen output has a link that can be switched on.
  [[nodiscard]] bool can_link() const noexcept { return linked_.has_value(); }

  [[nodiscard]] bool is_on() const noexcept { return is_on_; }

  void switch_on(bool is_on) { is_on_ = is_on; }

  /// The console is there.
  [[nodiscard]] bool is_alive() const noexcept { return view_.is_alive; }

  [[nodiscard]] std::optional<double> fader_db() const noexcept { return view_.fader_db; }

  [[nodiscard]] const std::vector<cuts::LinkReport>& reports() const noexcept {
    return view_.reports;
  }

  /// How the link stands, one sentence; empty while it is off.
  [[nodiscard]] std::string state_words() const;

  /// That the console's fader stands elsewhere than was typed, one sentence; empty: it does not.
  [[nodiscard]] const std::string& disagreement() const noexcept { return disagreement_; }

  /// What is to be set by hand, then what is being sent, then what became of the last cut, the
  /// newest first; a sentence each.
  [[nodiscard]] std::vector<std::string> report_words() const;

  /// The one thing that must not be missed: the console is gone; empty: nothing.
  [[nodiscard]] std::string alarm() const;

 private:
  /// What a link belongs to.
  struct Owner {
    std::string show;
    std::size_t output = 0;
    std::string target;

    friend bool operator==(const Owner&, const Owner&) = default;
  };

  void follow_owner(const show::RingOut& flow, bool is_stage);
  void close();
  void send_changes(const show::RingOut& flow);
  void follow_fader(show::RingOut& flow);

  std::function<void()> on_news_;
  bool is_on_ = false;
  std::optional<Owner> owner_;
  std::optional<cuts::LinkedTarget> linked_;
  cuts::Target::Kind kind_ = cuts::Target::Kind::kParametric;
  std::unique_ptr<io::ConsoleLink> link_;
  io::ConsoleView view_;
  std::vector<cuts::Band> sent_;  // the cuts that the link knows of
  bool was_flat_ = false;         // said to the link
  std::optional<double> given_fader_db_;
  std::string disagreement_;
  std::jthread closing_;  // a link may wait for the network before it ends
};

/// "2.63 kHz  Q 8  -6.0 dB: in band 3, read back."
[[nodiscard]] std::string link_report_words(const cuts::LinkReport& report,
                                            cuts::Target::Kind kind);

}  // namespace brink::desk
