#pragma once

#include <cstdint>
#include <functional>
#include <future>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "app/ring_board.h"
#include "app/session.h"
#include "app/stage_gain.h"
#include "app/stage_source.h"
#include "cuts/setting.h"
#include "io/capture.h"

namespace brink::app {

/// What a window works at: one source that is listened to, a device or the simulated stage, the
/// rings heard, the target that cuts are fitted to, and, on the stage, hands on its fader and
/// equaliser. One face thread.
class Desk {
 public:
  /// `on_news` is called on other threads when update() has something to do.
  explicit Desk(std::function<void()> on_news);

  /// Listens to the simulated stage from now on, fader at kStartFaderDb.
  void use_stage(std::uint64_t seed);
  /// Opens a device, on a thread of its own; what was listened to goes on until it is open, and
  /// altogether when it cannot be (trouble() says why).
  void use_input(const io::CaptureConfig& config);

  [[nodiscard]] bool is_opening() const noexcept { return opening_.valid(); }

  /// Takes what is new: once before each drawing.
  void update();

  [[nodiscard]] Session& session() noexcept { return *session_; }

  /// The newest as of the last update(); likewise the events that came since the update() before.
  [[nodiscard]] const Snapshot& snapshot() const noexcept { return *snapshot_; }

  [[nodiscard]] std::span<const SessionEvent> fresh_events() const noexcept { return fresh_; }

  [[nodiscard]] double stream_s() const noexcept;

  /// Rises whenever another source is listened to.
  [[nodiscard]] int source_count() const noexcept { return source_count_; }

  [[nodiscard]] RingBoard& board() noexcept { return board_; }

  /// The newest sentence that the user should know; nothing when all is well.
  [[nodiscard]] const std::optional<std::string>& trouble() const noexcept { return trouble_; }

  void set_trouble(std::optional<std::string> sentence) { trouble_ = std::move(sentence); }

  // The stage's; without effect on a device.
  static constexpr double kStartFaderDb = -12.0;

  [[nodiscard]] bool is_stage() const noexcept { return stage_ != nullptr; }

  [[nodiscard]] double fader_db() const noexcept;
  void set_fader_db(double fader_db) noexcept;

  /// What is set on its equaliser, in the loop or switched out of it.
  [[nodiscard]] const cuts::Setting& equaliser() const noexcept { return equaliser_; }

  void set_equaliser(cuts::Setting setting);

  [[nodiscard]] bool has_cuts_in() const noexcept { return has_cuts_in_; }

  void switch_cuts(bool has_cuts_in);

  /// Stable gain that what is in the loop wins, by the stage's own truth; nothing on a device, and
  /// while it is being worked out.
  [[nodiscard]] std::optional<double> true_gain_won_db() const noexcept { return gain_.won_db(); }

 private:
  void listen_to(std::unique_ptr<io::Source> source);
  void finish_opening();
  void apply_equaliser();

  std::function<void()> on_news_;
  RingBoard board_;
  std::shared_ptr<StageControls> stage_;
  StageGain gain_;
  cuts::Setting equaliser_;
  bool has_cuts_in_ = true;
  std::unique_ptr<Session> session_;
  const Snapshot* snapshot_ = nullptr;
  std::vector<SessionEvent> fresh_;
  int source_count_ = 0;
  std::optional<std::string> trouble_;
  std::future<std::unique_ptr<io::Source>> opening_;
};

}  // namespace brink::app
