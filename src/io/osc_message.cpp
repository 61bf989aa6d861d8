#include "io/osc_message.h"

#include <lo/lo.h>

#include <algorithm>
#include <cstdlib>
#include <cstring>
#include <memory>
#include <string_view>
#include <type_traits>

namespace brink::io {
namespace {

/// What lo_message points to: nothing in particular, or a type of its own from liblo 0.32 on.
using Message = std::remove_pointer_t<lo_message>;

struct FreeMessage {
  void operator()(Message* message) const noexcept { lo_message_free(message); }
};

struct FreeBytes {
  void operator()(void* bytes) const noexcept { std::free(bytes); }  // NOLINT: from malloc
};

struct Append {
  lo_message message;

  void operator()(std::int32_t value) const { lo_message_add_int32(message, value); }

  void operator()(float value) const { lo_message_add_float(message, value); }

  void operator()(const std::string& value) const { lo_message_add_string(message, value.c_str()); }
};

using Take = std::function<void(const std::string&, const std::vector<OscValue>&)>;

/// A number at an address of any alignment: a message has whole units of 4 bytes, and the
/// library's own type wants 8.
template <typename Number>
Number number_at(const void* address) {
  Number number{};
  std::memcpy(&number, address, sizeof number);
  return number;
}

void add_value(char type, const void* argument, std::vector<OscValue>& values) {
  switch (type) {
    case LO_INT32:
      values.emplace_back(number_at<std::int32_t>(argument));
      break;
    case LO_FLOAT:
      values.emplace_back(number_at<float>(argument));
      break;
    case LO_INT64:
      values.emplace_back(static_cast<float>(number_at<std::int64_t>(argument)));
      break;
    case LO_DOUBLE:
      values.emplace_back(static_cast<float>(number_at<double>(argument)));
      break;
    case LO_STRING:
    case LO_SYMBOL:
      values.emplace_back(std::string(static_cast<const char*>(argument)));
      break;
    default:
      break;
  }
}

void read_message(std::span<const char> bytes, const Take& take) {
  const auto end = std::find(bytes.begin(), bytes.end(), '\0');
  if (bytes.empty() || bytes.front() != '/' || end == bytes.end()) {
    return;
  }
  std::vector<char> copy(bytes.begin(), bytes.end());  // the library asks for bytes it may change
  int fault = 0;
  const std::unique_ptr<Message, FreeMessage> message(
      lo_message_deserialise(copy.data(), copy.size(), &fault));
  if (!message) {
    return;
  }
  std::vector<OscValue> values;
  const std::string_view types = lo_message_get_types(message.get());
  lo_arg** const arguments = lo_message_get_argv(message.get());
  const auto count = static_cast<std::size_t>(std::max(0, lo_message_get_argc(message.get())));
  for (std::size_t i = 0; i < std::min(count, types.size()); ++i) {
    if (arguments[i] != nullptr) {
      add_value(types[i], arguments[i], values);
    }
  }
  take(std::string(bytes.begin(), end), values);
}

std::uint32_t big_endian(std::span<const char> bytes) {
  std::uint32_t number = 0;
  for (const char one : bytes.first(4)) {
    number = number << 8U | static_cast<unsigned char>(one);
  }
  return number;
}

void read_element(std::span<const char> bytes, int depth, const Take& take) {
  constexpr std::string_view kBundle("#bundle\0", 8);
  constexpr std::size_t kHead = 16;  // that word and a time
  constexpr int kDeepest = 4;
  if (bytes.size() < kHead || std::string_view(bytes.data(), kBundle.size()) != kBundle) {
    read_message(bytes, take);
    return;
  }
  std::span<const char> rest = bytes.subspan(kHead);
  while (depth < kDeepest && rest.size() >= 4) {
    const std::size_t size = big_endian(rest);
    rest = rest.subspan(4);
    if (size == 0 || size > rest.size()) {
      return;
    }
    read_element(rest.first(size), depth + 1, take);
    rest = rest.subspan(size);
  }
}

}  // namespace

std::vector<char> osc_packet(const std::string& address, std::span<const OscValue> values) {
  const std::unique_ptr<Message, FreeMessage> message(lo_message_new());
  if (!message) {
    return {};
  }
  for (const OscValue& value : values) {
    std::visit(Append{message.get()}, value);
  }
  std::size_t size = 0;
  const std::unique_ptr<void, FreeBytes> bytes(
      lo_message_serialise(message.get(), address.c_str(), nullptr, &size));
  if (!bytes) {
    return {};
  }
  const char* const first = static_cast<const char*>(bytes.get());
  return {first, first + size};
}

void read_osc_packet(std::span<const char> packet, const Take& take) {
  read_element(packet, 0, take);
}

}  // namespace brink::io
