#include "desk/settings_keeper.h"

#include <chrono>
#include <utility>

#include "base/error.h"

namespace brink::desk {
namespace {

std::string write(const std::string& path, const Settings& settings) {
  try {
    save_settings(path, settings);
    return "";
  } catch (const base::Error& error) {
    return error.what();
  }
}

}  // namespace

SettingsKeeper::SettingsKeeper(std::string path) : path_(std::move(path)) {
  if (!path_.empty()) {
    LoadedSettings loaded = load_settings(path_);
    now_ = std::move(loaded.settings);
    message_ = std::move(loaded.message);
  }
  written_ = now_;
}

SettingsKeeper::~SettingsKeeper() {
  writing_.wait();
  if (!path_.empty() && now_ != written_) {
    write(path_, now_);
  }
}

void SettingsKeeper::update() {
  if (const auto message = writing_.take()) {
    message_ = *message;
  }
  if (writing_.is_busy()) {
    return;
  }
  if (!path_.empty() && now_ != written_) {
    written_ = now_;
    writing_.start([path = path_, settings = now_] { return write(path, settings); }, {});
  }
}

}  // namespace brink::desk
