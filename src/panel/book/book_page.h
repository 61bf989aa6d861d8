#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "cuts/setting.h"
#include "panel/draw/rect.h"
#include "panel/draw/theme.h"
#include "show/show_record.h"

namespace brink::panel {

struct FrequencyAxis;

/// One output of a show as a page. A picture, a table and words tell what is set, what rang, and
/// what each round did.
class BookPage {
 public:
  static constexpr double kSampleRateHz = 48000.0;  ///< for the response's curve

  /// Prepares the page once; every pass then draws it. `compared`: what a comparison with the last
  /// visit tells. It takes the place of the rounds unless it is empty.
  void open(const show::ShowRecord& show,
            std::size_t output,
            std::vector<std::string> compared = {});

  /// Draws the page, moved up by `scroll`. Returns its whole height.
  float draw(const Rect& area, float scroll, const Theme& theme) const;

 private:
  struct Round {
    double ring_hz = 0.0;
    std::vector<std::string> fields;
  };

  void draw_curve(const Rect& area, const Theme& theme) const;
  void draw_marks(const FrequencyAxis& axis, const Rect& plot, const Theme& theme) const;
  [[nodiscard]] float draw_cuts(const Rect& area, const Theme& theme) const;
  [[nodiscard]] float draw_rounds(const Rect& area, const Theme& theme) const;

  std::string heading_;
  std::vector<std::string> about_;  // what was used for ringing it out
  cuts::Setting setting_;
  std::vector<std::string> cuts_;
  std::vector<Round> rounds_;
  std::vector<std::string> compared_;
  std::vector<std::string> notes_;  // the results
};

/// What a round's cut led to, as the round card says it; a dash without a cut.
[[nodiscard]] std::string outcome_words(const show::RoundRecord& round);

}  // namespace brink::panel
