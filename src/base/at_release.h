#pragma once

#include <functional>

namespace brink::base {

/// Takes a call that makes something silent. It is made once, as soon as the key is released that
/// is held now, on another thread. Empty: the caller itself sees the release in its next pass.
using AtRelease = std::function<void(std::function<void()> silence)>;

}  // namespace brink::base
