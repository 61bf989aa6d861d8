#pragma once

#include <httplib.h>

#include <string>

#include "io/page/request_door.h"

namespace brink::io {

/// What the library reads a whole request from, and writes its answer to. A write waits for a
/// receiver that is slow, but no longer than its patience.
class RequestStream final : public httplib::Stream {
 public:
  RequestStream(WholeRequest request, double patience_s);

  [[nodiscard]] bool is_readable() const override { return at_ < request_.head.size(); }

  [[nodiscard]] bool is_writable() const override { return !is_broken_; }

  ssize_t read(char* bytes, std::size_t size) override;
  /// All of it, or -1.
  ssize_t write(const char* bytes, std::size_t size) override;

  // Nobody asks who it is.
  void get_remote_ip_and_port(std::string& /*ip*/, int& /*port*/) const override {}

  void get_local_ip_and_port(std::string& /*ip*/, int& /*port*/) const override {}

  [[nodiscard]] socket_t socket() const override { return request_.socket.descriptor(); }

  /// The answer is complete.
  void finish() noexcept;

 private:
  WholeRequest request_;
  double patience_s_;
  std::size_t at_ = 0;
  bool is_broken_ = false;
};

}  // namespace brink::io
