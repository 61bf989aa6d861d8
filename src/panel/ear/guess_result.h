#pragma once

#include <cstdint>

#include "ear/guess_result.h"
#include "panel/pane.h"

namespace brink::panel {

/// A locked guess in words, and whether the book has it by now: `serial` is what Book::keep() gave.
void draw_guess_result(const Rect& area,
                       const ear::GuessResult& result,
                       bool by_note,
                       std::uint64_t serial,
                       const Context& context);

}  // namespace brink::panel
