#include "show/merge_rings.h"

#include <algorithm>
#include <iterator>
#include <utility>

namespace brink::show {

void RingList::on_event(const detector::RingEvent& event) noexcept {
  const auto found =
      std::find_if(sounding_.begin(), sounding_.end(), [&](const detector::Ring& ring) {
        return ring.id == event.ring.id;
      });
  const auto index = static_cast<std::size_t>(found - sounding_.begin());
  if (found == sounding_.end()) {
    sounding_.push_back(event.ring);
  } else {
    *found = merge_ring(*found, event.ring);
  }
  if (detector::is_over(event.ring.state)) {
    retire(index);
  }
}

void RingList::retire(std::size_t index) {
  std::swap(sounding_[index], sounding_.back());
  if (keeps_unsure_ || was_certain(sounding_.back())) {
    over_.push_back(sounding_.back());
  }
  sounding_.pop_back();
}

std::vector<detector::Ring> RingList::rings() const {
  std::vector<detector::Ring> all = over_;
  std::copy_if(
      sounding_.begin(), sounding_.end(), std::back_inserter(all), [&](const detector::Ring& ring) {
        return keeps_unsure_ || was_certain(ring);
      });
  return all;
}

}  // namespace brink::show
