#pragma once

#include <span>

namespace brink::listen {

/// The level of a sound calibrator's tone, dBFS as RMS (a full-scale sine is -3). The samples are
/// those of one microphone with the calibrator on it, at least 2 s. Throws base::Error with one
/// sentence when there is no steady tone at 1 kHz (within 2 %, class 2 of IEC 60942 from memory),
/// when its level wavers by more than 0.5 dB, when other sound comes within 10 dB of it, or when it
/// clips.
[[nodiscard]] double calibrator_tone_dbfs(std::span<const float> samples, double sample_rate_hz);

}  // namespace brink::listen
