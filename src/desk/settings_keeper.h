#pragma once

#include <optional>
#include <string>

#include "base/background.h"
#include "desk/settings.h"

namespace brink::desk {

/// The settings of a program that runs: read at its start, written a moment after each change, on a
/// thread of its own, and at the end. [one face thread]
class SettingsKeeper {
 public:
  /// Reads the file at once. An empty path: nothing is remembered.
  explicit SettingsKeeper(std::string path);
  ~SettingsKeeper();
  SettingsKeeper(const SettingsKeeper&) = delete;
  SettingsKeeper& operator=(const SettingsKeeper&) = delete;
  SettingsKeeper(SettingsKeeper&&) = delete;
  SettingsKeeper& operator=(SettingsKeeper&&) = delete;

  [[nodiscard]] const std::string& path() const noexcept { return path_; }

  /// Change them as you like.
  [[nodiscard]] Settings& now() noexcept { return now_; }

  /// What was wrong with reading or writing them, in one sentence; empty when nothing was.
  [[nodiscard]] const std::string& message() const noexcept { return message_; }

  /// Writes what has changed: once a pass.
  void update();

 private:
  std::string path_;
  Settings now_;
  Settings written_;
  std::string message_;
  base::Background<std::string> writing_;
};

}  // namespace brink::desk
