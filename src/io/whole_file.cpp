#include "io/whole_file.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstdint>
#include <cstdio>
#include <filesystem>
#include <system_error>
#include <utility>

#include "base/error.h"
#include "base/printable.h"
#include "io/sound_header.h"

namespace brink::io {
namespace {

namespace fs = std::filesystem;

/// Where `path` really leads; itself when there is nothing yet.
std::string resolve(const std::string& path) {
  std::error_code error;
  const fs::path real = fs::weakly_canonical(path, error);
  return error ? path : real.string();
}

}  // namespace

bool write_all(int descriptor, std::string_view text) noexcept {
  while (!text.empty()) {
    const ssize_t count = ::write(descriptor, text.data(), text.size());
    if (count < 0 && errno != EINTR) {
      return false;
    }
    text.remove_prefix(count > 0 ? static_cast<std::size_t>(count) : 0);
  }
  return true;
}

WholeFile::WholeFile(const std::string& path) : path_(resolve(path)) {
  std::error_code error;
  const fs::file_status status = fs::status(path_, error);
  if (fs::is_directory(status)) {
    refuse(EISDIR);
  }
  constexpr mode_t kForAll = 0666;  // less what the user's umask takes away
  if (fs::exists(status) && !fs::is_regular_file(status)) {
    descriptor_ = ::open(path_.c_str(), O_WRONLY | O_CLOEXEC);
  } else {
    spare_recording();
    temporary_ = fmt::format("{}.{}.part", path_, getpid());
    descriptor_ = ::open(temporary_.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, kForAll);
  }
  if (descriptor_ < 0) {
    refuse(errno);
  }
}

WholeFile::~WholeFile() {
  if (descriptor_ >= 0) {
    ::close(descriptor_);
    if (!temporary_.empty()) {
      ::unlink(temporary_.c_str());
    }
  }
}

void WholeFile::refuse(int reason) const {
  throw base::Error(fmt::format("{}: it cannot be written ({}).",
                                base::printable(path_),
                                std::generic_category().message(reason)));
}

/// Text in the place of a sound file would lose what nothing brings back.
void WholeFile::spare_recording() const {
  const int file = ::open(path_.c_str(), O_RDONLY | O_CLOEXEC);
  if (file < 0) {
    return;  // not there, or not to be read: whether it can be written, the disk says
  }
  std::error_code error;
  const auto bytes = static_cast<std::int64_t>(fs::file_size(path_, error));
  const bool is_sound =
      !error && read_sound_header(file, bytes).container != SoundContainer::kUnknown;
  ::close(file);
  if (is_sound) {
    throw base::Error(
        fmt::format("{}: is a recording, which this would replace; choose another name.",
                    base::printable(path_)));
  }
}

void WholeFile::append(std::string_view text) {
  if (!write_all(descriptor_, text)) {
    refuse(errno);
  }
}

void WholeFile::commit() {
  // On some file systems the disk's refusal shows only here.
  if (::close(std::exchange(descriptor_, -1)) != 0) {
    const int reason = errno;
    ::unlink(temporary_.c_str());
    refuse(reason);
  }
  if (!temporary_.empty() && std::rename(temporary_.c_str(), path_.c_str()) != 0) {
    const int reason = errno;
    ::unlink(temporary_.c_str());
    refuse(reason);
  }
}

}  // namespace brink::io
