#pragma once

#include <array>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "base/background.h"
#include "panel/pane.h"
#include "panel/recording/folder_list.h"

namespace brink::panel {

/// Chooses a sound file: a path typed, or the files of its folder chosen with arrows.
class FileChooser {
 public:
  FileChooser();

  /// The field takes the keys from now on. After a file it begins with that file's folder.
  void type_path();

  void show_folder(const std::string& path);

  void leave_field() noexcept { has_focus_ = false; }

  [[nodiscard]] bool has_focus() const noexcept { return has_focus_; }

  /// Draws the list and takes its keys. Gives the path once one was chosen.
  [[nodiscard]] std::optional<std::string> draw(const Rect& area, Context& context);

  /// The entry that the arrows have chosen; empty if the list is empty.
  [[nodiscard]] std::string chosen() const;

 private:
  void follow_list(const std::function<void()>& on_news);

  /// The list belongs to the text as it stands.
  [[nodiscard]] bool is_listed() const { return list_.typed == typed_.data(); }

  void set_text(const std::string& text);
  /// Letters go to the text as long as the field does not take them itself.
  void append(const std::vector<Press>& presses);
  void steer(Context& context);
  void draw_field(const Rect& area, const Theme& theme);
  /// The rows around the chosen one; true when it was clicked.
  bool draw_entries(Rect area, const Theme& theme);
  std::optional<std::string> take();
  std::optional<std::string> take_due();

  std::array<char, 1024> typed_{};
  FolderList list_;
  base::Background<FolderList> listing_;
  std::optional<std::string> due_;    // the text that Enter was pressed on
  std::optional<std::string> fresh_;  // text that the field has not taken yet
  int row_ = 0;
  bool has_focus_ = false;
  bool wants_focus_ = false;
};

}  // namespace brink::panel
