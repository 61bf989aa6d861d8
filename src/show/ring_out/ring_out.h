#pragma once

#include <chrono>
#include <cstddef>
#include <cstdint>
#include <functional>
#include <map>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "cuts/propose.h"
#include "cuts/setting.h"
#include "cuts/target.h"
#include "show/caught_rings.h"
#include "show/cut_proposal.h"
#include "show/last_check.h"
#include "show/live_rings.h"
#include "show/ring_out/ring_out_advice.h"
#include "show/ring_out/ring_out_history.h"
#include "show/ring_out/ring_out_view.h"
#include "show/session_event.h"
#include "show/show_record.h"

namespace brink::show {

/// There are few rounds, so each cut should win more than its ring alone needs. With Q 8 as the
/// narrowest instead of 16, seven rounds won 2.8 dB instead of 2.5 dB, and cost 0.4 dB more
/// (docs/log.md).
[[nodiscard]] constexpr cuts::ProposeConfig ringing_out_propose() noexcept {
  cuts::ProposeConfig propose;
  propose.narrowest_q = 8.0;
  return propose;
}

struct RingOutConfig {
  double sample_rate_hz = 48000.0;                      ///< of the equaliser
  cuts::ProposeConfig propose = ringing_out_propose();  ///< what no measurement of a ring can tell
};

/// What an engineer says of an output. Text in UTF-8; `target` as to_target() reads it.
struct OutputWords {
  std::string name;  ///< not empty, and no other output's
  std::string microphone;
  std::string position;
  std::string target;
};

/// Ringing out a show: what was done (a show::ShowRecord), what rings now, and what to do next.
/// Every face drives it with actions and events, and draws what it says. It owns the list of live
/// rings, whether an output is rung out or not.
///
/// An action that changes something is one step of undo(). What was heard (that a ring faded, that
/// something came back) is not undone, and neither are fader moves: a fader goes up by a hand
/// alone. A ring that becomes certain between undo or redo and the next action or fader move says
/// nothing of a round: the equaliser was just changed under it. It is offered like any other. After
/// each call, when revision() is another one, record() is to be handed to the book. Actions return
/// false, and change nothing, when there is nothing to act on; they throw base::Error, and change
/// nothing, on words that cannot be.
///
/// No thread, no clock, no device: events bring their own time, actions are given it. [one thread]
class RingOut {
 public:
  using TimeOfDay = std::chrono::system_clock::time_point;

  /// Begins with a new show's record, or goes on with one from the book (with its last output, no
  /// fader position known). `rings`: what is heard already; none of them is caught yet. Throws
  /// base::Error when an output's target is none.
  explicit RingOut(show::ShowRecord show, const RingOutConfig& config = {}, LiveRings rings = {});

  [[nodiscard]] const show::ShowRecord& record() const noexcept { return state_.record; }

  /// Grows whenever record() changes.
  [[nodiscard]] std::uint64_t revision() const noexcept { return revision_; }

  // The show and its outputs.

  /// Chooses it too. Throws base::Error.
  void add_output(const OutputWords& words);
  /// Renames the chosen output, or gives it another microphone, position or target. Throws
  /// base::Error.
  bool change_output(const OutputWords& words);
  bool choose_output(std::size_t index);
  /// Venue and name of the show.
  bool name_show(const std::string& venue, const std::string& name);
  bool note_show(const std::string& note);
  bool note_output(const std::string& note);
  bool note_round(std::size_t round, const std::string& note);

  [[nodiscard]] std::optional<std::size_t> chosen() const noexcept { return state_.chosen; }

  /// The chosen output; nullptr while there is none.
  [[nodiscard]] const show::OutputRecord* output() const noexcept;

  /// Of the chosen output, or the one that stands for no text.
  [[nodiscard]] const cuts::Target& target() const noexcept { return target_; }

  // Prepare and raise.

  /// Ticks or clears a point of prepare_points().
  bool tick(std::size_t point, bool is_done);
  /// The chosen output's fader as the engineer reads it off; beyond these it stays at the nearer.
  static constexpr double kLowestFaderDb = -120.0;
  static constexpr double kHighestFaderDb = 20.0;
  bool set_fader_db(double fader_db);
  /// From 0 dB when it was not known.
  bool step_fader_db(double by_db);
  /// Says where the chosen output's fader was found. Only while its position is not known. Nobody
  /// moved it, so a last check stays.
  bool find_fader_db(double fader_db);

