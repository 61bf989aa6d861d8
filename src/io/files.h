#pragma once

#include <cstddef>
#include <cstdint>
#include <ctime>
#include <optional>
#include <string>
#include <string_view>
#include <utility>

namespace brink::io {

// What brink needs of the system's files beyond the C++ library. Paths are UTF-8. A function that
// returns -1, false or nothing has set errno. [any]

/// Open files have numbers. These three are open from the start.
inline constexpr int kStdin = 0;
inline constexpr int kStdout = 1;
inline constexpr int kStderr = 2;

/// Owns an open file; -1: none.
class OpenFile {
 public:
  explicit OpenFile(int number = -1) noexcept : number_(number) {}

  ~OpenFile() { (void)close(); }

  OpenFile(const OpenFile&) = delete;
  OpenFile& operator=(const OpenFile&) = delete;

  OpenFile(OpenFile&& other) noexcept : number_(other.release()) {}

  OpenFile& operator=(OpenFile&& other) noexcept {
    std::swap(number_, other.number_);
    return *this;
  }

  [[nodiscard]] int number() const noexcept { return number_; }

  [[nodiscard]] bool is_open() const noexcept { return number_ >= 0; }

  /// Somebody else closes it from now on.
  [[nodiscard]] int release() noexcept { return std::exchange(number_, -1); }

  /// False when the disk did not take what was written.
  [[nodiscard]] bool close() noexcept;

 private:
  int number_;
};

/// For reading. A pipe waits for its other end.
[[nodiscard]] int open_to_read(const std::string& path) noexcept;
/// For looking at what it is. Waits for nobody.
[[nodiscard]] int open_to_look(const std::string& path) noexcept;
/// What is there already, for writing.
[[nodiscard]] int open_to_write(const std::string& path) noexcept;

/// Who may read a new file: everybody, less what the user's umask takes away, or its owner alone.
enum class Readers { kAll, kOwner };
/// A new file for reading and writing. EEXIST when there is one.
[[nodiscard]] int create_file(const std::string& path, Readers readers) noexcept;
/// Empties or makes a file for writing that its owner alone can read from its first byte on.
[[nodiscard]] int overwrite_private_file(const std::string& path) noexcept;

/// The number of bytes; 0 at the end, -1 on a fault.
[[nodiscard]] std::ptrdiff_t read_some(int file, void* bytes, std::size_t most) noexcept;
/// From `offset`, all up to `most` or the end, without moving the position.
[[nodiscard]] std::ptrdiff_t read_at(int file,
                                     void* bytes,
                                     std::size_t most,
                                     std::int64_t offset) noexcept;
/// Writes all of `text`. Handles short writes and interruptions. EPIPE: the reader has left.
[[nodiscard]] bool write_all(int file, std::string_view text) noexcept;
/// What was written is on the disk when this returns. True where the file system knows no such
/// thing.
[[nodiscard]] bool sync_file(int file) noexcept;
/// The new position. `whence` as for lseek().
[[nodiscard]] std::int64_t seek(int file, std::int64_t offset, int whence) noexcept;

/// Which file it is, whatever it is called.
struct FileId {
  std::uint64_t device = 0;
  std::uint64_t number = 0;

  friend bool operator==(const FileId&, const FileId&) = default;
};

enum class FileKind { kRegular, kFolder, kDevice, kOther };

struct FileFacts {
  FileKind kind = FileKind::kOther;
  FileId id;
  std::int64_t bytes = 0;
  std::time_t written = 0;  ///< when it last was
};

/// Links are followed.
[[nodiscard]] std::optional<FileFacts> facts_of(const std::string& path) noexcept;
[[nodiscard]] std::optional<FileFacts> facts_of(int file) noexcept;
[[nodiscard]] bool may_write(const std::string& path) noexcept;

/// May be called from a signal handler.
void remove_file(const char* path) noexcept;
/// Gives the file a new name, on the same disk. False with EEXIST when there is one of that name,
/// or when the file system could not promise to replace none.
[[nodiscard]] bool place_file(const std::string& from, const std::string& to) noexcept;
/// Puts the finished file `from` in the place of the file `to`, which keeps its permissions and
/// owner. Where it has several names, or its owner cannot be kept, the content is copied into it,
/// its room on the disk secured before; then `from` stays.
[[nodiscard]] bool replace_file(const std::string& from, const std::string& to);
/// A new file's name is on the disk only when its folder is.
void sync_folder_of(const std::string& path);

}  // namespace brink::io
