#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "cuts/setting.h"
#include "panel/draw/rect.h"
#include "panel/draw/theme.h"
#include "show/show_record.h"

namespace brink::panel {

/// One output of a show as a page: what is set, what rang, what each round did, as a picture, a
/// table and words.
class BookPage {
 public:
  static constexpr double kSampleRateHz = 48000.0;  ///< of the response's curve

  /// Puts the words together, once; the page then draws them in every pass.
  /// `compared`: what the visit before tells, in place of the rounds; empty: the rounds.
  void open(const show::ShowRecord& show,
            std::size_t output,
            std::vector<std::string> compared = {});

  /// Moved up by `scroll`; returns its whole height.
  float draw(const Rect& area, float scroll, const Theme& theme) const;

 private:
  struct Round {
    double ring_hz = 0.0;
    std::vector<std::string> fields;
  };

  void draw_curve(const Rect& area, const Theme& theme) const;
  [[nodiscard]] float draw_cuts(const Rect& area, const Theme& theme) const;
  [[nodiscard]] float draw_rounds(const Rect& area, const Theme& theme) const;

  std::string heading_;
  std::vector<std::string> about_;  // what it was rung out with
  cuts::Setting setting_;
  std::vector<std::string> cuts_;
  std::vector<Round> rounds_;
  std::vector<std::string> compared_;
  std::vector<std::string> notes_;  // what came of it
};

/// A fader as "+3.5"; a dash when it was not noted.
[[nodiscard]] std::string fader_words(const std::optional<double>& at_db);

}  // namespace brink::panel
