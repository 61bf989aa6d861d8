#include "desk/recording_marks.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cstdint>
#include <filesystem>
#include <fstream>
#include <stdexcept>
#include <system_error>

#include "base/error.h"
#include "base/nearest_int.h"
#include "base/printable.h"
#include "io/paths.h"
#include "io/text_file.h"
#include "io/whole_file.h"
#include "report/row_json.h"

namespace brink::desk {
namespace {

namespace fs = std::filesystem;
using report::Json;

constexpr const char* kSchema = "brink/marks/1";

/// FNV-1a: offset basis and prime for 64 bits.
class Hash {
 public:
  void take(const char* bytes, std::size_t count) noexcept {
    for (std::size_t i = 0; i < count; ++i) {
      value_ = (value_ ^ static_cast<unsigned char>(bytes[i])) * 0x100000001b3ULL;
    }
  }

  [[nodiscard]] std::uint64_t value() const noexcept { return value_; }

 private:
  std::uint64_t value_ = 0xcbf29ce484222325ULL;
};

RecordingMarks parse(const std::string& text) {
  const Json json = Json::parse(text);
  if (!json.is_object() || json.value("schema", "") != kSchema) {
    throw std::invalid_argument("schema");
  }
  RecordingMarks marks;
  marks.note = json.value("note", "");
  for (const Json& one : json.at("places")) {
    marks.marks.push_back({base::nearest_int(one.at("channel").get<double>()),
                           one.at("frequency_hz").get<double>(),
                           one.at("onset_s").get<double>(),
                           one.value("is_left_out", false),
                           one.value("note", "")});
    if (marks.marks.back().channel < 1 || !(marks.marks.back().frequency_hz > 0.0)) {
      throw std::invalid_argument("places");
    }
  }
  return marks;
}

}  // namespace

std::string recording_fingerprint(const std::string& path) {
  constexpr std::uintmax_t kPieces = 64;
  constexpr std::uintmax_t kPieceBytes = 4096;
  std::error_code fault;
  const std::uintmax_t bytes = fs::file_size(io::to_path(path), fault);
  std::ifstream file(io::to_path(path), std::ios::binary);
  if (fault || !file) {
    throw base::Error(fmt::format("{}: it cannot be read; ticks and notes are not kept for it.",
                                  base::printable(path)));
  }
  Hash hash;
  const std::string length = fmt::format("{}", bytes);
  hash.take(length.data(), length.size());
  std::array<char, kPieceBytes> piece{};
  for (std::uintmax_t i = 0; i < kPieces; ++i) {
    file.clear();
    file.seekg(static_cast<std::streamoff>(bytes * i / kPieces));
    file.read(piece.data(), piece.size());
    hash.take(piece.data(), static_cast<std::size_t>(file.gcount()));
  }
  return fmt::format("{:016x}", hash.value());
}

std::string marks_path(const std::string& book_path, const std::string& fingerprint) {
  return (io::to_path(book_path).parent_path() / "recordings" / (fingerprint + ".json")).string();
}

RecordingMarks load_marks(const std::string& path) {
  std::error_code unknown;
  if (!fs::exists(io::to_path(path), unknown)) {
    return {};
  }
  const std::string text = io::read_text_file(path, 1U << 24U);
  try {
    return parse(text);
  } catch (const std::exception&) {
    throw base::Error(fmt::format(
        "{}: it is damaged, so ticks and notes of this recording are not known; move it away to "
        "keep new ones.",
        base::printable(path)));
  }
}

void save_marks(const std::string& path, const RecordingMarks& marks) {
  Json places = Json::array();
  for (const RecordingMark& mark : marks.marks) {
    places.push_back({{"channel", mark.channel},
                      {"frequency_hz", report::round_to_decimals(mark.frequency_hz, 3)},
                      {"onset_s", report::round_to_decimals(mark.onset_s, 4)},
                      {"is_left_out", mark.is_left_out},
                      {"note", mark.note}});
  }
  std::error_code fault;
  fs::create_directories(io::to_path(path).parent_path(),
                         fault);  // what fails shows when it is opened
  io::WholeFile file(path, {{fmt::format(R"({{"schema":"{}")", kSchema)}, false, {}});
  file.append(report::to_line(
      Json{{"schema", kSchema}, {"note", marks.note}, {"places", std::move(places)}}));
  file.commit();
}

}  // namespace brink::desk
