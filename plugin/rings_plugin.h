#pragma once

#include <brink/detector.h>
#include <vamp-sdk/Plugin.h>

#include <cstdint>
#include <string>
#include <vector>

namespace brink::plugin {

/// The rings of a recording as regions, for any host of Vamp plugins: the same rings with the same
/// numbers as `brink analyse`.
///
/// Input: one to 32 channels, 8 to 192 kHz, in blocks as long as the step. Output `rings`: one
/// feature for each ring that was certain, once it is over, from its onset to its end, with seven
/// values: frequency (Hz), growth (dB/s), confidence (0 to 1), the cut's centre (Hz), Q and depth
/// (dB), and the channel (from 1). Silence has none. Standard: Vamp Plugin API 2 (C. Cannam and
/// others, Centre for Digital Music, Queen Mary, University of London).
class RingsPlugin final : public Vamp::Plugin {
 public:
  explicit RingsPlugin(float sample_rate_hz);

  bool initialise(std::size_t channels, std::size_t step_size, std::size_t block_size) override;
  void reset() override;
  FeatureSet process(const float* const* blocks, Vamp::RealTime timestamp) override;
  FeatureSet getRemainingFeatures() override;

  [[nodiscard]] InputDomain getInputDomain() const override { return TimeDomain; }

  [[nodiscard]] std::string getIdentifier() const override { return "rings"; }

  [[nodiscard]] std::string getName() const override { return "Rings"; }

  [[nodiscard]] std::string getDescription() const override {
    return "Tones that a sound system sustains by itself (acoustic feedback), and a cut for each";
  }

  [[nodiscard]] std::string getMaker() const override { return "brink"; }

  [[nodiscard]] std::string getCopyright() const override { return "MIT licence"; }

  [[nodiscard]] int getPluginVersion() const override { return 1; }

  [[nodiscard]] std::size_t getMinChannelCount() const override { return 1; }

  [[nodiscard]] std::size_t getMaxChannelCount() const override { return 32; }

  [[nodiscard]] std::size_t getPreferredBlockSize() const override { return 1024; }

  [[nodiscard]] OutputList getOutputDescriptors() const override;

 private:
  void push_held(std::size_t length, FeatureSet& features);
  void take_events(std::size_t channel, FeatureSet& features);
  [[nodiscard]] Feature to_region(const Event& event, std::size_t channel) const;
  [[nodiscard]] Vamp::RealTime to_time(std::int64_t sample) const;

  double sample_rate_hz_;
  std::vector<Detector> detectors_;  ///< one for each channel
  /// The newest block of each channel, held back until the next: a host fills the last one up with
  /// zeros.
  std::vector<std::vector<float>> held_;
  bool is_holding_ = false;
  bool has_begun_ = false;
  Vamp::RealTime start_;  ///< of the first block
};

}  // namespace brink::plugin
