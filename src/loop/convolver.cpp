#include "loop/convolver.h"

#include <fmt/format.h>

#include <algorithm>
#include <cassert>

#include "base/error.h"

namespace brink::loop {

namespace {

constexpr int kLeastFftBlock = 2;  // the double transform's smallest size is 4, which is two blocks

int block_for_delay(int delay_samples, int most) {
  if (delay_samples < kLeastFftBlock) {
    throw base::Error{fmt::format(
        "a loop needs a delay of at least {} samples between console and microphone; got "
        "{}; move the loudspeaker away or raise the console delay.",
        kLeastFftBlock,
        delay_samples)};
  }
  int block = kLeastFftBlock;
  while (block * 2 <= std::min(delay_samples, most)) {
    block *= 2;
  }
  return block;
}

// The part of each response from `begin` up to `end`, moved to the start.
std::vector<std::vector<double>> parts(std::span<const std::vector<double>> responses,
                                       std::size_t begin,
                                       std::size_t end) {
  std::vector<std::vector<double>> cut;
  cut.reserve(responses.size());
  for (const std::vector<double>& response : responses) {
    const auto from = static_cast<std::ptrdiff_t>(std::min(begin, response.size()));
    const auto to = static_cast<std::ptrdiff_t>(std::min(end, response.size()));
    cut.emplace_back(response.begin() + from, response.begin() + to);
  }
  return cut;
}

}  // namespace

UniformConvolver::UniformConvolver(int block_samples,
                                   std::span<const std::vector<double>> responses)
    : block_{block_samples},
      fft_{2 * block_samples},
      window_(2 * static_cast<std::size_t>(block_samples)),
      bins_(static_cast<std::size_t>(fft_.bin_count())),
      samples_(2 * static_cast<std::size_t>(block_samples)) {
  const auto block = static_cast<std::size_t>(block_);
  const std::size_t bin_count = bins_.size();
  // The inverse transform multiplies by its size. This scale undoes it.
  const double scale = 1.0 / static_cast<double>(2 * block);
  std::size_t most_partitions = 1;
  for (const std::vector<double>& taps : responses) {
    Response& response = responses_.emplace_back();
    for (std::size_t start = 0; start < taps.size(); start += block) {
      std::fill(samples_.begin(), samples_.end(), 0.0);
      const std::size_t count = std::min(block, taps.size() - start);
      std::copy_n(taps.begin() + static_cast<std::ptrdiff_t>(start), count, samples_.begin());
      fft_.forward(samples_, bins_);
      Spectrum& partition = response.partitions.emplace_back();
      for (const std::complex<double> bin : bins_) {
        partition.real.push_back(bin.real() * scale);
        partition.imag.push_back(bin.imag() * scale);
      }
    }
    most_partitions = std::max(most_partitions, response.partitions.size());
  }
  sum_ = {std::vector<double>(bin_count), std::vector<double>(bin_count)};
  history_.assign(most_partitions, sum_);
}

void UniformConvolver::push(std::span<const double> block, std::span<double> output) noexcept {
  const auto size = static_cast<std::ptrdiff_t>(block_);
  assert(static_cast<std::ptrdiff_t>(block.size()) == size &&
         output.size() == responses_.size() * block.size());
  std::copy(window_.begin() + size, window_.end(), window_.begin());
  std::copy(block.begin(), block.end(), window_.begin() + size);
  newest_ = (newest_ + history_.size() - 1) % history_.size();
  fft_.forward(window_, bins_);
  Spectrum& spectrum = history_[newest_];
  for (std::size_t k = 0; k < bins_.size(); ++k) {
    spectrum.real[k] = bins_[k].real();
    spectrum.imag[k] = bins_[k].imag();
  }
  auto* out = output.data();
  for (const Response& response : responses_) {
    if (response.partitions.empty()) {
      std::fill_n(out, size, 0.0);
    } else {
      sum_products(response);
      fft_.inverse(bins_, samples_);
      std::copy(samples_.begin() + size, samples_.end(), out);
    }
    out += size;
  }
}

void UniformConvolver::sum_products(const Response& response) noexcept {
  const std::size_t bin_count = bins_.size();
  double* __restrict sum_real = sum_.real.data();
  double* __restrict sum_imag = sum_.imag.data();
  std::fill(sum_.real.begin(), sum_.real.end(), 0.0);
  std::fill(sum_.imag.begin(), sum_.imag.end(), 0.0);
  std::size_t at = newest_;
  for (const Spectrum& partition : response.partitions) {
    const double* __restrict a_real = partition.real.data();
    const double* __restrict a_imag = partition.imag.data();
    const double* __restrict b_real = history_[at].real.data();
    const double* __restrict b_imag = history_[at].imag.data();
    for (std::size_t k = 0; k < bin_count; ++k) {
      sum_real[k] += a_real[k] * b_real[k] - a_imag[k] * b_imag[k];
      sum_imag[k] += a_real[k] * b_imag[k] + a_imag[k] * b_real[k];
    }
    at = at + 1 == history_.size() ? 0 : at + 1;
  }
  for (std::size_t k = 0; k < bin_count; ++k) {
    bins_[k] = {sum_real[k], sum_imag[k]};
  }
}

DelayedConvolver::DelayedConvolver(int delay_samples,
                                   std::span<const std::vector<double>> responses)
    : block_{block_for_delay(delay_samples, kMostBlock)},
      response_count_{responses.size()},
      head_{block_, parts(responses, static_cast<std::size_t>(block_), kLongBlock)},
      tail_{kLongBlock, parts(responses, kLongBlock, static_cast<std::size_t>(-1))},
      head_output_(responses.size() * static_cast<std::size_t>(block_)),
      tail_output_(responses.size() * kLongBlock),
      long_input_(kLongBlock),
      next_(head_output_.size()) {
  for (const std::vector<double>& response : responses) {
    const auto delay = static_cast<std::ptrdiff_t>(
        std::min(response.size(), static_cast<std::size_t>(delay_samples)));
    if (std::any_of(
            response.begin(), response.begin() + delay, [](double tap) { return tap != 0.0; })) {
      throw base::Error{
          fmt::format("a response sounds before its delay of {} samples is over.", delay_samples)};
    }
  }
}

std::span<const double> DelayedConvolver::next(std::size_t response) const noexcept {
  const auto block = static_cast<std::size_t>(block_);
  return std::span{next_}.subspan(response * block, block);
}

void DelayedConvolver::push(std::span<const double> block) noexcept {
  const auto size = static_cast<std::size_t>(block_);
  head_.push(block, head_output_);
  std::copy(
      block.begin(), block.end(), long_input_.begin() + static_cast<std::ptrdiff_t>(long_filled_));
  long_filled_ += size;
  if (long_filled_ == kLongBlock) {
    tail_.push(long_input_, tail_output_);
    long_filled_ = 0;
  }
  for (std::size_t response = 0; response < response_count_; ++response) {
    const double* head = head_output_.data() + response * size;
    const double* tail = tail_output_.data() + response * kLongBlock + long_filled_;
    for (std::size_t n = 0; n < size; ++n) {
      next_[response * size + n] = head[n] + tail[n];
    }
  }
}

}  // namespace brink::loop
