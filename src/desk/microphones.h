#pragma once

#include <map>
#include <string>
#include <vector>

#include "listen/sound_meter.h"

namespace brink::desk {

/// A microphone that was calibrated, by the input and the channel that it is on.
struct CalibratedMicrophone {
  std::string input;  ///< io::Source::name()
  int channel = 1;    ///< from 1
  std::string date;   ///< local, as 2026-11-29
  listen::Calibration calibration;
};

/// `microphones.json` beside the settings file; empty where nothing can be remembered.
/// [before other threads start: reads the environment]
[[nodiscard]] std::string microphones_path();

/// None when there is no such file. Throws base::Error with one sentence when it is no such file of
/// ours; it is left as it is.
[[nodiscard]] std::vector<CalibratedMicrophone> load_microphones(const std::string& path);

/// Adds it, in place of an earlier one on that channel. Throws base::Error.
void remember_microphone(const std::string& path, const CalibratedMicrophone& microphone);

/// The calibrations of an input, by channel.
[[nodiscard]] std::map<int, listen::Calibration> calibrations_of(
    const std::vector<CalibratedMicrophone>& microphones, const std::string& input);

/// A microphone's frequency response from its maker's text: two columns on each line, Hz and dB,
/// with white space, a comma or a semicolon between. A line that does not begin with a number is a
/// remark. Throws base::Error with file and line.
[[nodiscard]] std::vector<listen::ResponsePoint> read_response(const std::string& path);

}  // namespace brink::desk
