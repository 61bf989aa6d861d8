#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "cuts/link/link_message.h"
#include "cuts/link/link_plan.h"
#include "cuts/link/link_reads.h"

namespace brink::cuts {

/// One change on its way to the console: step after step, each through next_number(). Where the
/// console can be asked, the band is read once more before the first step, and every step waits for
/// its answer. At the end the band is read again, since a late packet may have brought back an
/// earlier step. An answer that says something else stops it: then a hand is at work. [one thread]
class LinkJob {
 public:
  enum class State : std::uint8_t {
    kGoing,
    kConfirmed,  ///< the console answered to each step
    kSent,       ///< all was sent; not every step was answered
    kStopped,    ///< why() says it
  };

  /// `plan` with goals; `reads` must outlive the job.
  LinkJob(const LinkPlan& plan, LinkReads& reads, double now_s);

  [[nodiscard]] std::size_t band() const noexcept { return band_; }

  [[nodiscard]] State state() const noexcept { return state_; }

  [[nodiscard]] const std::string& why() const noexcept { return why_; }

  /// A number of a part of its band, one that the scale has.
  void hear(const LinkPart& part, double number, double now_s);

  /// Adds what is to be sent now.
  void follow(double now_s, std::vector<LinkMessage>& messages);

 private:
  [[nodiscard]] const LinkGoal& goal() const { return goals_[at_]; }

  [[nodiscard]] bool is_at_end() const noexcept { return at_ == goals_.size(); }

  void stop(std::string why);
  void arrive(double number, double now_s);
  [[nodiscard]] std::optional<std::size_t> goal_of_late(const LinkPart& part, double number) const;
  void hear_at_end(const LinkPart& part, double number, double now_s);
  void wait(double now_s, std::vector<LinkMessage>& messages);
  void step(double now_s, std::vector<LinkMessage>& messages);

  LinkReads& reads_;
  Link::Answers answers_;
  std::size_t band_;
  std::vector<LinkGoal> goals_;
  std::size_t at_ = 0;            // of the goals
  std::vector<Cut> start_;        // the bands before it
  std::vector<LinkPart> unread_;  // of the band, to be read before the first step and at the end
  std::vector<std::vector<double>> earlier_;  // of each goal, the numbers on the way to it
  std::optional<double> sent_;                // waits for its answer
  std::optional<LinkPart> asked_part_;
  double waits_since_s_ = 0.0;  // since it was sent last, or reading began
  double sent_s_ = -1e9;
  double asked_s_ = -1e9;
  int tries_ = 0;
  int returns_ = 0;             // to a step that a late packet undid
  bool is_unanswered_ = false;  // where answers are not certain, one was missing
  State state_ = State::kGoing;
  std::string why_;
};

}  // namespace brink::cuts
