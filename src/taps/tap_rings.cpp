#include "taps/tap_rings.h"

#include <algorithm>
#include <cmath>
#include <complex>
#include <iterator>
#include <tuple>

#include "base/units.h"
#include "detector/limiter_products.h"

namespace brink::taps {
namespace {

using detector::Ring;
using detector::RingState;

constexpr double kMeasureS = 0.1;  // from one look at the shares to the next

std::vector<TapInfo> checked(std::vector<TapInfo> taps) {
  const bool has_microphone = std::any_of(taps.begin(), taps.end(), [](const TapInfo& tap) {
    return tap.role == TapRole::kMicrophone;
  });
  for (TapInfo& tap : taps) {
    tap.role = has_microphone ? tap.role : TapRole::kMicrophone;
  }
  return taps;
}

double kept_s(const std::vector<TapInfo>& taps) {
  constexpr double kLateS = 0.25;  // an event may be so old when it comes
  const bool has_outputs = std::any_of(
      taps.begin(), taps.end(), [](const TapInfo& tap) { return tap.role == TapRole::kOutput; });
  return taps.size() == 1 ? 0.0 : kLateS + (has_outputs ? ShareMeter::kSendsS : kDrivesS);
}

}  // namespace

TapRings::TapRings(double sample_rate_hz, std::vector<TapInfo> taps)
    : taps_{checked(std::move(taps))},
      history_{sample_rate_hz, taps_.size(), kept_s(taps_)},
      copies_{taps_.size()},
      pause_{static_cast<std::int64_t>(kMeasureS * sample_rate_hz)} {}

void TapRings::take(std::size_t tap, const detector::RingEvent& event) {
  waiting_.push_back({tap, event});
}

void TapRings::hear(std::span<const std::span<const float>> block) {
  if (taps_.size() > 1) {
    history_.push(block);
    copies_.look(history_);
  }
}

void TapRings::hear_silence(std::size_t sample_count) {
  if (taps_.size() > 1) {
    history_.push_silence(sample_count);
    copies_.look(history_);
  }
}

std::vector<TapRingEvent> TapRings::settle() {
  if (taps_.size() == 1) {
    for (const TapEvent& one : waiting_) {
      told_.push_back({one.event.sample, taps_[0].channel, taps_[0].channel, one.event.ring, {}});
    }
  } else {
    std::stable_sort(waiting_.begin(), waiting_.end(), [](const auto& a, const auto& b) {
      return std::tie(a.event.sample, a.tap) < std::tie(b.event.sample, b.tap);
    });
    for (const TapEvent& one : waiting_) {
      measure_until(one.event.sample);
      put(one);
    }
    measure_until(history_.sample_count());
  }
  waiting_.clear();
  return std::exchange(told_, {});
}

void TapRings::break_off() {
  groups_.clear();
  places_.forget_taps();
}

std::uint32_t TapRings::id_of(std::size_t tap, std::uint32_t ring_id) const noexcept {
  if (taps_.size() == 1) {
    return ring_id;
  }
  for (const Group& group : groups_) {
    for (const TapRing& member : group.members) {
      if (member.tap == tap && member.ring.id == ring_id) {
        return group.id;
      }
    }
  }
  return 0;
}

TapRings::Group* TapRings::group_of(std::size_t tap, std::uint32_t ring_id) noexcept {
  for (Group& group : groups_) {
    for (const TapRing& member : group.members) {
      if (member.tap == tap && member.ring.id == ring_id) {
        return &group;
      }
    }
  }
  return nullptr;
}

/// The group, other than its own, in which that ring sounds on another tap; the nearest.
TapRings::Group* TapRings::match(const Ring& ring, const Group* own) noexcept {
  Group* nearest = nullptr;
  double nearest_hz = 0.0;
  for (Group& group : groups_) {
    for (const TapRing& member : group.members) {
      const double apart_hz = std::abs(member.ring.frequency_hz - ring.frequency_hz);
      if (&group != own && !detector::is_over(member.ring.state) &&
          is_same_tone(member.ring, ring) && (nearest == nullptr || apart_hz < nearest_hz)) {
        nearest = &group;
        nearest_hz = apart_hz;
      }
    }
  }
  return nearest;
}

TapRings::Group& TapRings::add_group(std::int64_t sample) {
  groups_.push_back({++last_id_, {}, ShareMeter{taps_}, sample, {}, 0, false, false});
  return groups_.back();
}

void TapRings::put(const TapEvent& one) {
  const Ring& ring = one.event.ring;
  Group* group = group_of(one.tap, ring.id);
  if (group == nullptr) {
    if (detector::is_over(ring.state)) {
      return;  // its group was told to be over
    }
    group = match(ring, nullptr);
    if (group == nullptr) {
      group = &add_group(one.event.sample);
    }
    group->members.push_back({one.tap, ring});
  } else {
    const auto member =
        std::find_if(group->members.begin(), group->members.end(), [&](const TapRing& other) {
          return other.tap == one.tap && other.ring.id == ring.id;
        });
    const bool is_new_certainty = is_certain(ring) && !is_certain(member->ring);
    member->ring = ring;
    if (is_new_certainty) {
      move_when_certain(one.tap, one.event);
      group = group_of(one.tap, ring.id);
    }
  }
  tell(*group, one.event.sample);
}

/// A suspicion may have had another frequency than the ring that came of it. Once it is certain, it
/// goes to where the ring is known.
void TapRings::move_when_certain(std::size_t tap, const detector::RingEvent& event) {
  Group* own = group_of(tap, event.ring.id);
  Group* other = match(event.ring, own);
  const bool is_own_known =
      std::any_of(own->members.begin(), own->members.end(), [&](const TapRing& member) {
        return is_certain(member.ring) && (member.tap != tap || member.ring.id != event.ring.id);
      });
  if (other == nullptr || is_own_known) {
    return;
  }
  std::erase_if(own->members, [&](const TapRing& member) {
    return member.tap == tap && member.ring.id == event.ring.id;
  });
  const std::uint32_t own_id = own->id;
  other->members.push_back({tap, event.ring});
  if (own->members.empty()) {
    end_group(own_id, event.sample);
  }
}

/// The group is no ring of its own; who heard of it hears that it is over.
void TapRings::end_group(std::uint32_t id, std::int64_t sample) {
  const auto group = std::find_if(
      groups_.begin(), groups_.end(), [&](const Group& other) { return other.id == id; });
  if (group->is_told) {
    const int channel = taps_[group->told_tap].channel;
    TapRingEvent event{sample, channel, channel, group->told, {}};
    event.ring.state = RingState::kGone;
    event.ring.ended_sample = sample;
    told_.push_back(event);
  }
  groups_.erase(group);
}

/// Whether it is what a limiter makes of other rings, by their levels now on whichever tap is
/// loudest.
bool TapRings::is_limiter_product(const Group& group, std::int64_t sample) const {
  std::vector<std::complex<double>> tones(taps_.size());
  const auto length = static_cast<std::size_t>(ShareMeter::kWindowS * history_.sample_rate_hz());
  const auto level_dbfs = [&](double frequency_hz) {
    history_.tones(frequency_hz, sample, length, tones);
    double most = 0.0;
    for (const std::complex<double>& tone : tones) {
      most = std::max(most, std::abs(tone));
    }
    return base::amplitude_to_db(most);
  };
  std::vector<detector::RingTone> others;
  for (const Group& other : groups_) {
    if (&other != &group && other.is_told) {
      const double frequency_hz = other.told.frequency_hz;
      others.push_back({frequency_hz, level_dbfs(frequency_hz), is_certain(other.told)});
    }
  }
  const double frequency_hz = group.members.front().ring.frequency_hz;
  return detector::is_limiter_product(frequency_hz, level_dbfs(frequency_hz), others);
}

/// One that has become certain waits while a limiter may make it.
void TapRings::hold_back_product(Group& group, RingState state, std::int64_t sample) const {
  const bool was_certain = group.is_told && is_certain(group.told);
  const bool is_known = std::any_of(group.members.begin(),
                                    group.members.end(),
                                    [](const TapRing& one) { return is_certain(one.ring); });
  if (!was_certain && is_known) {
    // One that is held back and fades is not told any more.
    const bool is_too_late = group.is_held_back && state != RingState::kRinging;
    group.is_held_back = is_too_late || is_limiter_product(group, sample);
  }
}

/// The ring is over. A tap that is not certain may have more to say: it begins anew.
void TapRings::drop_ended_members(Group& group, std::int64_t sample) {
  std::vector<TapRing> rest;
  std::copy_if(
      group.members.begin(), group.members.end(), std::back_inserter(rest), [](const TapRing& one) {
        return !detector::is_over(one.ring.state);
      });
  groups_.erase(groups_.begin() + (&group - groups_.data()));
  if (!rest.empty()) {
    add_group(sample).members = std::move(rest);
  }
}

void TapRings::tell(Group& group, std::int64_t sample) {
  const RingState state = state_of(group.members);
  if (group.is_told && state == group.told.state) {
    return;
  }
  if (!group.is_told && detector::is_over(state)) {
    groups_.erase(groups_.begin() + (&group - groups_.data()));
    return;  // nobody heard of it
  }
  const bool was_certain = group.is_told && is_certain(group.told);
  hold_back_product(group, state, sample);
  if (group.is_held_back) {
    group.next_measure = sample + pause_;
    if (detector::is_over(state)) {
      end_group(group.id, sample);
    }
    return;
  }
  const TapRing best = ring_of_stage(group.members, state, sample);
  Ring ring = best.ring;
  ring.id = group.id;
  ring.place =
      is_certain(ring) ? places_.number(group.is_told ? group.told.place : 0, group.members) : 0;
  if (state == RingState::kRinging && !was_certain) {
    measure(group, sample);
  }
  const RingShares shares = group.meter.shares();
  group.told = ring;
  group.is_told = true;
  group.told_tap = best.tap;
  const int heard = taps_[best.tap].channel;
  told_.push_back(
      {sample, shares.count > 0 ? shares.parts.front().channel : heard, heard, ring, shares});
  if (detector::is_over(state)) {
    drop_ended_members(group, sample);
  }
}

void TapRings::measure_until(std::int64_t sample) {
  for (Group& group : groups_) {
    const bool is_ringing = group.is_told && group.told.state == RingState::kRinging;
    while ((is_ringing || group.is_held_back) && group.next_measure <= sample) {
      const std::int64_t end = group.next_measure;
      group.next_measure += pause_;
      if (group.is_held_back) {
        tell(group, end);  // it may have grown out of what a limiter makes
      } else {
        measure(group, end);
      }
    }
  }
}

void TapRings::measure(Group& group, std::int64_t end) {
  const auto best = std::max_element(
      group.members.begin(), group.members.end(), [](const TapRing& a, const TapRing& b) {
        return std::tuple(is_certain(a.ring), a.ring.level_dbfs) <
               std::tuple(is_certain(b.ring), b.ring.level_dbfs);
      });
  group.meter.measure(history_, best->ring.frequency_hz, best->ring.growth_db_per_s, end);
  group.next_measure = end + pause_;
}

}  // namespace brink::taps
