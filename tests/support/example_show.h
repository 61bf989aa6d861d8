#pragma once

#include <cstddef>
#include <vector>

#include "show/guess_record.h"
#include "show/show_record.h"

namespace brink::tests {

/// An evening at Larkfield Hall, as in the book. Hall, band, crew and figures are invented. There
/// are three outputs: one on a parametric, done; one on a graphic, done; one open.
[[nodiscard]] show::ShowRecord example_show();

/// A show with `outputs` outputs and `rounds` rounds each, for tests of large shows. The same
/// numbers give the same show.
[[nodiscard]] show::ShowRecord large_show(std::size_t outputs, std::size_t rounds);

/// The example show, with markup, broken text and endless words in every text.
[[nodiscard]] show::ShowRecord hostile_show();

/// Ten weeks of a trainee called Wren, who improves.
[[nodiscard]] std::vector<show::GuessRecord> example_guesses();

}  // namespace brink::tests
