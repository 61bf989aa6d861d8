#pragma once

#include <cstdint>
#include <deque>
#include <functional>
#include <optional>
#include <random>
#include <string>
#include <vector>

#include "cuts/cut.h"
#include "cuts/link/link_message.h"
#include "cuts/link/linked_target.h"

namespace brink::tests {

/// A console of our own, for tests, with a network between it and brink that loses, doubles and
/// delays packets. It holds the numbers of a link's parts, sets what it is told and answers what it
/// is asked.
class SimulatedConsole {
 public:
  struct Network {
    double loss_ratio = 0.0;    ///< of packets that never arrive, each way
    double double_ratio = 0.0;  ///< of packets that arrive twice
    double shortest_s = 0.001;  ///< each packet takes a time between these
    double longest_s = 0.002;
  };

  /// Every depth at 0 dB, the fader at -10 dB.
  SimulatedConsole(const cuts::LinkedTarget& target, const Network& network, std::uint64_t seed);

  /// A hand sets a part to the number nearest to a value.
  void set_by_hand(const cuts::LinkPart& part, double value);

  /// A number that the console only shows in steps of so much; 0: in none.
  void round_to(double step) { round_to_ = step; }

  /// brink's message goes out.
  void take(const cuts::LinkMessage& message, double now_s);
  /// What arrives at the console and at brink up to now. `on_change` is called after each number
  /// that was set by brink, with the bands before and after it.
  using OnChange = std::function<void(
      const std::vector<cuts::Cut>& before, const std::vector<cuts::Cut>& after, double now_s)>;
  using OnAnswer = std::function<void(const cuts::LinkPart& part, double number)>;
  void run(double now_s, const OnChange& on_change, const OnAnswer& on_answer);

  [[nodiscard]] std::vector<cuts::Cut> bands() const;
  [[nodiscard]] double value(const cuts::LinkPart& part) const;

  [[nodiscard]] int sets() const noexcept { return sets_; }

  bool is_on = true;  ///< off: it takes nothing and says nothing

 private:
  struct Packet {
    double arrives_s = 0.0;
    bool is_to_console = false;
    cuts::LinkMessage message;  // of an answer: kSet with the number
  };

  void post(Packet packet, double now_s);
  [[nodiscard]] double& number(const cuts::LinkPart& part);

  cuts::LinkedTarget target_;
  Network network_;
  std::mt19937_64 random_;
  std::vector<cuts::LinkPart> parts_;
  std::vector<double> numbers_;
  std::vector<Packet> on_the_way_;
  double round_to_ = 0.0;
  int sets_ = 0;
};

/// The text of a target whose console is the invented one of docs/console-link.md: four bands and a
/// fader, reached by Open Sound Control.
[[nodiscard]] const char* linked_target_text();

/// A text's target with its link, which it must have.
[[nodiscard]] cuts::LinkedTarget linked_target(const std::string& text = linked_target_text());

}  // namespace brink::tests
