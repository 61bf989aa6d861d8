#pragma once

#include <array>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "panel/pane.h"

namespace brink::panel {

/// Chooses a sound file: a path typed, or the files of its folder chosen with arrows.
class FileChooser {
 public:
  FileChooser();

  /// The field takes the keys from now on.
  void type_path() noexcept { wants_focus_ = has_focus_ = true; }

  void leave_field() noexcept { has_focus_ = false; }

  [[nodiscard]] bool has_focus() const noexcept { return has_focus_; }

  /// Draws and steers; the path once one is chosen.
  [[nodiscard]] std::optional<std::string> draw(const Rect& area, Context& context);

  /// What the list shows under the arrows' choice; empty when the list is.
  [[nodiscard]] std::string chosen() const;

 private:
  struct Entry {
    std::string name;
    bool is_folder = false;
  };

  void list_folder();
  void set_text(const std::string& text);
  /// Keys; the path once one is chosen.
  std::optional<std::string> steer(Context& context);
  void draw_field(const Rect& area, const Theme& theme);
  /// The rows around the chosen one; true when it was clicked.
  bool draw_entries(Rect area, const Theme& theme);
  std::optional<std::string> take();

  std::array<char, 1024> typed_{};
  std::string listed_for_;        // the text that the entries belong to
  std::filesystem::path folder_;  // that is listed
  std::vector<Entry> entries_;
  std::optional<std::string> fresh_;  // text that the field has not taken yet
  int row_ = 0;
  bool has_focus_ = false;
  bool wants_focus_ = false;
};

}  // namespace brink::panel
