#include "desk/lit_ring.h"

#include <utility>

namespace brink::desk {
namespace {

constexpr double kLouderDb = 3.0;

int rank(const ListedRing& ring) noexcept {
  if (!ring.is_sounding) {
    return 2;
  }
  return ring.is_certain ? 0 : 1;
}

}  // namespace

std::size_t LitRing::place_of(std::uint64_t id) const noexcept {
  if (id == lit_ && !was_over_) {
    return 0;
  }
  return 1 + static_cast<std::size_t>(std::find(order_.begin(), order_.end(), id) - order_.begin());
}

void LitRing::follow(std::span<const ListedRing> rings, double now_s) {
  std::vector<ListedRing> listed(rings.begin(), rings.end());
  std::stable_sort(listed.begin(), listed.end(), [&](const ListedRing& a, const ListedRing& b) {
    const auto at = [&](const ListedRing& ring) {
      return std::find(order_.begin(), order_.end(), ring.id);
    };
    return at(a) < at(b);
  });
  std::stable_sort(listed.begin(), listed.end(), [](const ListedRing& a, const ListedRing& b) {
    return rank(a) < rank(b);
  });
  // Insertion by level; a step up must be worth it.
  for (std::size_t i = 1; i < listed.size(); ++i) {
    for (std::size_t at = i;
         at > 0 && rank(listed[at]) == rank(listed[at - 1]) && listed[at].is_sounding &&
         listed[at].level_dbfs > listed[at - 1].level_dbfs + kLouderDb;
         --at) {
      std::swap(listed[at], listed[at - 1]);
    }
  }
  order_.clear();
  over_.clear();
  for (const ListedRing& ring : listed) {
    order_.push_back(ring.id);
    if (!ring.is_sounding) {
      over_.push_back(ring.id);
    }
  }
  std::erase_if(seen_, [&](std::uint64_t id) {
    return std::find(order_.begin(), order_.end(), id) == order_.end();
  });
  const auto still = std::find_if(
      listed.begin(), listed.end(), [&](const ListedRing& ring) { return ring.id == lit_; });
  const bool stays =
      still != listed.end() && (is_chosen_ ? still->is_sounding || was_over_ : rank(*still) == 0);
  if (stays || listed.empty()) {
    lit_ = stays ? lit_ : std::nullopt;
    return;
  }
  // One that is over keeps the light while there is nothing better to give it to.
  const bool may_stay = still != listed.end() && rank(*still) <= rank(listed.front());
  if (!may_stay) {
    lit_ = listed.front().id;
    is_chosen_ = false;
    was_over_ = false;
    seen_.clear();
    changed_s_ = now_s;
  }
}

void LitRing::light(std::uint64_t id) {
  if (std::find(order_.begin(), order_.end(), id) != order_.end()) {
    lit_ = id;
    is_chosen_ = true;
    was_over_ = std::find(over_.begin(), over_.end(), id) != over_.end();
  }
}

void LitRing::light_next() {
  if (!lit_ || order_.size() < 2) {
    return;
  }
  seen_.push_back(*lit_);
  const auto is_new = [&](std::uint64_t id) {
    return std::find(seen_.begin(), seen_.end(), id) == seen_.end();
  };
  auto next = std::find_if(order_.begin(), order_.end(), is_new);
  if (next == order_.end()) {
    seen_.clear();
    next = std::find_if(order_.begin(), order_.end(), [&](std::uint64_t id) { return id != lit_; });
  }
  light(*next);
}

}  // namespace brink::desk
