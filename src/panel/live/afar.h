#pragma once

#include <optional>
#include <string>

#include "panel/live/instruction.h"
#include "panel/live/ring_card.h"
#include "panel/pane.h"

namespace brink::panel {

/// What one acts on, and nothing else: for whoever stands at the wedge.
struct AfarView {
  Instruction instruction;
  std::optional<RingCard> lit;  ///< nothing: nothing rings
  std::string quiet;            ///< said then
  std::string fader;            ///< empty: nobody knows where it stands
};

/// Over the whole area, in the largest letters that it has room for.
void draw_from_afar(const Rect& area, const AfarView& view, Context& context);

}  // namespace brink::panel
