#pragma once

#include <stdexcept>

namespace brink::base {

/// What set-up throws: one sentence fit for the user, saying what is wrong, where, and what to do.
/// Processing never throws.
class Error : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

}  // namespace brink::base
