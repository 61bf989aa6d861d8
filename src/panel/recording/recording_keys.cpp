// What the keys and the mouse of the Recording pane do.

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "base/units.h"
#include "panel/recording/recording_pane.h"

namespace brink::panel {

/// At the selected ring; from the beginning where nothing rang.
std::optional<RecordingPiece> RecordingPane::piece_to_hear() const {
  if (!shown_) {
    return std::nullopt;
  }
  if (!has_rows()) {
    return RecordingPiece{shown_->file, std::max(channel_, 1), 0};
  }
  const listen::FoundRing& found = rings_.loudest(selected());
  RecordingPiece piece = piece_before(*shown_, found);
  piece.ring_hz = has_heard_alone_ ? found.ring.frequency_hz : 0.0;
  piece.is_alone = hears_alone_;
  return piece;
}

void RecordingPane::hear(Context& context) {
  const bool is_shown = context.view.pane == PaneId::kRecording &&
                        context.view.overlay == Overlay::kNone && !is_choosing_ &&
                        !opener_.work() && !out_.is_open() && !compare_.is_open() &&
                        !note_form_.is_open();
  const bool is_held =
      is_shown && context.input.has_focus && context.input.is_space_held && !chooser_.has_focus();
  sound_.hold(piece_to_hear(), is_held, context.input.at_space_release, context.on_news);
}

void RecordingPane::ask_note() {
  std::vector<FormField> fields{{"on the recording", words_.note}};
  if (has_rows()) {
    const RingKey key = rings_.key(selected());
    fields.insert(
        fields.begin(),
        {fmt::format("on {}", base::frequency_label(rings_.loudest(selected()).ring.frequency_hz)),
         words_.note_on(key)});
  }
  note_form_.open("Notes",
                  std::move(fields),
                  [this, key = has_rows() ? std::optional(rings_.key(selected())) : std::nullopt](
                      const std::vector<std::string>& texts) -> std::optional<std::string> {
                    words_.note = texts.back();
                    if (key && texts.front().empty()) {
                      words_.notes.erase(*key);
                    } else if (key) {
                      words_.notes[*key] = texts.front();
                    }
                    return std::nullopt;
                  });
}

void RecordingPane::offer_words(Actions& actions) {
  if (actions.offer("M", "note")) {
    ask_note();
  }
  if (actions.offer("W", "write out")) {
    out_.open();
  }
  if (actions.offer("C", "compare")) {
    compare_.open();
  }
}

void RecordingPane::offer_stop(Actions& actions) {
  if (opener_.work() && actions.offer("S", "stop, and keep what was found")) {
    opener_.work()->stop();
  }
}

void RecordingPane::steer_rows(Actions& actions) {
  if (!has_rows()) {
    return;
  }
  actions.show("\u2191\u2193", "row");
  const int count = static_cast<int>(rings_.rows().size());
  const int step =
      actions.count_presses(Key::kDown, false) - actions.count_presses(Key::kUp, false);
  if (step != 0) {
    const int row = std::clamp(static_cast<int>(selected()) + step, 0, count - 1);
    select(static_cast<std::size_t>(row));
  }
  if (actions.offer(Key::kEnter, "Enter", rings_.is_ticked(selected()) ? "leave out" : "take in")) {
    rings_.tick(selected(), !rings_.is_ticked(selected()));
  }
  const bool is_by_danger = rings_.order() == listen::RowOrder::kDanger;
  if (actions.offer("D", is_by_danger ? "by time" : "by danger")) {
    rings_.sort(is_by_danger ? listen::RowOrder::kTime : listen::RowOrder::kDanger);
  }
}

void RecordingPane::steer_channel(Actions& actions) {
  const int channels = shown_->channels;
  if (channels == 1) {
    return;
  }
  actions.show("\u2190\u2192", "channel");
  const int step =
      actions.count_presses(Key::kRight, false) - actions.count_presses(Key::kLeft, false);
  if (step != 0) {
    show_channel(std::clamp(channel_ + step, 0, channels));
  }
}

void RecordingPane::offer_hearing(Actions& actions) {
  actions.show("Space", "held: hear it");
  if (has_rows() && actions.offer("B", hears_alone_ ? "the whole" : "the ring alone")) {
    hears_alone_ = !hears_alone_;
    has_heard_alone_ = true;
  }
  if (actions.offer(",", "quieter")) {
    sound_.step_level(-1);
  }
  if (actions.offer(".", "louder")) {
    sound_.step_level(1);
  }
}

void RecordingPane::steer(Actions& actions) {
  offer_stop(actions);
  steer_rows(actions);
  steer_channel(actions);
  if (opener_.work()) {
    return;
  }
  offer_hearing(actions);
  offer_words(actions);
  if (actions.offer("O", "open another file")) {
    is_choosing_ = true;
    chooser_.type_path();
  }
}

void RecordingPane::steer_plot(const PlotScale& scale, Context& context) {
  const double about = has_rows()
                           ? static_cast<double>(rings_.loudest(selected()).ring.onset_sample)
                           : 0.5 * (scale.from + scale.to);
  const auto click = hand_.steer(context.actions, scale, about, context.theme);
  if (!click) {
    return;
  }
  if (const auto ring = ring_at(scale, *shown_, rings_, click->x, click->y, context.theme)) {
    select(rings_.row_of(*ring));
  }
}

}  // namespace brink::panel
