#pragma once

#include <cstddef>
#include <vector>

#include "show/guess_record.h"
#include "show/show_record.h"

namespace brink::tests {

/// An evening at Larkfield Hall as the book would keep it: hall, band and crew are invented, and so
/// are the figures. Three outputs: one on a parametric, done; one on a graphic, done; one open.
[[nodiscard]] show::ShowRecord example_show();

/// `outputs` outputs with `rounds` rounds each, for what is large. The same numbers give the same.
[[nodiscard]] show::ShowRecord large_show(std::size_t outputs, std::size_t rounds);

/// The example with markup, broken text and words without end wherever text is typed.
[[nodiscard]] show::ShowRecord hostile_show();

/// Ten weeks of a trainee called Wren, who gets better.
[[nodiscard]] std::vector<show::GuessRecord> example_guesses();

}  // namespace brink::tests
