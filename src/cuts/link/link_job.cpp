#include "cuts/link/link_job.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

namespace brink::cuts {
namespace {

// A step that is not answered is asked for again, then sent again: by then the first packet is lost
// and not late.
constexpr double kAskAgainS = 0.1;
constexpr double kSendAgainS = 1.0;
constexpr int kMostTries = 3;
// A console that tells what changes may not tell it to whoever changed it.
constexpr double kToldWithinS = 0.3;
// At the end: until no packet is on its way any more.
constexpr double kLatestPacketS = 0.5;
constexpr int kMostReturns = 5;

}  // namespace

LinkJob::LinkJob(const LinkPlan& plan, LinkReads& reads, double now_s)
    : reads_(reads),
      answers_(reads.bands().link().answers),
      band_(plan.band.value()),
      goals_(plan.goals),
      start_(reads.bands().known()),
      earlier_(plan.goals.size()),
      waits_since_s_(now_s) {
  if (answers_ == Link::Answers::kAsked) {
    for (const LinkPart& part : parts(reads.bands().link())) {
      if (part.kind != LinkPart::Kind::kFader && part.band == band_) {
        unread_.push_back(part);
      }
    }
  }
}

void LinkJob::stop(std::string why) {
  state_ = State::kStopped;
  why_ = std::move(why);
}

/// The present step is done: the console stands at `number`.
void LinkJob::arrive(double number, double now_s) {
  const bool is_there = *sent_ == goal().number;
  if (const auto before = reads_.bands().number(goal().part)) {
    earlier_[at_].push_back(*before);
  }
  reads_.set(goal().part, number);
  sent_.reset();
  at_ += is_there ? 1 : 0;
  if (!is_at_end()) {
    return;
  }
  if (answers_ != Link::Answers::kAsked) {
    const bool is_answered = answers_ == Link::Answers::kTold && !is_unanswered_;
    state_ = is_answered ? State::kConfirmed : State::kSent;
    return;
  }
  waits_since_s_ = now_s + kLatestPacketS;
  asked_part_.reset();
  for (const LinkGoal& goal : goals_) {
    unread_.push_back(goal.part);
  }
}

/// The goal on whose way the part stood there; nothing when it never did.
std::optional<std::size_t> LinkJob::goal_of_late(const LinkPart& part, double number) const {
  for (std::size_t i = 0; i < goals_.size(); ++i) {
    const bool was_there = goals_[i].part == part &&
                           std::any_of(earlier_[i].begin(), earlier_[i].end(), [&](double earlier) {
                             return reads_.is_same(part, number, earlier);
                           });
    if (was_there) {
      return i;
    }
  }
  return std::nullopt;
}

void LinkJob::hear_at_end(const LinkPart& part, double number, double now_s) {
  if (now_s < waits_since_s_) {
    return;  // it may be older than the last step
  }
  const auto known = reads_.bands().number(part);
  if (known && reads_.is_same(part, number, *known)) {
    std::erase(unread_, part);
    if (unread_.empty()) {
      state_ = State::kConfirmed;
    }
  } else if (const auto late = goal_of_late(part, number); late && returns_ < kMostReturns) {
    ++returns_;
    unread_.clear();
    reads_.set(part, number);
    at_ = *late;
  } else {
    stop(fmt::format("band {} was moved by a hand", band_ + 1));
  }
}

void LinkJob::hear(const LinkPart& part, double number, double now_s) {
  if (state_ != State::kGoing) {
    return;
  }
  if (is_at_end()) {
    hear_at_end(part, number, now_s);
    return;
  }
  if (part == goal().part && sent_ && reads_.is_same(part, number, *sent_)) {
    arrive(number, now_s);
    return;
  }
  const auto known = reads_.bands().number(part);
  if (!known || reads_.is_same(part, number, *known)) {
    std::erase(unread_, part);
  } else if (!goal_of_late(part, number)) {
    stop(fmt::format("band {} was moved by a hand", band_ + 1));
  }
}

/// For the answer to a step, or for the band to be read.
void LinkJob::wait(double now_s, std::vector<LinkMessage>& messages) {
  if (answers_ != Link::Answers::kAsked) {
    if (now_s - waits_since_s_ >= kToldWithinS) {
      is_unanswered_ = true;
      arrive(*sent_, now_s);
    }
    return;
  }
  const LinkPart part = unread_.empty() ? goal().part : unread_.front();
  if (now_s - waits_since_s_ >= kSendAgainS) {
    if (is_at_end()) {
      state_ = State::kSent;
      return;
    }
    if (!sent_ || tries_ == kMostTries) {
      stop("the console did not confirm it");
      return;
    }
    ++tries_;
    waits_since_s_ = sent_s_ = now_s;
    messages.push_back({LinkMessage::Kind::kSet, part, *sent_});
    asked_s_ = -1e9;
  }
  if (now_s - asked_s_ >= kAskAgainS) {
    asked_s_ = now_s;
    messages.push_back({LinkMessage::Kind::kAsk, part, 0.0});
  }
}

void LinkJob::step(double now_s, std::vector<LinkMessage>& messages) {
  const auto number = next_number(reads_.bands(), start_, goal());
  if (!number) {
    stop("the console's numbers are too coarse for small steps downwards");
    return;
  }
  sent_ = number;
  waits_since_s_ = sent_s_ = now_s;
  tries_ = 1;
  messages.push_back({LinkMessage::Kind::kSet, goal().part, *number});
  if (answers_ == Link::Answers::kNever) {
    arrive(*number, now_s);
  } else if (answers_ == Link::Answers::kAsked) {
    asked_s_ = now_s;
    messages.push_back({LinkMessage::Kind::kAsk, goal().part, 0.0});
  }
}

void LinkJob::follow(double now_s, std::vector<LinkMessage>& messages) {
  if (state_ != State::kGoing) {
    return;
  }
  if (is_at_end() && now_s < waits_since_s_) {
    return;
  }
  if (sent_ || !unread_.empty()) {
    // One part after another is read as fast as it answers.
    const bool is_next = !sent_ && asked_part_ != unread_.front();
    if (is_next) {
      asked_part_ = unread_.front();
      asked_s_ = -1e9;
    }
    wait(now_s, messages);
  } else if (now_s - sent_s_ >= kStepPauseS) {
    step(now_s, messages);
  }
}

}  // namespace brink::cuts
