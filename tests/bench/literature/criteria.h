#pragma once

#include <memory>

#include "bench/literature/criterion.h"

namespace brink::bench {

// How S1 looks at a stream (section VII-A): Blackman window of 4096 samples at 44.1 and 48 kHz, hop
// of half a window, the 3 largest peaks as candidates. At other rates: the power of two nearest to
// the same 90 ms, which is S1's own 2048 at 16 kHz.
[[nodiscard]] int s1_window_samples(double sample_rate_hz);

/// PHPR >= 30 dB (S1's own value; the original proposal has 33 dB) against every multiple of 0.5,
/// 1.5, 2, 3 and 4, and IPMP >= 3/5: the candidate in at least 3 of the last 5 looks, this one
/// included. S2 prints that sum with one term too many; S1's form is taken.
[[nodiscard]] std::unique_ptr<Criterion> make_phpr_ipmp(const CriterionOptions& options);

/// FEP >= 0.95 (S1, for music; the original proposal has 0.7, for speech), IMSD with Q_M = 7,
/// peakness over 8 looks, slopeness exp(-|IMSD|) as S1 chose it.
[[nodiscard]] std::unique_ptr<Criterion> make_fep(const CriterionOptions& options);

/// NINOS2-T as S2 found it best on speech: window of 64 ms (1024 at 16 kHz), hop of 20 ms, the last
/// 32 looks, only the largest value of each look held against the threshold. Hann window. S2 takes
/// log magnitudes, normalised with the first 2 s, without saying how; here: the dB by which a bin
/// stands over its own mean level of the first 2 s, 0 when it does not (one level for all bins
/// instead: seven times as many false detections). S2 gives no threshold: 0.98 served it best of
/// 0.8 to 0.995 on the labelled recordings, which flatters it.
[[nodiscard]] std::unique_ptr<Criterion> make_ninos2_t(const CriterionOptions& options);

}  // namespace brink::bench
