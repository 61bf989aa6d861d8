#pragma once

#include <cstdint>
#include <random>

#include "show/guess_record.h"
#include "show/show_record.h"

namespace brink::tests {

/// A show of an invented hall and crew that uses every field. The same seed gives the same show.
[[nodiscard]] show::ShowRecord sample_show(std::uint32_t seed,
                                           std::size_t output_count = 3,
                                           std::size_t round_count = 4);

[[nodiscard]] show::GuessRecord sample_guess(std::uint32_t seed);

}  // namespace brink::tests
