#include "panel/ring_out/output_list.h"

#include <fmt/format.h>

#include <string>
#include <vector>

#include "base/printable.h"
#include "panel/draw/choice_rows.h"
#include "panel/draw/draw.h"
#include "panel/overlays.h"

namespace brink::panel {
namespace {

std::string result_words(const show::OutputRecord& output) {
  if (!show::has_rung(output)) {
    const std::string up_to =
        output.tried_to_db ? fmt::format(" up to {:+.1f} dB", *output.tried_to_db) : "";
    return output.is_ended ? "nothing rang" + up_to : "open";
  }
  const int rounds = show::round_count(output);
  std::string words = fmt::format("{} round{}", rounds, rounds == 1 ? "" : "s");
  if (const auto won = show::gain_won_db(output)) {
    words += fmt::format(", won {:.1f} dB", *won);
  }
  if (!output.is_ended) {
    return words + ", open";
  }
  return words + (output.back_off_db ? fmt::format(", {:.3g} dB backed off", *output.back_off_db)
                                     : std::string(", ended"));
}

struct Row {
  std::string left;
  std::string right;
  OutputList::Choice choice;
};

std::vector<Row> list_rows(const show::RingOut& flow) {
  std::vector<Row> rows;
  for (const show::OutputRecord& output : flow.record().outputs) {
    rows.push_back({base::printable(output.name),
                    result_words(output),
                    {OutputList::Wish::kChoose, rows.size()}});
  }
  rows.push_back({"Another output", "", {OutputList::Wish::kAdd, 0}});
  if (flow.output() != nullptr) {
    rows.push_back({"Change " + base::printable(flow.output()->name),
                    "name, microphone, position, target",
                    {OutputList::Wish::kChange, 0}});
    rows.push_back(
        {"Begin another show", "this one stays in the book", {OutputList::Wish::kBeginShow, 0}});
  }
  return rows;
}

}  // namespace

void OutputList::open(const show::RingOut& flow) {
  is_open_ = true;
  is_fresh_ = true;
  row_ = static_cast<int>(flow.chosen().value_or(0));
}

std::optional<OutputList::Choice> OutputList::draw(const Rect& area,
                                                   Context& context,
                                                   const show::RingOut& flow) {
  const Theme& theme = context.theme;
  const std::vector<Row> rows = list_rows(flow);
  Rect inner = draw_overlay_page(area, theme, 760.0F, 470.0F, "Outputs of this show");
  context.actions.show("\u2191\u2193", "choose");
  context.actions.show("Enter", "take");
  context.actions.show("Esc", "back");
  Rect foot = inner.take_bottom(theme.px(24.0F));
  const int count = static_cast<int>(rows.size());
  bool is_taken = false;
  if (!is_fresh_) {
    is_taken = steer_choice(context.actions, count, row_);
    is_open_ = !context.actions.is_pressed(Key::kEscape);
  }
  is_fresh_ = false;
  const int fitting = static_cast<int>(inner.height() / choice_row_height(theme));
  for (int row = std::max(0, row_ + 1 - fitting); row < count; ++row) {
    if (inner.height() < choice_row_height(theme)) {
      break;
    }
    const Row& shown = rows[static_cast<std::size_t>(row)];
    if (draw_choice(inner, theme, row == row_, shown.left, shown.right)) {
      is_taken = is_taken || row == row_;
      row_ = row;
    }
  }
  draw_text(theme.body, foot.left, foot.top, colour::kQuiet, "Arrows choose, Enter takes.");
  if (!is_taken) {
    return std::nullopt;
  }
  is_open_ = false;
  return rows[static_cast<std::size_t>(row_)].choice;
}

}  // namespace brink::panel
