#pragma once

#include <cstdint>
#include <functional>
#include <span>
#include <string>
#include <variant>
#include <vector>

namespace brink::io {

/// One argument of a message: types i, f and s of Open Sound Control 1.0.
using OscValue = std::variant<std::int32_t, float, std::string>;

/// The packet of one message; `address` begins with a slash. Empty when there is no memory for it.
/// [any]
[[nodiscard]] std::vector<char> osc_packet(const std::string& address,
                                           std::span<const OscValue> values);

/// Calls `take` with each message of a packet, those in bundles too, whatever their time. Arguments
/// of other types than OscValue has (h and d become f) are left out. Bytes that are no message are
/// skipped: a packet may come from anywhere. [any]
void read_osc_packet(std::span<const char> packet,
                     const std::function<void(const std::string& address,
                                              const std::vector<OscValue>& values)>& take);

}  // namespace brink::io
