#include "cuts/score/audible_score.h"

namespace brink::cuts {
namespace {

bool is_on(const Cut& cut) {
  return cut.depth_db < 0.0;
}

/// The cut of a choice; of depth 0 when it is off or a high-pass.
Cut to_cut(const Slot& slot, const Choice& choice) {
  if (slot.kind != Slot::Kind::kPeaking || choice.depth == 0) {
    return {};
  }
  return {slot.centres_hz[static_cast<std::size_t>(choice.centre)],
          slot.qs[static_cast<std::size_t>(choice.q)],
          slot.depths_db[static_cast<std::size_t>(choice.depth)]};
}

}  // namespace

AudibleScore::AudibleScore(std::span<const Slot> slots)
    : slots_(slots), cuts_(slots.size()), depths_db_(slots.size()) {}

HeardCuts AudibleScore::try_change(std::size_t index, const Choice& now) {
  tried_index_ = index;
  tried_cut_ = to_cut(slots_[index], now);
  tried_depths_db_ = depths_db_;
  const Cut& was = cuts_[index];
  tried_depths_db_[index] = is_on(tried_cut_) ? -tried_cut_.depth_db : 0.0;
  HeardCuts heard;
  for (std::size_t other = 0; other < cuts_.size(); ++other) {
    const Cut& cut = cuts_[other];
    if (other == index || !is_on(cut)) {
      continue;
    }
    if (is_on(was)) {
      tried_depths_db_[other] -= shared_depth_db(cut, was);
    }
    if (is_on(tried_cut_)) {
      tried_depths_db_[other] += shared_depth_db(cut, tried_cut_);
      tried_depths_db_[index] += shared_depth_db(tried_cut_, cut);
    }
    heard.add(tried_depths_db_[other], cut.q);
  }
  if (is_on(tried_cut_)) {
    heard.add(tried_depths_db_[index], tried_cut_.q);
  }
  return heard;
}

void AudibleScore::make_change() {
  depths_db_ = tried_depths_db_;
  cuts_[tried_index_] = tried_cut_;
}

}  // namespace brink::cuts
