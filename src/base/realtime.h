#pragma once

// Behind `noexcept` on what runs in an audio callback: clang 20 and later then refuse, at compile
// time or under -fsanitize=realtime, whatever may allocate, lock or wait. Nothing elsewhere.
#if defined(__has_cpp_attribute)
#if __has_cpp_attribute(clang::nonblocking)
#define BRINK_NONBLOCKING [[clang::nonblocking]]
#endif
#endif
#ifndef BRINK_NONBLOCKING
#define BRINK_NONBLOCKING
#endif
