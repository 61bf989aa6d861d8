#include <fcntl.h>
#include <io.h>
#include <windows.h>

#include <algorithm>
#include <cerrno>

#include "io/files.h"
#include "io/windows_text.h"

namespace brink::io {
namespace {

HANDLE handle_of(int file) noexcept {
  return reinterpret_cast<HANDLE>(_get_osfhandle(file));
}

bool is_folder(const std::wstring& path) noexcept {
  const DWORD attributes = GetFileAttributesW(path.c_str());
  return attributes != INVALID_FILE_ATTRIBUTES && (attributes & FILE_ATTRIBUTE_DIRECTORY) != 0;
}

/// Others may read, write, rename and remove the file meanwhile, as on other systems.
int open_file(const std::string& path, DWORD access, DWORD disposition) noexcept {
  constexpr DWORD kAll = FILE_SHARE_READ | FILE_SHARE_WRITE | FILE_SHARE_DELETE;
  const std::wstring wide = to_wide(path);
  const HANDLE handle =
      CreateFileW(wide.c_str(), access, kAll, nullptr, disposition, FILE_ATTRIBUTE_NORMAL, nullptr);
  if (handle == INVALID_HANDLE_VALUE) {
    const int fault = last_fault();
    errno = is_folder(wide) ? EISDIR : fault;
    return -1;
  }
  const int flags = _O_BINARY | ((access & GENERIC_WRITE) == 0 ? _O_RDONLY : 0);
  const int file = _open_osfhandle(reinterpret_cast<std::intptr_t>(handle), flags);
  if (file < 0) {
    CloseHandle(handle);
  }
  return file;
}

/// Seconds since 1970 from steps of 100 ns since 1601.
std::time_t to_time(const FILETIME& time) noexcept {
  constexpr std::uint64_t kStepsOfSecond = 10000000;
  constexpr std::int64_t kFrom1601To1970S = 11644473600;
  const std::uint64_t steps =
      (std::uint64_t{time.dwHighDateTime} << 32U) | std::uint64_t{time.dwLowDateTime};
  return static_cast<std::int64_t>(steps / kStepsOfSecond) - kFrom1601To1970S;
}

std::optional<FileFacts> facts_of_handle(HANDLE handle) noexcept {
  FileFacts facts;
  const DWORD type = GetFileType(handle);
  if (type == FILE_TYPE_UNKNOWN && GetLastError() != NO_ERROR) {
    errno = last_fault();
    return std::nullopt;
  }
  BY_HANDLE_FILE_INFORMATION all{};
  if (type != FILE_TYPE_DISK) {
    facts.kind = type == FILE_TYPE_CHAR ? FileKind::kDevice : FileKind::kOther;
    return facts;
  }
  if (GetFileInformationByHandle(handle, &all) == 0) {
    errno = last_fault();
    return std::nullopt;
  }
  const auto join = [](DWORD high, DWORD low) { return (std::uint64_t{high} << 32U) | low; };
  facts.kind = (all.dwFileAttributes & FILE_ATTRIBUTE_DIRECTORY) != 0 ? FileKind::kFolder
                                                                      : FileKind::kRegular;
  facts.id = {all.dwVolumeSerialNumber, join(all.nFileIndexHigh, all.nFileIndexLow)};
  facts.bytes = static_cast<std::int64_t>(join(all.nFileSizeHigh, all.nFileSizeLow));
  facts.written = to_time(all.ftLastWriteTime);
  return facts;
}

/// For looking at its facts alone; folders too.
HANDLE look_at(const std::wstring& path) noexcept {
  return CreateFileW(path.c_str(),
                     FILE_READ_ATTRIBUTES,
                     FILE_SHARE_READ | FILE_SHARE_WRITE | FILE_SHARE_DELETE,
                     nullptr,
                     OPEN_EXISTING,
                     FILE_FLAG_BACKUP_SEMANTICS,
                     nullptr);
}

bool has_more_names(const std::wstring& path) noexcept {
  const HANDLE handle = look_at(path);
  BY_HANDLE_FILE_INFORMATION all{};
  const bool has_more = handle != INVALID_HANDLE_VALUE &&
                        GetFileInformationByHandle(handle, &all) != 0 && all.nNumberOfLinks > 1;
  CloseHandle(handle);
  return has_more;
}

/// False, with errno set, when the system said no.
bool is_done(BOOL result) noexcept {
  if (result == 0) {
    errno = last_fault();
  }
  return result != 0;
}

}  // namespace

bool OpenFile::close() noexcept {
  const int number = release();
  return number < 0 || _close(number) == 0;
}

int open_to_read(const std::string& path) noexcept {
  return open_file(path, GENERIC_READ, OPEN_EXISTING);
}

int open_to_look(const std::string& path) noexcept {
  return open_to_read(path);
}

int open_to_write(const std::string& path) noexcept {
  return open_file(path, GENERIC_WRITE, OPEN_EXISTING);
}

// Who may read a file follows from its folder. Those of a user are closed to all others.
int create_file(const std::string& path, Readers /*readers*/) noexcept {
  return open_file(path, GENERIC_READ | GENERIC_WRITE | DELETE, CREATE_NEW);
}

int overwrite_private_file(const std::string& path) noexcept {
  return open_file(path, GENERIC_WRITE, CREATE_ALWAYS);
}

std::ptrdiff_t read_some(int file, void* bytes, std::size_t most) noexcept {
  DWORD count = 0;
  const auto wanted = static_cast<DWORD>(std::min<std::size_t>(most, 1U << 30U));
  if (ReadFile(handle_of(file), bytes, wanted, &count, nullptr) != 0) {
    return static_cast<std::ptrdiff_t>(count);
  }
  errno = last_fault();
  return errno == EPIPE ? 0 : -1;  // whoever wrote has left: that is the end
}

std::ptrdiff_t read_at(int file, void* bytes, std::size_t most, std::int64_t offset) noexcept {
  // Reading from an offset moves the position here.
  const std::int64_t before = seek(file, 0, SEEK_CUR);
  if (before < 0 || seek(file, offset, SEEK_SET) < 0) {
    return -1;
  }
  const std::ptrdiff_t count = read_some(file, bytes, most);
  return seek(file, before, SEEK_SET) < 0 ? -1 : count;
}

bool write_all(int file, std::string_view text) noexcept {
  while (!text.empty()) {
    DWORD count = 0;
    const auto wanted = static_cast<DWORD>(std::min<std::size_t>(text.size(), 1U << 30U));
    if (!is_done(WriteFile(handle_of(file), text.data(), wanted, &count, nullptr))) {
      return false;
    }
    text.remove_prefix(count);
  }
  return true;
}

std::int64_t seek(int file, std::int64_t offset, int whence) noexcept {
  return _lseeki64(file, offset, whence);
}

std::optional<FileFacts> facts_of(const std::string& path) noexcept {
  const HANDLE handle = look_at(to_wide(path));
  if (handle == INVALID_HANDLE_VALUE) {
    errno = last_fault();
    return std::nullopt;
  }
  const auto facts = facts_of_handle(handle);
  CloseHandle(handle);
  return facts;
}

std::optional<FileFacts> facts_of(int file) noexcept {
  return facts_of_handle(handle_of(file));
}

bool may_write(const std::string& path) noexcept {
  return OpenFile(open_to_write(path)).is_open();
}

// A file that is still open is gone when it is closed.
void remove_file(const char* path) noexcept {
  DeleteFileW(to_wide(path).c_str());
}

bool place_file(const std::string& from, const std::string& to) noexcept {
  return is_done(MoveFileExW(to_wide(from).c_str(), to_wide(to).c_str(), MOVEFILE_WRITE_THROUGH));
}

bool replace_file(const std::string& from, const std::string& to) {
  const std::wstring grown = to_wide(from);
  const std::wstring place = to_wide(to);
  if (has_more_names(place)) {
    return is_done(CopyFileW(grown.c_str(), place.c_str(), FALSE));
  }
  // The first keeps who may read it. File systems that know no such thing have the second.
  return ReplaceFileW(place.c_str(), grown.c_str(), nullptr, 0, nullptr, nullptr) != 0 ||
         is_done(MoveFileExW(
             grown.c_str(), place.c_str(), MOVEFILE_REPLACE_EXISTING | MOVEFILE_WRITE_THROUGH));
}

bool sync_file(int file) noexcept {
  return _commit(file) == 0;
}

// The file system keeps its names in a journal.
void sync_folder_of(const std::string& /*path*/) {}

}  // namespace brink::io
