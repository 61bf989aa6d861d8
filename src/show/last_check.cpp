#include "show/last_check.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/time_of_day.h"

namespace brink::show {

void Listening::hear(const HeardSound& sound) noexcept {
  const bool hears = sound.is_running && sound.peak_dbfs > kSilenceDbfs;
  const double passed_s = sound.stream_s - stream_s_;
  if (hears && hears_ && passed_s > 0.0 && passed_s <= kLongestGapS) {
    sound_s_ += passed_s;
    loudest_dbfs_ = std::max(loudest_dbfs_, sound.peak_dbfs);
  }
  hears_ = hears;
  stream_s_ = sound.stream_s;
}

std::string check_words(const CheckRecord& check) {
  if (!check.older_words.empty()) {
    return check.older_words + " (how long it listened was not noted)";
  }
  std::string rang;
  for (std::size_t i = 0; i < check.rang_hz.size(); ++i) {
    rang += fmt::format("{}{:.0f} Hz", rang.empty() ? "" : ", ", check.rang_hz[i]);
    if (i < check.rang_in.size() && !check.rang_in[i].empty()) {
      rang += " in " + check.rang_in[i];
    }
  }
  return fmt::format("{} rang in {:.0f} s, peaks up to {:.0f} dBFS, {}",
                     rang.empty() ? "nothing" : rang,
                     std::floor(check.listened_s),
                     check.loudest_dbfs,
                     base::short_time(check.ended_at));
}

}  // namespace brink::show
