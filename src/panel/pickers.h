#pragma once

#include <future>
#include <string>
#include <vector>

#include "io/inputs.h"
#include "panel/pane.h"

namespace brink::panel {

/// Chooses what is listened to: the simulated stage or a device and its channel. Devices are asked
/// for again each time the page opens, on a thread of its own.
class InputPicker {
 public:
  void open(std::function<void()> on_news);
  void draw(const Rect& area, Context& context);

 private:
  void take_list();
  void choose(Context& context);

  std::future<std::vector<io::InputDevice>> asked_;
  std::vector<io::InputDevice> inputs_;
  std::string fault_;
  int row_ = 0;  // 0: the stage
  int channel_ = 1;
};

/// Chooses the target that cuts are fitted to.
class TargetPicker {
 public:
  void draw(const Rect& area, Context& context);

 private:
  int row_ = 0;
};

}  // namespace brink::panel
