#pragma once

#include <string>

#include "io/files.h"

namespace brink::io {

/// A file that grows under a name of its own until it takes the place that it is meant for. It is
/// new (O_EXCL), in the folder of that place, and it is gone however the work ends: by a throw, by
/// return, or by a signal that reaches end_by_signal(). Only SIGKILL and a power cut leave it.
/// [any, one at a time]
class UnfinishedFile {
 public:
  /// In the folder of `place`. Where that fails descriptor() is -1 and errno says why.
  explicit UnfinishedFile(const std::string& place);
  ~UnfinishedFile();
  UnfinishedFile(const UnfinishedFile&) = delete;
  UnfinishedFile& operator=(const UnfinishedFile&) = delete;
  UnfinishedFile(UnfinishedFile&&) = delete;
  UnfinishedFile& operator=(UnfinishedFile&&) = delete;

  /// For reading and writing; -1 once it is closed.
  [[nodiscard]] int descriptor() const noexcept { return file_.number(); }

  [[nodiscard]] const std::string& path() const noexcept { return path_; }

  /// The content is complete, and on the disk when this returns: a name that takes its place
  /// earlier than its content would be an empty file after a power cut. False, with errno set, when
  /// the disk did not take it.
  [[nodiscard]] bool close() noexcept { return sync_file(file_.number()) && file_.close(); }

 private:
  std::string path_;
  OpenFile file_;
  int slot_ = -1;  ///< in the list of what a signal removes; -1 when that was full
};

/// While one of these lives end_by_signal() waits: what is under way is done as a whole.
class SignalsWait {
 public:
  SignalsWait() noexcept;
  ~SignalsWait();
  SignalsWait(const SignalsWait&) = delete;
  SignalsWait& operator=(const SignalsWait&) = delete;
  SignalsWait(SignalsWait&&) = delete;
  SignalsWait& operator=(SignalsWait&&) = delete;
};

/// Removes every UnfinishedFile and ends the program by this signal, as it would have ended without
/// a handler. May be called from a signal handler.
void end_by_signal(int number) noexcept;

}  // namespace brink::io
