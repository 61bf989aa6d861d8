#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "desk/console_keeper.h"
#include "desk/lit_ring.h"
#include "desk/show_keeper.h"
#include "panel/book/written_file.h"
#include "panel/draw/text_form.h"
#include "panel/live/instruction.h"
#include "panel/pane.h"
#include "panel/ring_out/cut_editor.h"
#include "panel/ring_out/output_list.h"

namespace brink::panel {

/// Rings a show out, round by round: one hand on the fader, one key on the laptop. The live plots,
/// the rings to deal with as cards, and the card of the round.
class RingOutPane final : public Pane {
 public:
  /// `keeper` must outlive the pane.
  RingOutPane(const std::string& book_path,
              desk::ShowKeeper& keeper,
              std::function<void()> on_news);

  [[nodiscard]] const char* title() const noexcept override { return "Ring out"; }

  [[nodiscard]] std::string heading() const override;

  void follow(Context& context) override;
  void draw(const Rect& area, Context& context) override;
  void describe(Facts& facts) const override;

  /// A form or the editor of a cut is open: nothing else may change what it is about.
  [[nodiscard]] bool is_editing() const noexcept { return has_page() || editor_.is_open(); }

  /// The record was changed elsewhere: the sheet is not that of it any more.
  void forget_sheet() { sheet_.forget(); }

 private:
  void offer_actions(Context& context);
  void offer_cutting(Context& context);
  void offer_fader(Context& context);
  void offer_ending(Context& context);
  void offer_history(Context& context);
  void offer_console(Context& context);
  void follow_console(Context& context);
  void offer_sheet(Context& context);
  void offer_words(Context& context);
  void log_when_fitted();
  void remember(desk::SettingsKeeper& keeper);
  void draw_afar(const Rect& area, Context& context);
  [[nodiscard]] Instruction urgent_first(const Context& context) const;
  void draw_upper_card(const Rect& area, Context& context);
  void draw_pages(const Rect& area, Context& context);

  /// What the last key did, when the screen does not show it otherwise: what was undone or done
  /// again, where the sheet is.
  [[nodiscard]] std::string answer() const;
  /// What the console's link has to say; nothing while it is off.
  [[nodiscard]] std::string console_words() const;

  [[nodiscard]] bool has_page() const noexcept { return form_.is_open() || outputs_.is_open(); }

  /// The rings to deal with, in the order in which they are shown.
  [[nodiscard]] std::vector<show::OfferedRing> offered() const;
  /// The one that the keys mean.
  [[nodiscard]] std::size_t lit(const std::vector<show::OfferedRing>& offered) const;

  std::string book_path_;
  std::function<void()> on_news_;
  desk::ShowKeeper& keeper_;
  TextForm form_;
  CutEditor editor_;
  OutputList outputs_;
  desk::LitRing lit_;
  desk::ConsoleKeeper console_;
  bool has_alarm_ = false;                  // that the console is lost stands in the window's head
  bool hides_ = false;                      // no frequency is shown
  std::optional<std::uint64_t> wants_cut_;  // Space was pressed before its cut was fitted
  std::uint64_t remembered_revision_ = 0;
  std::string remembered_target_;
  std::optional<char> clicked_;  // a key on the round card
  std::optional<double> true_gain_won_db_;
  std::string deaf_;  // deaf_words()
  std::string instruction_;
  std::string history_words_;           // what was undone or done again last
  std::uint64_t history_revision_ = 0;  // and the revision that this led to
  WrittenFile sheet_;
};

}  // namespace brink::panel
