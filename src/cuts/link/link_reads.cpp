#include "cuts/link/link_reads.h"

#include <algorithm>

namespace brink::cuts {

bool LinkReads::is_same(const LinkPart& part, double a, double b) const noexcept {
  const Scale& scale = control(bands_.link(), part).scale;
  const auto first = scale.value_of(a);
  const auto second = scale.value_of(b);
  return first && second && is_near_value(part.kind, *first, *second);
}

void LinkReads::drop_doubt(const LinkPart& part) {
  std::erase_if(doubts_, [&](const Doubt& doubt) { return doubt.part == part; });
}

bool LinkReads::hear(const LinkPart& part, double number, double now_s) {
  const auto value = control(bands_.link(), part).scale.value_of(number);
  if (!value) {
    return false;
  }
  if (part.kind == LinkPart::Kind::kFader) {
    fader_db_ = value;
    return true;
  }
  const auto known = bands_.number(part);
  if (!known || is_same(part, *known, number)) {
    bands_.set(part, number);
    drop_doubt(part);
    return true;
  }
  const auto doubt = std::find_if(
      doubts_.begin(), doubts_.end(), [&](const Doubt& one) { return one.part == part; });
  if (doubt == doubts_.end()) {
    doubts_.push_back({part, number, now_s});
  } else if (!is_same(part, doubt->number, number)) {
    *doubt = {part, number, now_s};
  } else if (now_s - doubt->since_s >= kSettleS) {
    set(part, number);
  }
  return true;
}

void LinkReads::settle(double now_s) {
  const std::vector<Doubt> doubts = doubts_;
  for (const Doubt& doubt : doubts) {
    if (now_s - doubt.since_s >= kSettleS) {
      set(doubt.part, doubt.number);
    }
  }
}

void LinkReads::set(const LinkPart& part, double number) {
  bands_.set(part, number);
  drop_doubt(part);
}

void LinkReads::assume_flat() {
  if (bands_.known().empty()) {
    bands_.assume_flat();
  }
}

void LinkReads::forget(std::size_t band) {
  bands_.forget(band);
  std::erase_if(doubts_, [&](const Doubt& doubt) { return doubt.part.band == band; });
}

void LinkReads::forget_all() {
  for (std::size_t band = 0; band < bands_.count(); ++band) {
    bands_.forget(band);
  }
  doubts_.clear();
  fader_db_.reset();
}

}  // namespace brink::cuts
