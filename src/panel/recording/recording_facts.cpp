#include <fmt/format.h>

#include <string>

#include "cuts/audibility.h"
#include "panel/draw/words.h"
#include "panel/recording/folder_list.h"
#include "panel/recording/recording_pane.h"
#include "report/ring_row.h"

namespace brink::panel {

void RecordingPane::describe(Facts& facts) const {
  facts.add("is_choosing", is_choosing_ && !opener_.work());
  facts.add("is_typing", chooser_.has_focus());
  facts.add("chosen", chooser_.chosen());
  facts.add("fault", fault_);
  facts.add("is_working", opener_.work() != nullptr);
  facts.add("done_ratio", opener_.work() ? opener_.work()->done_ratio() : shown_ ? 1.0 : 0.0);
  if (!shown_) {
    return;
  }
  const listen::Analysis& analysis = *shown_;
  facts.add("file", file_name_words(analysis.file));
  facts.add("warnings", fmt::format("{}", fmt::join(warnings_, " ")));
  facts.add("was_stopped", analysis.was_stopped);
  facts.add("duration_s", analysis.duration_s());
  facts.add("channels", static_cast<double>(analysis.channels));
  facts.add("channel", static_cast<double>(channel_));
  facts.add("ring_count", static_cast<double>(rings_.rings().size()));
  facts.add("row_count", static_cast<double>(rings_.rows().size()));
  facts.add("order", rings_.order() == listen::RowOrder::kDanger ? "danger" : "time");
  facts.add("from_s", hand_.view().from() / analysis.sample_rate_hz);
  facts.add("to_s", hand_.view().to() / analysis.sample_rate_hz);
  facts.add("column_s", picture_.column_s());
  facts.add("is_reading", picture_.is_reading());
  facts.add("is_writing_out", out_.is_open());
  compare_.describe(facts);
  facts.add("hears_alone", hears_alone_);
  facts.add("sound_gain_db", sound_.gain_db());
  facts.add("sound_lufs", sound_.loudness_lufs().value_or(-1000.0));
  facts.add("written", out_.path());
  facts.add("out_words", out_.words());
  facts.add("note", words_.note);
  facts.add("left_out", static_cast<double>(rings_.left_out().size()));
  facts.add("is_kept", memory_.is_kept());
  facts.add("form", note_form_.is_open() ? note_form_.heading() : std::string());
  facts.add("is_fitted", rings_.is_fitted());
  facts.add("is_playing", sound_.sound().is_playing());
  facts.add("level_db", sound_.sound().level_db());
  facts.add("sound_fault", sound_.sound().fault());
  if (const auto sample = sound_.sounding_sample()) {
    facts.add("sounding_s", analysis.to_s(*sample));
  }
  if (const auto& cursor = hand_.cursor()) {
    facts.add("cursor_s", cursor->sample / analysis.sample_rate_hz);
    facts.add("cursor_hz", cursor->frequency_hz);
    facts.add("cursor_channel", static_cast<double>(cursor->channel));
    facts.add("cursor_dbfs",
              static_cast<double>(
                  picture_.level_dbfs(cursor->channel, cursor->sample, cursor->frequency_hz)
                      .value_or(-1000.0F)));
  }
  facts.add("selected", static_cast<double>(selected()));
  if (!has_rows()) {
    return;
  }
  // As in every file, so that a test compares digit by digit.
  const std::size_t row = selected();
  const report::RingRow ring = report::to_row(rings_.loudest(row), analysis.sample_rate_hz);
  const listen::PlaceRow& place = rings_.rows()[row];
  facts.add("ring_channel", static_cast<double>(ring.channel));
  facts.add("frequency_hz", ring.frequency_hz);
  facts.add("onset_s", ring.onset_s);
  facts.add("growth_db_per_s", ring.growth_db_per_s);
  facts.add("peak_dbfs", ring.peak_dbfs);
  facts.add("confidence", ring.confidence);
  facts.add("left_db", report::round_to_decimals(place.danger.left_db, 1));
  facts.add("rank_db", report::round_to_decimals(place.danger.rank_db, 1));
  facts.add("times", static_cast<double>(place.place.rings.size()));
  facts.add("folded", static_cast<double>(place.folded.size()));
  facts.add("is_ticked", rings_.is_ticked(row));
  facts.add("row_note", words_.note_on(rings_.key(row)));
  if (rings_.is_fitted()) {
    facts.add("cut", cut_words(rings_.cuts(row), rings_.kind()));
    facts.add("shared_count", static_cast<double>(rings_.shared().size()));
    facts.add("audible_cuts", static_cast<double>(cuts::audible_count(rings_.shared_setting())));
  }
}

}  // namespace brink::panel
