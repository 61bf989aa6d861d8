#include "panel/page/page_card.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "base/error.h"
#include "desk/page/kept_secret.h"
#include "panel/draw/draw.h"
#include "panel/draw/key_row.h"
#include "panel/overlays.h"
#include "panel/page/page_hand.h"
#include "panel/window/now.h"

namespace brink::panel {
namespace {

constexpr ImU32 kPaper = IM_COL32(255, 255, 255, 255);
constexpr ImU32 kInk = IM_COL32(0, 0, 0, 255);

/// Dark on white whatever the theme is, each module of whole pixels, in the middle of the area.
void draw_code(const Rect& area, const io::QrCode& code) {
  const std::size_t modules = code.width + 2 * io::QrCode::kMargin;
  const float module = std::max(
      1.0F, std::floor(std::min(area.width(), area.height()) / static_cast<float>(modules)));
  const float side = module * static_cast<float>(modules);
  const float left = std::floor(area.left);
  const float top = std::floor(area.top);
  canvas().AddRectFilled(ImVec2(left, top), ImVec2(left + side, top + side), kPaper);
  for (std::size_t row = 0; row < code.width; ++row) {
    for (std::size_t column = 0; column < code.width; ++column) {
      if (code.at(row, column)) {
        const float x = left + module * static_cast<float>(column + io::QrCode::kMargin);
        const float y = top + module * static_cast<float>(row + io::QrCode::kMargin);
        canvas().AddRectFilled(ImVec2(x, y), ImVec2(x + module, y + module), kInk);
      }
    }
  }
}

std::string readers_words(int readers) {
  return readers == 0   ? "Nobody reads it now."
         : readers == 1 ? "One telephone reads it."
                        : fmt::format("{} telephones read it.", readers);
}

}  // namespace

PageCard::PageCard(std::function<void()> on_news)
    : host_(desk::page_secret_path(), std::move(on_news)) {}

void PageCard::open() {
  fault_.clear();
  host_.open(wish_);
  wish_.is_new = false;
  code_ = io::make_qr_code(host_.url());
}

void PageCard::try_open() {
  try {
    open();
  } catch (const base::Error& error) {
    fault_ = error.what();
  }
}

void PageCard::toggle() {
  is_shown_ = !is_shown_;
  if (is_shown_ && !host_.is_open()) {
    try_open();
  }
}

std::string PageCard::key_words() const {
  const int readers = host_.readers();
  return !host_.is_open() ? "page"
         : readers == 0   ? "page: open"
                          : fmt::format("page: {} read{}", readers, readers == 1 ? "s" : "");
}

void PageCard::arrange(std::vector<show::OfferedRing>& offered) {
  std::vector<desk::ListedRing> listed;
  for (const show::OfferedRing& offer : offered) {
    listed.push_back(
        {offer.id, !detector::is_over(offer.now.state), offer.is_certain, offer.now.level_dbfs});
  }
  lit_.follow(listed, now_s());
  lit_.arrange(offered, [](const show::OfferedRing& ring) { return ring.id; });
}

bool PageCard::press(const std::string& name, show::RingOut& flow) {
  auto offered = flow.offered();
  arrange(offered);
  const auto acts = page_acts(flow, offered);
  const auto act = std::find_if(
      acts.begin(), acts.end(), [&](const PageAct& one) { return one.key.name == name; });
  const bool is_done = act != acts.end() && act->act(flow);
  answer_ = is_done ? act->done : "Not done: what the key was for has changed.";
  answer_revision_ = flow.revision();
  return is_done;
}

bool PageCard::follow(const Context& context, bool is_editing) {
  bool has_changed = false;
  show::RingOut& flow = context.show.flow();
  if (const auto name = host_.take_key()) {
    if (is_editing) {
      answer_ = "Not done: the laptop is typing.";
      answer_revision_ = flow.revision();
    } else {
      has_changed = press(*name, flow);
    }
  }
  if (!host_.is_due()) {
    return has_changed;
  }
  auto offered = flow.output() == nullptr ? std::vector<show::OfferedRing>() : flow.offered();
  arrange(offered);
  report::PageView view = page_view(context, offered);
  if (wish_.has_keys && !is_editing) {
    for (PageAct& act : page_acts(flow, offered)) {
      view.keys.push_back(std::move(act.key));
    }
  }
  view.answer = context.view.hides_answers || flow.revision() != answer_revision_ ? "" : answer_;
  host_.show(view);
  return has_changed;
}

void PageCard::draw(const Rect& area, Context& context) {
  if (!is_shown_) {
    return;
  }
  const Theme& theme = context.theme;
  Rect inner = draw_overlay_page(area, theme, 860.0F, 460.0F, "A page for your telephone");
  if (host_.is_open()) {
    const Rect code = inner.take_left(std::min(inner.height(), 0.5F * inner.width()));
    inner.take_left(theme.px(24.0F));
    draw_code(code, *code_);
  }
  const auto tell = [&](ImFont* font, ImU32 colour, const std::string& words) {
    const float height = draw_wrapped(font, inner.left, inner.top, inner.width(), colour, words);
    inner.take_top(height + theme.px(10.0F));
  };
  if (!fault_.empty()) {
    tell(theme.body, colour::kOrange, fault_);
  }
  if (!host_.is_open()) {
    tell(theme.body, colour::kText, "Nothing is served. Esc closes this, 0 tries again.");
    return;
  }
  const std::string url = host_.url();
  const std::size_t secret = url.find('/', url.find("//") + 2) + 1;
  tell(theme.strong, colour::kText, url.substr(0, secret));
  tell(theme.strong, colour::kText, url.substr(secret));
  tell(theme.body, colour::kText, readers_words(host_.readers()));
  tell(theme.small,
       colour::kQuiet,
       "Scan the code in the same network. Whoever has this address can read what brink shows; it "
       "is not encrypted.");
  tell(theme.small,
       colour::kQuiet,
       wish_.has_keys ? "Readers may log a cut, say that it came back, and undo."
                      : "It shows. Readers can do nothing (brink panel --page-keys lets them).");
  if (draw_key_row(inner, context.actions, 'N', "a new address", "locks out the old", theme)) {
    wish_.is_new = true;
    try_open();
  }
  if (draw_key_row(inner, context.actions, 'X', "close the page", "", theme)) {
    host_.close();
    is_shown_ = false;
  }
}

void PageCard::describe(Facts& facts) const {
  facts.add("is_open", host_.is_open());
  facts.add("is_shown", is_shown_);
  facts.add("readers", static_cast<double>(host_.readers()));
  facts.add("fault", fault_);
  facts.add("answer", answer_);
}

}  // namespace brink::panel
