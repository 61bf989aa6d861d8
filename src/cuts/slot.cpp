#include "cuts/slot.h"

#include <algorithm>

namespace brink::cuts {

Setting to_setting(std::span<const Slot> slots, std::span<const Choice> choices) {
  Setting setting;
  for (std::size_t i = 0; i < slots.size(); ++i) {
    const Slot& slot = slots[i];
    const Choice& choice = choices[i];
    if (choice.depth == 0) {
      continue;
    }
    const double centre_hz = slot.centres_hz[static_cast<std::size_t>(choice.centre)];
    if (slot.kind == Slot::Kind::kHighPass) {
      setting.high_pass.corner_hz = centre_hz;
    } else {
      setting.cuts.push_back({centre_hz,
                              slot.qs[static_cast<std::size_t>(choice.q)],
                              slot.depths_db[static_cast<std::size_t>(choice.depth)]});
    }
  }
  return setting;
}

int nearest_index(std::span<const double> list, double value) {
  const auto above = std::lower_bound(list.begin(), list.end(), value);
  if (above == list.begin()) {
    return 0;
  }
  const auto index = static_cast<int>(above - list.begin());
  if (above == list.end()) {
    return index - 1;
  }
  return *above - value < value - *(above - 1) ? index : index - 1;
}

}  // namespace brink::cuts
