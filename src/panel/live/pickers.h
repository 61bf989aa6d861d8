#pragma once

#include <chrono>
#include <functional>
#include <string>
#include <vector>

#include "base/background.h"
#include "desk/target_library.h"
#include "io/live/inputs.h"
#include "panel/live/facts.h"
#include "panel/pane.h"

namespace brink::panel {

/// Chooses what is listened to: the simulated stage, or a device and one or several of its
/// channels. Devices are asked for again and again while the page is open, on a thread of its own.
class InputPicker {
 public:
  void open(std::function<void()> on_news);
  void draw(const Rect& area, Context& context);
  void describe(Facts& facts) const;

 private:
  void ask();
  void take_list();
  void follow(std::vector<io::InputDevice> inputs);
  [[nodiscard]] const io::InputDevice& chosen() const;
  void steer_channels(Context& context);
  [[nodiscard]] std::vector<int> channels() const;
  [[nodiscard]] std::string words() const;
  [[nodiscard]] std::string channel_words(const io::InputDevice& input, bool is_here) const;
  void choose(Context& context);

  base::Background<std::vector<io::InputDevice>> asked_;
  std::vector<io::InputDevice> inputs_;
  std::string fault_;
  std::function<void()> on_news_;
  bool has_answer_ = false;
  std::chrono::steady_clock::time_point asked_at_;
  int row_ = 0;              // 0: the stage
  int channel_ = 1;          // that the arrows are at
  std::vector<int> marked_;  // of the device at row_, rising
  int marked_row_ = 0;
};

/// Chooses the target that cuts are fitted to, from now on and in the next run: one at hand, or one
/// of the user's own files.
class TargetPicker {
 public:
  /// Looks at the folder of the user's own anew.
  void open(const std::string& folder);
  void draw(const Rect& area, Context& context);
  void describe(Facts& facts) const;

 private:
  void choose(Context& context);
  [[nodiscard]] std::string words() const;

  std::string folder_;
  std::vector<desk::ShelfTarget> shelf_;
  int row_ = 0;
};

}  // namespace brink::panel
