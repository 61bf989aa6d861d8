#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "desk/lit_ring.h"
#include "desk/page/page_host.h"
#include "io/page/qr_code.h"
#include "panel/pane.h"

namespace brink::panel {

/// The page for the hand, as the window serves it: its key at the foot, the sheet with its code,
/// and what readers press.
class PageCard {
 public:
  explicit PageCard(std::function<void()> on_news);

  /// How it is to be opened, by the key or by open().
  void set_wish(desk::PageWish wish) { wish_ = std::move(wish); }

  /// Throws base::Error.
  void open();
  /// The key: shows the sheet, and opens the page where it is closed (what is wrong is told on the
  /// sheet); or hides it.
  void toggle();

  void hide() noexcept { is_shown_ = false; }

  [[nodiscard]] bool is_shown() const noexcept { return is_shown_; }

  [[nodiscard]] bool is_read() const noexcept { return host_.readers() > 0; }

  /// At the foot: "page", "page: 2 read it".
  [[nodiscard]] std::string key_words() const;

  /// Does what a reader pressed, and shows readers what is new. `is_editing`: a form is open in the
  /// round, so that readers have no keys. Returns true when the show's record was changed.
  bool follow(const Context& context, bool is_editing);

  /// The sheet over the window, while it is shown.
  void draw(const Rect& area, Context& context);

  void describe(Facts& facts) const;

 private:
  void try_open();
  bool press(const std::string& name, show::RingOut& flow);
  void arrange(std::vector<show::OfferedRing>& offered);

  desk::PageHost host_;
  desk::PageWish wish_;
  desk::LitRing lit_;  // so that two loud rings do not change places under a thumb
  std::optional<io::QrCode> code_;
  bool is_shown_ = false;
  std::string fault_;
  std::string answer_;
  std::uint64_t answer_revision_ = 0;  // of the record that it is about
};

}  // namespace brink::panel
