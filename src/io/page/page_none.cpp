// For a system on which the page's sockets are not written yet. brink then serves no page, and says
// so.
#include "base/error.h"
#include "io/page/page_address.h"
#include "io/page/page_server.h"

namespace brink::io {
namespace {

[[noreturn]] void refuse() {
  throw base::Error("This brink was built without the page for a telephone.");
}

}  // namespace

std::string PageAddress::text() const {
  return host;
}

PageAddress to_page_address(const std::string& /*text*/) {
  refuse();
}

std::vector<LocalAddress> local_addresses() {
  return {};
}

PageAddress choose_page_address(const std::vector<LocalAddress>& /*all*/) {
  refuse();
}

struct PageServer::State {};

PageServer::PageServer(PageConfig /*config*/) {
  refuse();
}

PageServer::~PageServer() = default;

const PageAddress& PageServer::address() const noexcept {
  static const PageAddress none;
  return none;
}

std::string PageServer::url() const {
  return {};
}

int PageServer::readers() const noexcept {
  return 0;
}

void PageServer::show(std::string /*state*/) {}

}  // namespace brink::io
