#pragma once

#include <cstddef>
#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include "base/background.h"
#include "cuts/setting.h"
#include "cuts/target.h"
#include "desk/listen_proposals.h"
#include "desk/stage_source.h"
#include "desk/true_gain.h"
#include "io/live/capture.h"
#include "listen/session.h"

namespace brink::desk {

/// What a window works at: one source that is listened to, a device or the simulated stage, the
/// target that cuts are fitted to, and, on the stage, its fader and equaliser. The rings are in
/// RingOut::rings(). One face thread.
class Desk {
 public:
  /// `on_news` is called on other threads when update() has something to do.
  explicit Desk(std::function<void()> on_news);

  /// Listens to the simulated stage from now on: to its first output, fader at kStartFaderDb.
  void use_stage(std::uint64_t seed);
  /// Opens a device, on a thread of its own; what was listened to goes on until it is open, and
  /// altogether when it cannot be (trouble() says why).
  void use_input(const io::CaptureConfig& config);

  [[nodiscard]] bool is_opening() const noexcept { return opening_.is_busy(); }

  /// Takes what is new: once before each drawing.
  void update();

  [[nodiscard]] listen::Session& session() noexcept { return *session_; }

  /// The newest as of the last update(); likewise the events that came since the update() before.
  [[nodiscard]] const listen::Snapshot& snapshot() const noexcept { return *snapshot_; }

  [[nodiscard]] std::span<const show::SessionEvent> fresh_events() const noexcept { return fresh_; }

  [[nodiscard]] double stream_s() const noexcept;

  /// Rises whenever another source is listened to.
  [[nodiscard]] int source_count() const noexcept { return source_count_; }

  /// The equaliser that cuts are fitted to; with its source_text, as load_target() gives it.
  [[nodiscard]] const cuts::Target& target() const noexcept { return target_; }

  void set_target(cuts::Target target) { target_ = std::move(target); }

  /// Fits cuts for these rings to the target, for the equaliser as it stands: once a pass, while no
  /// output is rung out.
  void propose_for(const show::LiveRings& rings) {
    listen_proposals_.follow(rings, target_, equaliser());
  }

  [[nodiscard]] const ListenProposals& listen_proposals() const noexcept {
    return listen_proposals_;
  }

  /// Channels of a device that are outputs and not microphones, from the next device on.
  void set_output_channels(std::vector<int> channels) { output_channels_ = std::move(channels); }

  /// The newest sentence that the user should know; nothing when all is well.
  [[nodiscard]] const std::optional<std::string>& trouble() const noexcept { return trouble_; }

  void set_trouble(std::optional<std::string> sentence) { trouble_ = std::move(sentence); }

  // The stage's; without effect on a device.
  static constexpr double kStartFaderDb = -12.0;

  [[nodiscard]] bool is_stage() const noexcept { return is_stage_; }

  /// Puts the hands on one of the stage's outputs, made when it is not there yet: it alone is open,
  /// or so are the first `open_count`. Made on a thread of its own; until that is done the stage
  /// goes on as it is. Each output keeps its fader and its equaliser.
  void choose_output(std::size_t output, std::size_t open_count = 0);

  /// The loop of the output at hand; nothing on a device, and while it is being made.
  [[nodiscard]] const std::shared_ptr<const loop::Scene>& scene() const noexcept {
    return at().scene;
  }

  /// The outputs that sound on the stage.
  [[nodiscard]] const std::vector<std::size_t>& open_outputs() const noexcept { return open_; }

  [[nodiscard]] double fader_db() const noexcept;
  /// By a hand. After that the show that was rung out here does not know where the fader stands.
  void set_fader_db(double fader_db) noexcept;
  /// For obey_show(): puts the fader where the show has it.
  void obey_fader_db(double fader_db) noexcept;

  /// The fader was last moved by obey_fader_db(): the show knows where it stands.
  [[nodiscard]] bool obeys_fader() const noexcept { return at().obeys_fader; }

  /// Takes any output's fader down to this, never up.
  void lower_fader(std::size_t output, double fader_db);
  /// Of an output that sounds; nothing for one that is closed or has its equaliser switched out.
  [[nodiscard]] std::optional<double> sounding_fader_db(std::size_t output) const noexcept;

  /// What is set on its equaliser, in the loop or switched out of it.
  [[nodiscard]] const cuts::Setting& equaliser() const noexcept { return at().equaliser; }

  void set_equaliser(cuts::Setting setting);
  /// Of another output than the one at hand.
  void set_equaliser(std::size_t output, cuts::Setting setting);

  [[nodiscard]] bool has_cuts_in() const noexcept { return has_cuts_in_; }

  void switch_cuts(bool has_cuts_in);

  /// Stable gain that what is in the loop wins, by the stage's own truth; nothing on a device, and
  /// while it is being worked out.
  [[nodiscard]] std::optional<double> true_gain_won_db() const noexcept { return gain_.won_db(); }

 private:
  struct Output {
    std::shared_ptr<StageControls> controls;   // of the stage's alone
    std::shared_ptr<const loop::Scene> scene;  // once it is made
    cuts::Setting equaliser;
    bool obeys_fader = false;
  };

  /// What was opened aside: a device, or outputs of a stage.
  struct Opened {
    std::unique_ptr<io::Source> source;
    int stage = 0;  // which stage_count_
    std::vector<std::size_t> outputs;
    std::vector<std::shared_ptr<const loop::Scene>> scenes;
  };

  [[nodiscard]] Output& at() noexcept { return outputs_[at_]; }

  [[nodiscard]] const Output& at() const noexcept { return outputs_[at_]; }

  void add_outputs(std::size_t count);
  void listen_to(std::unique_ptr<io::Source> source);
  void start_outputs();
  void finish_opening();
  void take_outputs(Opened opened);
  void apply_equaliser(Output& output);
  void tell_gain();

  std::function<void()> on_news_;
  cuts::Target target_;
  ListenProposals listen_proposals_;
  bool is_stage_ = false;
  int stage_count_ = 0;
  std::uint64_t seed_ = 0;
  std::vector<Output> outputs_{1};  // one without a loop on a device
  std::size_t at_ = 0;
  std::vector<std::size_t> open_;
  std::vector<std::size_t> wanted_;  // to be open
  TrueGain gain_;
  const loop::Scene* told_ = nullptr;  // to gain_
  bool has_cuts_in_ = true;            // of the output at hand
  std::unique_ptr<listen::Session> session_;
  const listen::Snapshot* snapshot_ = nullptr;
  std::vector<show::SessionEvent> fresh_;
  int source_count_ = 0;
  std::vector<int> output_channels_;
  std::optional<std::string> trouble_;
  base::Background<Opened> opening_;
};

}  // namespace brink::desk
