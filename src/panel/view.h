#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>

namespace brink::panel {

enum class PaneId : std::uint8_t { kListen, kRingOut, kEar, kRecording, kReach, kBook, kSweep };

enum class Overlay : std::uint8_t { kNone, kHelp, kExposure, kInputs, kTargets };

/// What is shown of everything; nothing here outlives the window.
struct View {
  PaneId pane = PaneId::kListen;
  Overlay overlay = Overlay::kNone;
  bool hides_answers = false;  ///< no frequency is shown, the detector goes on
  bool is_from_afar = false;   ///< what one acts on fills the window (live/afar.h)
  /// Of the taps that are listened to, the one that is shown; without it, all of them together.
  std::optional<std::size_t> tap_index;
  bool is_typing = false;  ///< a text field is open: letters belong to it
  std::string trainee;     ///< whose guesses are kept; empty: not said yet
};

}  // namespace brink::panel
