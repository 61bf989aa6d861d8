#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "show/show_record.h"

namespace brink::tests {

/// What may be claimed of an evening, from nothing but what was done and heard: faders that a hand
/// moved, rings that became certain, seconds of sound. It knows no rule of ringing out. Whatever
/// a show says must lead back to an event in here.
class ClaimsModel {
 public:
  struct Ring {
    std::uint32_t id = 0;
    double frequency_hz = 0.0;
    std::string flagged_at;  ///< of the event that made it certain; empty: it only builds
    std::string output;      ///< open then
    bool rings = false;      ///< neither fading nor gone
    bool is_over = false;
    int caught = 0;   ///< moment
    int stopped = 0;  ///< moment when it began to fade; 0: not yet
  };

  // What was done.

  /// Anything but words was changed: what was listened to before counts no more.
  void change();
  /// Nothing was changed, but what was listened to is of something else.
  void listen_anew();
  void move_fader(const std::string& output, double fader_db);

  void forget_faders() { faders_db_.clear(); }

  /// The user said that it is; what was listened to before may have been with it elsewhere.
  void say_in_place(const std::string& output);

  /// It is seen to be, or not.
  void see_in_place(const std::string& output, bool is_in_place) {
    in_place_[output] = is_in_place;
  }

  void log_cut(const std::string& output, const std::string& flagged_at);
  void mark_returned(const std::string& output, double fader_db);

  /// A check was logged just now: what it claims and was not so; empty: all of it was.
  [[nodiscard]] std::string check(const show::ShowRecord& show);

  void restart();

  // What was heard.

  void certain(std::uint32_t id, double frequency_hz, std::string flagged_at, std::string output);
  void stopped(std::uint32_t id, bool is_over);
  void lost_input();
  void sound(double passed_s, double peak_dbfs, const std::string& output);

  [[nodiscard]] std::optional<double> fader_db(const std::string& output) const;

  [[nodiscard]] double sound_s() const { return sound_s_; }

  [[nodiscard]] const std::vector<Ring>& rings() const { return rings_; }

  /// All that a last check needs but its seconds of sound.
  [[nodiscard]] bool is_all_in_place(const show::ShowRecord& show) const;

  /// The first claim of the record that leads back to nothing; empty: there is none.
  [[nodiscard]] std::string fault_in(const show::ShowRecord& show) const;

 private:
  struct Place {
    std::string output;
    double fader_db = 0.0;
    int moment = 0;
    double frequency_hz = 0.0;    ///< of the ring; 0: the user said it
    std::string flagged_at = {};  ///< of the ring
    bool is_fresh = true;         ///< since the last restart, so that a dismissal can take it back
  };

  struct Cut {
    std::string output;
    std::string flagged_at;
    int moment = 0;
  };

  [[nodiscard]] bool is_place(const show::ShowRecord& show,
                              const std::string& output,
                              double fader_db,
                              int after) const;
  [[nodiscard]] std::string fault_in(const show::ShowRecord& show,
                                     const show::OutputRecord& output) const;
  [[nodiscard]] bool was_faded(const std::string& flagged_at) const;
  [[nodiscard]] int cut_moment(const std::string& output, const std::string& flagged_at) const;

  int now_ = 0;
  std::map<std::string, double> faders_db_;
  std::map<std::string, bool> in_place_;
  std::vector<Ring> rings_;
  std::vector<Place> places_;
  std::vector<Cut> cuts_;
  std::vector<std::string> faded_;  // flagged_at of rings that faded with the fader up
  std::map<std::string, std::vector<double>> tried_db_;
  int changed_ = 0;
  double sound_s_ = 0.0;
  double loudest_dbfs_ = -1000.0;
  std::optional<show::CheckRecord> checked_;  // and nothing was changed after it
};

}  // namespace brink::tests
