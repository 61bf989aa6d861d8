#include "show/session_event.h"

#include <array>

namespace brink::show {

const char* to_word(EventKind kind) noexcept {
  constexpr std::array kWords{"building",
                              "ringing",
                              "fading",
                              "gone",
                              "withdrawn",
                              "input-lost",
                              "input-back",
                              "samples-lost"};
  return kWords[static_cast<std::size_t>(kind)];
}

bool is_of_ring(EventKind kind) noexcept {
  return kind <= EventKind::kWithdrawn;
}

bool ends_ring(EventKind kind) noexcept {
  return kind == EventKind::kGone || kind == EventKind::kWithdrawn;
}

const char* to_word(LossReason reason) noexcept {
  constexpr std::array kWords{"vanished", "frozen", "zeros"};
  return kWords[static_cast<std::size_t>(reason)];
}

}  // namespace brink::show
