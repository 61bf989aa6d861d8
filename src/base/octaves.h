#pragma once

#include <array>

namespace brink::base {

struct Octave {
  double centre_hz;
  const char* name;
};

/// What a scale of frequencies is labelled with: nominal octave centres (IEC 61260-1).
inline constexpr std::array<Octave, 9> kOctaves{{{63.0, "63"},
                                                 {125.0, "125"},
                                                 {250.0, "250"},
                                                 {500.0, "500"},
                                                 {1000.0, "1k"},
                                                 {2000.0, "2k"},
                                                 {4000.0, "4k"},
                                                 {8000.0, "8k"},
                                                 {16000.0, "16k"}}};

}  // namespace brink::base
