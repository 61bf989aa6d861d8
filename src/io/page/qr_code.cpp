#include "io/page/qr_code.h"

#include <qrencode.h>

#include <memory>

#include "base/error.h"

namespace brink::io {
namespace {

struct FreeCode {
  void operator()(QRcode* code) const noexcept { QRcode_free(code); }
};

}  // namespace

QrCode make_qr_code(const std::string& text) {
  constexpr int kSmallest = 0;
  constexpr int kCaseCounts = 1;
  const std::unique_ptr<QRcode, FreeCode> made(
      QRcode_encodeString(text.c_str(), kSmallest, QR_ECLEVEL_M, QR_MODE_8, kCaseCounts));
  if (!made) {
    throw base::Error("No QR code can be made of this address; type it instead.");
  }
  QrCode code;
  code.width = static_cast<std::size_t>(made->width);
  for (std::size_t i = 0; i < code.width * code.width; ++i) {
    code.is_dark.push_back((made->data[i] & 1U) != 0);
  }
  return code;
}

}  // namespace brink::io