  /// Nothing until it was set; of the chosen output, or of any.
  [[nodiscard]] std::optional<double> fader_db() const noexcept;
  [[nodiscard]] std::optional<double> fader_db(std::size_t output) const noexcept;

  // Catch and cut.

  /// What the channels of the console are called, from now on.
  void name_channels(ChannelNames names) { rings_.set_names(std::move(names)); }

  /// Takes every event of a session; those that are not of a ring change nothing. A ring that is
  /// certain ends the last round at once ("came back here"), or is where the output first rang. The
  /// record says so. dismiss() and let_go() take that back.
  void on_event(const SessionEvent& event);
  /// What the input gave; call it some times a second. A last check, and an output in which nothing
  /// rings, say how long there was sound.
  void on_sound(const show::HeardSound& sound);
  /// Growth and level of what sounds, as the newest snapshot has them, for one tap.
  void on_tracks(int tap, std::span<const detector::TrackView> tracks) noexcept;
  /// The input was lost. The rings that sound are then over, and were not seen to fade. Call it
  /// before the events of kGone that come with it.
  void on_break();
  /// Another input is listened to from now on: the same, and nothing of the old one is shown.
  void on_other_source();

  /// What rings now, for every face: each tap's rings, whatever the show makes of them.
  [[nodiscard]] const LiveRings& rings() const noexcept { return rings_; }

  /// Rings to deal with now, in this order: certain ones that sound, the loudest first; certain
  /// ones that are over and were neither cut, dismissed nor let go, the newest first; those that
  /// are building. A ring on several taps counts once.
  [[nodiscard]] std::vector<OfferedRing> offered() const;
  /// Certain rings that sound but were said not to be rings, the loudest first. They are not
  /// offered. A face shows them small, because a loop may come to ring at just that place.
  [[nodiscard]] std::vector<DismissedRing> dismissed_sounding() const;

  /// Planning takes up to 30 ms a ring (propose()). Where that is short enough, call propose_all().
  /// Otherwise, as long as next_to_propose() gives an input, run propose() on it on another thread
  /// and hand both to take_proposal(). It drops a proposal that does not fit any more.
  void propose_all();
  [[nodiscard]] std::optional<ProposalInput> next_to_propose() const;
  void take_proposal(const ProposalInput& input, const Proposal& proposal);

  /// Logs a cut for an offered ring: what was proposed, or `edited` in its place (taken to the
  /// nearest setting of the target). Proposes first when nothing was proposed yet. A round begins;
  /// the one before it came back where this ring rang, if it was heard after that cut. False for a
  /// ring that is not offered, or when nothing can be proposed and nothing is `edited`.
  bool log_cut(std::uint64_t ring, const std::optional<cuts::Band>& edited = std::nullopt);
  /// Changes a cut of the equaliser, and what its round says, to the target's nearest setting.
  bool edit_cut(std::size_t cut, const cuts::Band& edited);
  /// Adds a cut that no ring asked for.
  bool add_cut(const cuts::Band& cut);
  bool remove_cut(std::size_t cut);
  /// Logs a round of its own kind: the chosen output was swept. Its cuts, taken to the target's
  /// nearest settings, are the whole equaliser from now on: they were planned for a flat one.
  /// False when there is no output.
  bool log_sweep(show::SweepRecord sweep);
  /// Says that it is no ring: nothing at that place (is_same_place()) is offered again in this
  /// show, on any output.
  bool dismiss(std::uint64_t ring, const std::string& reason, TimeOfDay now);
  /// Takes a dismissal back; by its index in the record.
  bool restore(std::size_t dismissal);
  /// Neither a cut nor a dismissal: offered again when it rings again.
  bool let_go(std::uint64_t ring);

  // Check and end.

