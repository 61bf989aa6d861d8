#include "taps/share_meter.h"

#include <algorithm>
#include <cmath>

#include "base/units.h"

namespace brink::taps {

ShareMeter::ShareMeter(std::span<const TapInfo> taps)
    : taps_{taps},
      has_outputs_{std::any_of(taps.begin(),
                               taps.end(),
                               [](const TapInfo& tap) { return tap.role == TapRole::kOutput; })},
      part_(taps.size()),
      power_(taps.size()) {}

void ShareMeter::add_channels(std::span<const std::complex<double>> tones) {
  std::complex<double> whole;
  for (std::size_t tap = 0; tap < tones.size(); ++tap) {
    whole += drives_[tap] * tones[tap];
  }
  for (std::size_t tap = 0; tap < tones.size(); ++tap) {
    part_[tap] += (drives_[tap] * tones[tap] * std::conj(whole)).real();
  }
  whole_ += std::norm(whole);
}

void ShareMeter::add_outputs(std::span<const std::complex<double>> tones) {
  std::size_t microphone = 0;
  double of_microphones = 0.0;
  for (std::size_t tap = 0; tap < tones.size(); ++tap) {
    if (taps_[tap].role == TapRole::kOutput) {
      part_[tap] += std::norm(tones[tap]);
      continue;
    }
    double part = 0.0;
    std::size_t output = 0;
    for (std::size_t other = 0; other < tones.size(); ++other) {
      if (taps_[other].role == TapRole::kOutput) {
        part += (std::conj(tones[other]) * sends_->gain[output][microphone] * tones[tap]).real();
        ++output;
      }
    }
    part_[tap] += part;
    of_microphones += part;
    ++microphone;
  }
  whole_ += of_microphones;
}

void ShareMeter::measure(const TapHistory& history,
                         double frequency_hz,
                         double growth_db_per_s,
                         std::int64_t end) {
  std::vector<std::complex<double>> tones(taps_.size());
  const auto length = static_cast<std::size_t>(kWindowS * history.sample_rate_hz());
  history.tones(frequency_hz, end, length, tones);
  for (std::size_t tap = 0; tap < tones.size(); ++tap) {
    power_[tap] += std::norm(tones[tap]);
  }
  weight_ += 1.0;
  if (!has_outputs_) {
    if (drives_.empty()) {
      drives_ = find_drives(history, {frequency_hz, growth_db_per_s, tones}, end);
    }
    add_channels(tones);
    return;
  }
  if (!sends_) {
    sends_ = find_sends(history, taps_, frequency_hz, end, kSendsS);
  }
  add_outputs(tones);
}

RingShares ShareMeter::shares() const {
  RingShares shares;
  if (!(std::abs(whole_) > 0.0) || taps_.size() < 2) {
    return shares;
  }
  std::vector<TapPart> parts;
  double of_outputs = 0.0;
  double most = 0.0;
  for (std::size_t tap = 0; tap < taps_.size(); ++tap) {
    if (taps_[tap].role == TapRole::kMicrophone) {
      parts.push_back({taps_[tap].channel,
                       static_cast<float>(part_[tap] / whole_),
                       static_cast<float>(base::power_to_db(power_[tap] / weight_))});
    } else {
      of_outputs += part_[tap];
      if (!shares.knows_sends || part_[tap] > most) {
        shares.output = taps_[tap].channel;
        most = part_[tap];
      }
      shares.knows_sends = true;
    }
  }
  if (shares.knows_sends && of_outputs > 0.0) {
    shares.output_share = static_cast<float>(most / of_outputs);
  }
  std::stable_sort(parts.begin(), parts.end(), [](const TapPart& a, const TapPart& b) {
    return a.share > b.share;
  });
  shares.count = static_cast<std::uint8_t>(std::min(parts.size(), RingShares::kMost));
  std::copy_n(parts.begin(), shares.count, shares.parts.begin());
  return shares;
}

}  // namespace brink::taps
