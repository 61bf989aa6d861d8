#include "app/show_key.h"

#include <fmt/format.h>

#include <random>

namespace brink::app {

std::string make_show_key() {
  std::random_device device;
  std::string key;
  for (int part = 0; part < 4; ++part) {
    key += fmt::format("{:08x}", device());
  }
  return key;
}

}  // namespace brink::app