  /// Something came back after a round's cut, at this fader position or at the present one. A ring
  /// that still sounds is offered again. False when no position is known, and on an ended output.
  bool mark_returned(std::size_t round, std::optional<double> fader_db = std::nullopt);
  /// Ends the output with a margin, positive, under the fader position known to ring (edge_db()),
  /// and takes a fader that is known there; false when that would be up. Keeps the advice of this
  /// moment. An output in which nothing rang is ended without a margin, where it stands.
  bool back_off(double margin_db = kBackOffDb);
  /// Where that would take the fader; nothing when no position is known to ring.
  [[nodiscard]] std::optional<double> place_db(double margin_db) const;
  /// place_db() lies above where the fader stands, as far as that is known.
  [[nodiscard]] bool would_go_up(double margin_db) const;
  /// Takes back_off() back without undoing what came after it. A cut that is logged or changed on
  /// an ended output does the same: its margin was another equaliser's.
  bool reopen();

  // The last check says what it heard, and nothing about what comes after it. A change of a fader,
  // an output, a cut or a dismissal takes it out of the record. So does every undo and redo.

  /// Seconds of sound that it takes.
  static constexpr double kCheckS = 10.0;

  /// Where every output's fader stands with the show's cuts in, as seen on a simulated stage. Empty
  /// for an output that is closed. No list at all where only the user can say it.
  void see_faders(std::optional<std::vector<std::optional<double>>> faders_db);
  /// The user says that an output is open at the place where it is left. False where it is seen,
  /// and when the fader is known to stand elsewhere.
  bool say_in_place(std::size_t output);
  /// Why an output is not in place, one sentence; empty: it is. `output` must be one.
  [[nodiscard]] std::string misplaced(std::size_t output) const;
  /// What is still missing for the last check, one sentence; empty: nothing.
  [[nodiscard]] std::string check_obstacle() const;
  /// Says in the record what the last check, all outputs open, showed, for how long, how loud and
  /// when: every ring since it was last changed anything, dismissed ones aside. False while there
  /// is a check_obstacle().
  bool log_last_check(TimeOfDay now);

  /// The margin of common practice (G. Davis, R. Jones, Sound Reinforcement Handbook, 5.3.1).
  static constexpr double kBackOffDb = 6.0;

  bool undo();
  bool redo();

  /// What undo() would take back, for its button; empty when there is nothing.
  [[nodiscard]] std::string undo_what() const {
    return is_check_newest_ ? "the last check" : history_.undo_what();
  }

  [[nodiscard]] std::string redo_what() const { return history_.redo_what(); }

  // What follows from the record and from what sounds. Nothing of it is stored.

  [[nodiscard]] Phase phase() const;
  /// What to do now, the advice and the other outputs considered: one line for the screen.
  [[nodiscard]] const char* instruction() const;
  /// One for each round of the chosen output.
  [[nodiscard]] std::vector<RoundView> rounds() const;
  /// For the chosen output.
  [[nodiscard]] Advice advice() const;
  /// Every output was ended, and there is one.
  [[nodiscard]] bool are_all_done() const;

  /// All outputs are to be open, and not the chosen one alone: for the last check, and for what has
  /// to be done again after it. Ends with an output more or less.
  [[nodiscard]] bool opens_all() const noexcept { return opens_all_; }

  /// The chosen output's equaliser: to hear it on a simulated stage, or to draw its response.
  [[nodiscard]] cuts::Setting cuts() const;
  [[nodiscard]] int bands_left() const;

 private:
  /// Which heard ring a round is of.
  struct Link {
    std::uint64_t ring = 0;
    std::size_t output = 0;
    std::size_t round = 0;
    std::uint64_t cut_tick = 0;
    std::optional<double> fader_db;  // then

    friend bool operator==(const Link&, const Link&) = default;
  };

  /// Which heard ring said that something came back, or, without a round, where it first rang.
  struct Return {
    std::uint64_t ring = 0;
    std::size_t output = 0;
    std::optional<std::size_t> round;
    double frequency_hz = 0.0;

    friend bool operator==(const Return&, const Return&) = default;
  };

  struct State {
    show::ShowRecord record;  // in the history without its check
    std::optional<std::size_t> chosen;
    std::vector<Link> links;
    std::vector<Return> returns;
    std::vector<std::uint64_t> let_go;
    std::vector<std::uint64_t> again;  // sound on in spite of their cut
    std::uint64_t done_tick = 0;       // when an output was last backed off

