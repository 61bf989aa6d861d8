#pragma once

// Write BRINK_NONBLOCKING behind `noexcept` on every function that runs in an audio callback. Clang
// 20 and later then refuse what may allocate, lock or wait, at compile time or under
// -fsanitize=realtime. For other compilers it is empty.
//
// Comments name the thread that may call a function: [audio] the audio callback, [analysis] the
// thread that analyses, [face] the thread of the window or terminal, [any] any thread; one thread
// at a time for an object that changes.
#if defined(__has_cpp_attribute)
#if __has_cpp_attribute(clang::nonblocking)
#define BRINK_NONBLOCKING [[clang::nonblocking]]
#endif
#endif
#ifndef BRINK_NONBLOCKING
#define BRINK_NONBLOCKING
#endif
