#include "loop/matrix/matrix_stage.h"

#include <algorithm>
#include <cmath>

#include "base/units.h"
#include "loop/limiter.h"

namespace brink::loop {
namespace {

MatrixConfig validated(MatrixConfig config) {
  validate(config);
  return config;
}

// The console's delay is added to the delay through the air; see Stage.
std::vector<double> delayed(const std::vector<double>& path, std::size_t delay) {
  std::vector<double> taps;
  if (!path.empty()) {
    taps.assign(delay, 0.0);
    taps.insert(taps.end(), path.begin(), path.end());
  }
  return taps;
}

// With one delay for all outputs, their blocks end together.
int least_delay_samples(const MatrixConfig& config) {
  constexpr std::size_t kMost = 1U << 16U;
  std::size_t least = kMost;
  for (const auto& row : config.path) {
    for (const std::vector<double>& path : row) {
      const auto first =
          std::find_if(path.begin(), path.end(), [](double tap) { return tap != 0.0; });
      if (first != path.end()) {
        least = std::min(least, static_cast<std::size_t>(first - path.begin()));
      }
    }
  }
  return static_cast<int>(least + config.console_delay_samples());
}

std::vector<DelayedConvolver> make_convolvers(const MatrixConfig& config) {
  const int delay = least_delay_samples(config);
  std::vector<DelayedConvolver> convolvers;
  for (std::size_t j = 0; j < config.outputs.size(); ++j) {
    std::vector<std::vector<double>> responses;
    for (const auto& row : config.path) {
      responses.push_back(delayed(row[j], config.console_delay_samples()));
    }
    convolvers.emplace_back(delay, responses);
  }
  return convolvers;
}

// A change that takes one sample is in place before the first sound of importance.
constexpr int kAtOnceSamples = 1;

}  // namespace

MatrixStage::MatrixStage(MatrixConfig config, MatrixTap tap)
    : config_{validated(std::move(config))},
      tap_{tap},
      limit_lin_{base::db_to_amplitude(config_.limit_dbfs)},
      convolvers_{make_convolvers(config_)},
      channel_equalisers_(config_.channels.size(), Equaliser{kAtOnceSamples}),
      output_equalisers_(config_.outputs.size(), Equaliser{kAtOnceSamples}),
      channel_(config_.channels.size()),
      block_(config_.outputs.size(),
             std::vector<double>(static_cast<std::size_t>(convolvers_.front().block_samples()))) {
  for (std::size_t i = 0; i < config_.channels.size(); ++i) {
    gain_lin_.push_back(gain_lin(config_.channels[i]));
    channel_equalisers_[i].change(config_.channels[i].sections);
  }
  for (std::size_t j = 0; j < config_.outputs.size(); ++j) {
    output_equalisers_[j].change(config_.outputs[j].sections);
  }
}

void MatrixStage::hear(std::span<const std::span<const float>> programme,
                       std::span<const std::span<float>> taps,
                       std::size_t sample) noexcept {
  for (std::size_t i = 0; i < channel_.size(); ++i) {
    const auto dry = static_cast<double>(programme[i][sample]);
    double microphone = std::isfinite(dry) ? dry : 0.0;
    for (const DelayedConvolver& convolver : convolvers_) {
      microphone += convolver.next(i)[block_at_];
    }
    channel_[i] = channel_equalisers_[i].step(gain_lin_[i] * microphone);
    if (tap_ != MatrixTap::kOutput) {
      taps[i][sample] =
          static_cast<float>(tap_ == MatrixTap::kMicrophone ? microphone : channel_[i]);
    }
  }
}

void MatrixStage::send(std::span<const std::span<float>> taps, std::size_t sample) noexcept {
  const double time_s = static_cast<double>(sample_index_) / config_.sample_rate_hz;
  const std::size_t first_output = tap_ == MatrixTap::kAll ? channel_.size() : 0;
  const double master_lin = base::db_to_amplitude(config_.gain_db.value_at(time_s));
  for (std::size_t j = 0; j < block_.size(); ++j) {
    double mix = 0.0;
    for (std::size_t i = 0; i < channel_.size(); ++i) {
      mix += config_.channels[i].send_lin[j] * channel_[i];
    }
    const double out = soft_limit(output_equalisers_[j].step(master_lin * mix), limit_lin_);
    block_[j][block_at_] = out;
    if (tap_ >= MatrixTap::kOutput) {
      taps[first_output + j][sample] = static_cast<float>(out);
    }
  }
}

void MatrixStage::process(std::span<const std::span<const float>> programme,
                          std::span<const std::span<float>> taps) noexcept {
  const std::size_t count = programme.empty() ? 0 : programme.front().size();
  for (std::size_t sample = 0; sample < count; ++sample) {
    hear(programme, taps, sample);
    send(taps, sample);
    ++sample_index_;
    ++block_at_;
    if (block_at_ == block_.front().size()) {
      for (std::size_t j = 0; j < block_.size(); ++j) {
        convolvers_[j].push(block_[j]);
      }
      block_at_ = 0;
    }
  }
}

}  // namespace brink::loop
