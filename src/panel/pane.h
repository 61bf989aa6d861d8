#pragma once

#include <functional>
#include <string>

#include "desk/desk.h"
#include "desk/settings_keeper.h"
#include "desk/show_keeper.h"
#include "io/book/book.h"
#include "panel/actions.h"
#include "panel/draw/rect.h"
#include "panel/draw/seen.h"
#include "panel/draw/theme.h"
#include "panel/live/facts.h"
#include "panel/plots/time_strip.h"
#include "panel/plots/trails.h"
#include "panel/view.h"
#include "panel/window/input.h"

namespace brink::panel {

class LiveGuess;

/// What every pane may use during a pass.
struct Context {
  desk::Desk& desk;
  io::Book& book;
  desk::ShowKeeper& show;  ///< that is rung out, whichever pane is shown
  desk::SettingsKeeper& settings;
  View& view;
  Actions& actions;
  const Input& input;
  const Theme& theme;
  const Trails& trails;
  const TimeStrip& strip;
  LiveGuess& live_guess;
  SeenSizes& seen;
  const std::function<void()>& on_news;  ///< wakes the window; [any]
};

/// One of the panes, a file each. Its own state is a view's alone; what counts lies behind
/// Context::desk and in the folders below.
class Pane {
 public:
  virtual ~Pane() = default;
  Pane(const Pane&) = delete;
  Pane& operator=(const Pane&) = delete;
  Pane(Pane&&) = delete;
  Pane& operator=(Pane&&) = delete;

  [[nodiscard]] virtual const char* title() const noexcept = 0;

  /// What stands at the head of the window while it is shown.
  [[nodiscard]] virtual std::string heading() const { return title(); }

  /// What goes on whether the pane is shown or not: once a pass, before draw().
  virtual void follow(Context&) {}

  /// Draws into the area and offers its actions.
  virtual void draw(const Rect& area, Context& context) = 0;

  /// What a test may know of it.
  virtual void describe(Facts&) const {}

 protected:
  Pane() = default;
};

}  // namespace brink::panel
