#pragma once

#include <cstdint>
#include <random>

#include "io/guess_record.h"
#include "io/show_record.h"

namespace brink::tests {

/// A show of an invented hall and crew with every field of it used, the same for the same seed.
[[nodiscard]] io::ShowRecord sample_show(std::uint32_t seed,
                                         std::size_t output_count = 3,
                                         std::size_t round_count = 4);

[[nodiscard]] io::GuessRecord sample_guess(std::uint32_t seed);

}  // namespace brink::tests
