#pragma once

#include <memory>

#include "cli/listen/listen_options.h"
#include "io/live/raw_input.h"
#include "io/source.h"

namespace brink::cli {

/// What is listened to.
struct ListenSource {
  std::unique_ptr<io::Source> source;
  const io::RawInput* raw = nullptr;  ///< the source when it is stdin
};

/// Throws base::Error when the options contradict each other, or the input cannot be had.
[[nodiscard]] ListenSource open_source(const ListenOptions& options);

}  // namespace brink::cli
