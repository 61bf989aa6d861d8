#include "io/page/page_address.h"

#include <arpa/inet.h>
#include <fmt/format.h>
#include <ifaddrs.h>
#include <net/if.h>
#include <netinet/in.h>

#include <algorithm>
#include <charconv>
#include <filesystem>
#include <memory>
#include <system_error>

#include "base/error.h"
#include "base/printable.h"

namespace brink::io {
namespace {

using base::Error;

std::string host_text(const in_addr& address) {
  std::string text(INET_ADDRSTRLEN, '\0');
  inet_ntop(AF_INET, &address, text.data(), INET_ADDRSTRLEN);
  text.resize(text.find('\0'));
  return text;
}

struct FreeInterfaces {
  void operator()(ifaddrs* first) const noexcept { freeifaddrs(first); }
};

}  // namespace

std::string PageAddress::text() const {
  return fmt::format("{}:{}", host, port);
}

PageAddress to_page_address(const std::string& text) {
  const auto refuse = [&text](const char* what) {
    throw Error(
        fmt::format("--page takes ADDRESS or ADDRESS:PORT of this machine in digits, as "
                    "192.168.1.20:61017; '{}' {}.",
                    base::printable(text),
                    what));
  };
  PageAddress address;
  const std::size_t colon = text.find(':');
  in_addr host{};
  if (inet_pton(AF_INET, text.substr(0, colon).c_str(), &host) != 1) {
    refuse("has no such address");
  }
  if (host.s_addr == INADDR_ANY) {
    refuse("means every network");
  }
  address.host = host_text(host);
  if (colon != std::string::npos) {
    const char* const end = text.data() + text.size();
    const auto [stop, error] = std::from_chars(text.data() + colon + 1, end, address.port);
    if (error != std::errc() || stop != end) {
      refuse("has no port from 1 to 65535");
    }
  }
  return address;
}

std::vector<LocalAddress> local_addresses() {
  std::vector<LocalAddress> all;
  ifaddrs* found = nullptr;
  if (getifaddrs(&found) != 0) {
    return all;
  }
  const std::unique_ptr<ifaddrs, FreeInterfaces> first(found);
  for (const ifaddrs* one = first.get(); one != nullptr; one = one->ifa_next) {
    const bool is_up = (one->ifa_flags & IFF_UP) != 0 && (one->ifa_flags & IFF_LOOPBACK) == 0;
    if (!is_up || one->ifa_addr == nullptr || one->ifa_addr->sa_family != AF_INET) {
      continue;
    }
    // The system's own type for both kinds of address.
    const auto* const address = reinterpret_cast<const sockaddr_in*>(one->ifa_addr);
    std::error_code none;
    const std::filesystem::path about = std::filesystem::path("/sys/class/net") / one->ifa_name;
    all.push_back({host_text(address->sin_addr),
                   one->ifa_name,
                   std::filesystem::exists(about / "wireless", none)});
  }
  return all;
}

PageAddress choose_page_address(const std::vector<LocalAddress>& all) {
  if (all.empty()) {
    throw Error(
        "This machine is on no network, so nobody could read the page; join one, or try it here "
        "with "
        "--page 127.0.0.1.");
  }
  const auto wireless =
      std::find_if(all.begin(), all.end(), [](const LocalAddress& one) { return one.is_wireless; });
  return {wireless == all.end() ? all.front().host : wireless->host, PageAddress::kUsualPort};
}

}  // namespace brink::io
