#pragma once

#include <stdexcept>

namespace brink::base {

/// Thrown when setting up fails. The message is one sentence for the user: what is wrong, where,
/// and what to do. Processing never throws.
class Error : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

}  // namespace brink::base
