#pragma once

#include <cstddef>
#include <cstdint>
#include <deque>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "cuts/link/link_bands.h"
#include "cuts/link/link_job.h"
#include "cuts/link/link_message.h"
#include "cuts/link/link_plan.h"
#include "cuts/link/link_reads.h"

namespace brink::cuts {

/// What became of a change of the equaliser.
struct LinkReport {
  enum class State : std::uint8_t {
    kWaiting,    ///< another one is being sent
    kSending,    ///< step by step
    kConfirmed,  ///< the console answered that it stands there
    kSent,       ///< all of it was sent; the console does not answer
    kByHand,     ///< brink does not send it
    kStopped,    ///< a part of it was sent: the rest is to be set by hand
  };

  LinkChange change;
  State state = State::kWaiting;
  std::optional<std::size_t> band;  ///< of the console, from 0, where one is meant
  std::string why;                  ///< with kByHand and kStopped: the end of a sentence

  friend bool operator==(const LinkReport&, const LinkReport&) = default;
};

/// What brink says to a console, and what it makes of the answers. It sets numbers only after
/// log(), by a LinkJob after another, and never the fader.
///
/// No I/O and no clock: the time is given to it, in seconds, never falling. [one thread]
class LinkTalk {
 public:
  explicit LinkTalk(const LinkedTarget& linked);

  /// The way to the console is open from now on, or is not any more. Nothing is known of the bands
  /// after that, and what was being sent is stopped.
  void set_open(bool is_open, double now_s);

  /// Nothing is in the equaliser, as the engineer says. Counts only for bands that cannot be asked
  /// for and of which nothing is known.
  void assume_flat();

  /// The key was pressed: the equaliser is to become this.
  void log(std::span<const Band> before, std::span<const Band> after);

  /// Something came from the console; `number` of a part where it was one. A number that its scale
  /// does not have changes nothing.
  void hear(const std::optional<LinkPart>& part, double number, double now_s);

  /// What is to be sent now. Call it every 10 ms or so.
  [[nodiscard]] std::vector<LinkMessage> due(double now_s);

  /// The console is there: it answered within kSilenceS, or it cannot be asked and the way is open.
  [[nodiscard]] bool is_alive(double now_s) const;

  /// Where the fader stands, while the console is there and told it.
  [[nodiscard]] std::optional<double> fader_db(double now_s) const;

  [[nodiscard]] const LinkBands& bands() const noexcept { return reads_.bands(); }

  /// The newest last, kMostReports of them.
  [[nodiscard]] const std::deque<LinkReport>& reports() const noexcept { return reports_; }

  static constexpr double kSilenceS = 1.5;
  static constexpr std::size_t kMostReports = 64;

 private:
  [[nodiscard]] bool is_asked() const noexcept {
    return bands().link().answers == Link::Answers::kAsked;
  }

  [[nodiscard]] LinkReport* report_of(LinkReport::State state);
  void supersede(LinkReport& fresh);
  void start_next(double now_s);
  void stop(const std::string& why);
  void follow_job(double now_s, std::vector<LinkMessage>& messages);
  void ask_around(double now_s, std::vector<LinkMessage>& messages);
  void follow_silence(double now_s);
  void look_at_hands();

  LinkReads reads_;
  std::vector<LinkPart> parts_;
  std::deque<LinkReport> reports_;
  std::optional<LinkJob> job_;
  bool is_open_ = false;
  bool was_alive_ = false;
  double heard_s_ = -1e9;
  double asked_s_ = -1e9;
  double fader_asked_s_ = -1e9;
  double kept_alive_s_ = -1e9;
  std::size_t next_ask_ = 0;
};

}  // namespace brink::cuts
