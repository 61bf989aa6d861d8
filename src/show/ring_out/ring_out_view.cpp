#include "show/ring_out/ring_out_view.h"

#include <algorithm>
#include <array>

namespace brink::show {
namespace {

// Common practice: B. Ohms; J. Pritchard, Stage Directions; docs/ring-out.md.
constexpr std::array kPoints{
    "equaliser flat",
    "high-pass where the source allows",
    "gain set",
    "microphone where it will be",
    "hearing protection on",
};

}  // namespace

const char* to_word(Phase phase) noexcept {
  constexpr std::array kWords{"prepare", "raise", "catch", "check", "done"};
  return kWords[static_cast<std::size_t>(phase)];
}

const char* instruction(Phase phase) noexcept {
  // Short: they are read from two metres.
  constexpr std::array kInstructions{
      "Tick the list, then raise the fader.",
      "Raise slowly until something rings.",
      "Pull the fader down a little, then cut.",
      "Does it fade? If not, fader down.",
      "Backed off. Now the next output.",
  };
  return kInstructions[static_cast<std::size_t>(phase)];
}

std::span<const char* const> prepare_points() noexcept {
  return kPoints;
}

bool is_prepared(const show::OutputRecord& output, std::size_t point) {
  return std::find(output.prepared.begin(), output.prepared.end(), kPoints.at(point)) !=
         output.prepared.end();
}

}  // namespace brink::show
