#include "cuts/link/link_talk.h"

#include <algorithm>

namespace brink::cuts {
namespace {

using Kind = LinkPart::Kind;
using State = LinkReport::State;

// While a console is there, one of its numbers is asked for 50 times a second, the fader four
// times. One that is silent is asked as often as the fader.
constexpr double kAskPauseS = 0.02;
constexpr double kFaderPauseS = 0.25;

bool is_to_be_set(const LinkReport& report) {
  return report.state == State::kByHand || report.state == State::kStopped;
}

}  // namespace

LinkTalk::LinkTalk(const LinkedTarget& linked) : reads_(linked), parts_(parts(linked.link)) {}

void LinkTalk::set_open(bool is_open, double now_s) {
  if (is_open_ != is_open) {
    is_open_ = is_open;
    heard_s_ = -1e9;
    follow_silence(now_s);
  }
}

void LinkTalk::assume_flat() {
  if (!is_asked()) {
    reads_.assume_flat();
  }
}

bool LinkTalk::is_alive(double now_s) const {
  return is_open_ && (!is_asked() || now_s - heard_s_ <= kSilenceS);
}

std::optional<double> LinkTalk::fader_db(double now_s) const {
  return is_alive(now_s) ? reads_.fader_db() : std::nullopt;
}

/// What is not so any more goes: a cut that was to be set and is changed again, one that was to be
/// taken out and is there again.
void LinkTalk::supersede(LinkReport& fresh) {
  const auto is_over = [&](const LinkReport& old) {
    const bool is_changed_again = fresh.change.was && old.change.now == fresh.change.was;
    const bool is_there_again =
        fresh.change.now && !old.change.now && old.change.was == fresh.change.now;
    return is_changed_again || is_there_again;
  };
  for (const LinkReport& old : reports_) {
    if (is_over(old)) {
      fresh.band = old.band;
      if (old.state == State::kSending) {
        job_.reset();
      } else if (old.state == State::kWaiting) {
        fresh.change.was = old.change.was;  // nothing of it was sent
      }
    }
  }
  std::erase_if(reports_, is_over);
}

void LinkTalk::log(std::span<const Band> before, std::span<const Band> after) {
  for (const LinkChange& change : link_changes(before, after)) {
    LinkReport fresh{change, State::kWaiting, std::nullopt, ""};
    supersede(fresh);
    if (fresh.change.was || fresh.change.now) {
      reports_.push_back(std::move(fresh));
    }
  }
  while (reports_.size() > kMostReports) {
    reports_.pop_front();
  }
}

LinkReport* LinkTalk::report_of(State state) {
  const auto found = std::find_if(reports_.begin(), reports_.end(), [&](const LinkReport& report) {
    return report.state == state;
  });
  return found == reports_.end() ? nullptr : &*found;
}

void LinkTalk::stop(const std::string& why) {
  if (LinkReport* const report = report_of(State::kSending); report != nullptr && job_) {
    report->state = State::kStopped;
    report->why = why;
    if (!is_asked()) {
      reads_.forget(job_->band());
    }
  }
  job_.reset();
}

void LinkTalk::start_next(double now_s) {
  LinkReport* const report = report_of(State::kWaiting);
  if (report == nullptr) {
    return;
  }
  if (!is_alive(now_s)) {
    report->state = State::kByHand;
    report->why = is_open_ ? "the console does not answer" : "there is no way to the console";
    return;
  }
  if (reads_.is_in_doubt()) {
    return;  // a hand is at work, or a packet was late: known within a second
  }
  const LinkPlan plan = plan_change(bands(), report->change);
  report->band = plan.band ? plan.band : report->band;
  if (!plan.by_hand.empty()) {
    report->state = State::kByHand;
    report->why = plan.by_hand;
    if (!is_asked() && report->band) {
      reads_.forget(*report->band);  // a hand is at it from now on
    }
  } else if (plan.goals.empty()) {
    report->state = is_asked() ? State::kConfirmed : State::kSent;
  } else {
    report->state = State::kSending;
    job_.emplace(plan, reads_, now_s);
  }
}

void LinkTalk::hear(const std::optional<LinkPart>& part, double number, double now_s) {
  heard_s_ = now_s;
  if (!part) {
    return;
  }
  if (!control(bands().link(), *part).scale.value_of(number)) {
    return;
  }
  if (job_ && part->kind != Kind::kFader && part->band == job_->band()) {
    job_->hear(*part, number, now_s);
  } else {
    reads_.hear(*part, number, now_s);
  }
}

/// Lets the job go on, and takes its end.
void LinkTalk::follow_job(double now_s, std::vector<LinkMessage>& messages) {
  job_->follow(now_s, messages);
  LinkReport* const report = report_of(State::kSending);
  switch (job_->state()) {
    case LinkJob::State::kGoing:
      return;
    case LinkJob::State::kStopped:
      stop(job_->why());
      return;
    case LinkJob::State::kConfirmed:
      report->state = State::kConfirmed;
      break;
    case LinkJob::State::kSent:
      report->state = State::kSent;
      break;
  }
  job_.reset();
}

void LinkTalk::ask_around(double now_s, std::vector<LinkMessage>& messages) {
  const bool has_fader = parts_.front().kind == Kind::kFader;
  if (has_fader && now_s - fader_asked_s_ >= kFaderPauseS) {
    fader_asked_s_ = now_s;
    messages.push_back({LinkMessage::Kind::kAsk, parts_.front(), 0.0});
  }
  const std::size_t first = has_fader ? 1 : 0;
  const double pause_s = is_alive(now_s) ? kAskPauseS : kFaderPauseS;
  if (job_ || parts_.size() == first || now_s - asked_s_ < pause_s) {
    return;
  }
  asked_s_ = now_s;
  next_ask_ = (next_ask_ + 1) % (parts_.size() - first);
  messages.push_back({LinkMessage::Kind::kAsk, parts_[first + next_ask_], 0.0});
}

void LinkTalk::follow_silence(double now_s) {
  const bool is_alive = this->is_alive(now_s);
  if (was_alive_ && !is_alive) {
    stop(is_open_ ? "the console stopped answering" : "the way to the console was lost");
    reads_.forget_all();
  }
  was_alive_ = is_alive;
}

/// What a hand was to set stands there by now, as the console tells.
void LinkTalk::look_at_hands() {
  if (bands().link().answers == Link::Answers::kNever || bands().known().size() < bands().count()) {
    return;
  }
  for (LinkReport& report : reports_) {
    const auto& now = report.change.now;
    const auto& changed = now ? now : report.change.was;
    if (!is_to_be_set(report) || !changed || is_high_pass(*changed)) {
      continue;
    }
    const auto at = find_band(bands(), {changed->centre_hz, changed->q, changed->depth_db});
    const bool is_out = !now && !at && (!report.band || bands().is_flat(*report.band));
    if (now ? at.has_value() : is_out) {
      report.state = State::kConfirmed;
      report.band = now ? at : report.band;
      report.why.clear();
    }
  }
}

std::vector<LinkMessage> LinkTalk::due(double now_s) {
  std::vector<LinkMessage> messages;
  follow_silence(now_s);
  if (is_open_ && !bands().link().keep_alive.empty() &&
      now_s - kept_alive_s_ >= bands().link().keep_alive_s) {
    kept_alive_s_ = now_s;
    messages.push_back({LinkMessage::Kind::kKeepAlive, {}, 0.0});
  }
  if (!is_asked()) {
    reads_.settle(now_s);
  }
  if (!job_) {
    start_next(now_s);
  }
  if (job_) {
    follow_job(now_s, messages);
  }
  if (is_open_ && is_asked()) {
    ask_around(now_s, messages);
  }
  look_at_hands();
  return messages;
}

}  // namespace brink::cuts