    [[nodiscard]] show::OutputRecord& output() { return record.outputs[*chosen]; }

    friend bool operator==(const State&, const State&) = default;
  };

  struct KeptProposal {
    ProposalInput input;
    Proposal proposal;
  };

  bool act(const std::string& what, const std::function<void(State&)>& change);
  void replace(State state);
  bool travel(bool (RingOutHistory<State>::*step)(State&));
  void observe(const std::function<void(State&)>& change);
  void void_check();
  void listen_anew();
  [[nodiscard]] static double legal_fader_db(double fader_db) noexcept;
  bool put_fader(double fader_db);
  [[nodiscard]] std::optional<Return> news_of(const CaughtRing& heard) const;
  [[nodiscard]] static bool is_refused(const State& state, const Return& news);
  void note_returns();
  static void withdraw(State& state, const std::function<bool(const Return&)>& is_meant);
  static void reopen(show::OutputRecord& output);
  [[nodiscard]] std::string displaced(std::size_t output) const;
  [[nodiscard]] std::vector<double> rang_since() const;
  [[nodiscard]] std::vector<std::string> pairs_of(const std::vector<double>& rang_hz) const;
  void refuse_words(const OutputWords& words, std::optional<std::size_t> except) const;
  void forget_rings();
  void note_end(std::uint64_t ring);
  void mark_faded(std::uint64_t ring);
  [[nodiscard]] CaughtRings::Moment moment_of(const SessionEvent& event) const noexcept;
  [[nodiscard]] std::optional<std::size_t> dismissal_at(double frequency_hz) const;
  [[nodiscard]] bool is_served(const CaughtRing& heard) const;
  [[nodiscard]] bool is_again(std::uint64_t ring) const;
  [[nodiscard]] bool is_offered(const CaughtRing& heard) const;
  [[nodiscard]] std::optional<CaughtRing> find_offered(std::uint64_t ring) const;
  [[nodiscard]] std::vector<CaughtRing> offered_rings() const;
  [[nodiscard]] const Link* link_of_round(std::size_t round) const;
  [[nodiscard]] bool was_heard_while_undoing(std::uint64_t ring) const;
  [[nodiscard]] bool was_heard_after_last_cut(const CaughtRing& heard) const;
  [[nodiscard]] std::optional<double> rang_at_db(const CaughtRing& heard) const;
  [[nodiscard]] bool is_back(const show::RoundRecord& last, const CaughtRing& heard) const;
  void let_return(State& state, const CaughtRing& heard) const;
  [[nodiscard]] ProposalInput input_for(const CaughtRing& heard) const;
  [[nodiscard]] const Proposal* proposal_for(const CaughtRing& heard) const;
  [[nodiscard]] std::optional<Proposal> final_proposal(const CaughtRing& heard,
                                                       const std::optional<cuts::Band>& edited);

  RingOutConfig config_;
  State state_;
  std::vector<std::optional<double>> faders_db_;  // of each output, as far as known
  cuts::Target target_;
  bool opens_all_ = false;  // all were done, with just these outputs
  std::uint64_t revision_ = 0;
  std::uint64_t tick_ = 0;
  RingOutHistory<State> history_;
  bool is_undoing_ = false;                         // the last that was done was undo or redo
  std::vector<std::uint64_t> heard_while_undoing_;  // rings that say nothing of a round
  bool is_check_newest_ = false;                    // nothing was done since it was logged

  // Since anything that a check vouches for was changed.
  show::Listening listening_;
  std::uint64_t listening_tick_ = 0;
  std::vector<double> rang_through_hz_;  // sounded on then, and have faded
  std::vector<bool> said_in_place_;
  std::optional<std::vector<std::optional<double>>> seen_db_;

  // A ring that began before another output was chosen is not of that one.
  double heard_s_ = 0.0;  // of the stream, at the newest moment that was told
  double chosen_at_s_ = 0.0;
  std::optional<std::size_t> chosen_before_;

  LiveRings rings_;
  CaughtRings caught_;
  std::map<std::uint64_t, KeptProposal> proposals_;
};

}  // namespace brink::show
