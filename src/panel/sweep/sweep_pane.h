#pragma once

#include <functional>
#include <string>

#include "desk/sweep/sweep_work.h"
#include "panel/draw/text_form.h"
#include "panel/pane.h"

namespace brink::panel {

/// A quiet sweep of the loop at hand: what will ring first, and the cuts against it, before anybody
/// raises a fader.
class SweepPane final : public Pane {
 public:
  explicit SweepPane(std::function<void()> on_news) : work_(std::move(on_news)) {}

  [[nodiscard]] const char* title() const noexcept override { return "Sweep"; }

  void follow(Context& context) override;
  void draw(const Rect& area, Context& context) override;
  void describe(Facts& facts) const override;

 private:
  void offer_actions(Context& context);
  void draw_warnings(Rect& area, const Theme& theme) const;

  void keep(Context& context);

  desk::SweepWork work_;
  int kept_count_ = 0;  // the report that was kept last
  std::string words_;   // what became of it
  TextForm form_;
};

}  // namespace brink::panel
