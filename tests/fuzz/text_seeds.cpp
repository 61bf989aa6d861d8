#include <chrono>
#include <cmath>
#include <filesystem>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "desk/microphones.h"
#include "desk/page/kept_secret.h"
#include "desk/recording_marks.h"
#include "desk/settings.h"
#include "fuzz/seeds.h"
#include "io/sound_file.h"
#include "listen/analysis.h"
#include "report/analysis/analysis_json.h"
#include "report/book/book_json.h"
#include "support/book_samples.h"
#include "support/files.h"
#include "support/simulated_console.h"
#include "support/sounds.h"

namespace brink::fuzz {
namespace {

/// One target's folder.
class Folder {
 public:
  Folder(const std::string& root, const char* target) : path_(root + "/" + target + "/") {
    std::filesystem::create_directories(path_);
  }

  void write(const char* name, std::string_view bytes) const {
    tests::write_bytes(path_ + name, bytes);
  }

 private:
  std::string path_;
};

void make_targets(const Folder& folder) {
  folder.write("desk",
               "# the monitor desk\nname = monitor desk\nabout = four bands\nkind = parametric\n"
               "bands = 4\nfrequency = 40:16000\nfrequency_steps_per_octave = 24\nq = 0.7:10\n"
               "deepest = -15\ndepth_step = 0.5\nhigh_pass = 40:400\n");
  folder.write("linked", tests::linked_target_text());
  folder.write("midi",
               "kind = graphic\nspacing = octave\nfrequency = 125:250\nhigh_pass = 40:400\n"
               "link = midi\nconsole = Larkfield\nanswers = told\n"
               "fader = channel 1 controller 7 fine 39\n"
               "fader_scale = table whole 0:-90 8192:-10 16383:10\n"
               "band_depth = channel 1 controller <20>\n"
               "band_depth_scale = table whole 0:-15 64:0 127:15\n");
}

void make_loops(const Folder& folder) {
  std::string rows = "# frequency_hz, gain_db, phase_deg\n";
  for (int i = 1; i <= 60; ++i) {
    rows += std::to_string(25 * i) + ", " + std::to_string(-12.0 + std::sin(0.5 * i)) + ", " +
            std::to_string(std::remainder(-90.0 * i, 360.0)) + "\n";
  }
  folder.write("rows", rows);
  folder.write("blanks", "0 -120 0\n12.5\t-6\t90\r\n25;-6;180\n37.5 -6e0 270\n");
}

void make_scenarios(const Folder& folder) {
  folder.write("two",
               "# two\ntitle Larkfield\ntext words\n\nclip one\nkind ring\nabout Ida.\n"
               "options --room-size 14x9x4 --t60 0.8 --distance 1.5 --angle 120\n"
               "options --programme silence --gain -6:1.5 --ramp 1:7 --length 12 --seed 11\n"
               "clip two\nkind none\nabout Wren.\n"
               "options --programme music --swing 4 --walk 2:12 --cut 2631:8:-6\n");
  folder.write("one", "clip a\noptions --pattern omni --steps 5 --tap listener --t60-low 2\n");
}

void make_books(const Folder& folder) {
  folder.write("show", report::show_json(tests::sample_show(1, 2, 2)));
  folder.write("both",
               report::show_json(tests::sample_show(2, 1, 1)) +
                   report::score_json(tests::sample_guess(1)) +
                   report::score_json(tests::sample_guess(2)));
}

void make_analyses(const Folder& folder, const std::string& sound_path) {
  tests::RingSound ring;
  {
    std::filesystem::remove(sound_path);  // of an earlier run
    io::SoundWriter writer(sound_path, ring.sample_rate_hz, 2, io::SampleFormat::kInt16);
    const std::vector<float> samples = ring.samples();
    const std::vector<std::span<const float>> both{samples, samples};
    writer.write(both);
    writer.close();
  }
  io::SoundReader reader(sound_path);
  const listen::Analysis analysis =
      listen::analyse(reader, listen::AnalysisOptions{}, [](double) { return true; });
  std::filesystem::remove(sound_path);
  folder.write("rings", report::report_json(analysis, false));
  folder.write("all", report::report_json(analysis, true));
}

/// The first byte says which kind of file it is.
void make_kept_files(const Folder& folder) {
  const tests::TemporaryDirectory kept;
  const auto copy = [&](const char* name, char kind) {
    folder.write(name, std::string(1, kind) + tests::read_bytes(kept / name));
  };
  desk::Settings settings;
  settings.venue = "Larkfield Hall";
  settings.taps = {1, 3};
  settings.channel_names = "1 vocal\n3 output wedge 1\n";
  desk::save_settings(kept / "settings.json", settings);
  copy("settings.json", '\0');
  desk::CalibratedMicrophone microphone;
  microphone.input = "front";
  microphone.date = "2026-05-01";
  microphone.calibration.response = {{100.0, -1.0}, {1000.0, 0.0}, {10000.0, 2.0}};
  desk::remember_microphone(kept / "microphones.json", microphone);
  copy("microphones.json", '\1');
  folder.write("response.txt", "\2* front microphone\n20 -3.5\n1000, 0\n16000;+2.25\n");
  desk::save_marks(kept / "marks.json", {"note", {{1, 2631.4, 10.5, true, "bell"}}});
  copy("marks.json", '\3');
  (void)desk::keep_page_secret(kept / "page.json", std::chrono::system_clock::now(), true);
  copy("page.json", '\4');
}

void make_channel_names(const Folder& folder) {
  folder.write("names", "# desk\n3 vocal left\n17 output wedge 1\n4\n");
  folder.write("ixml",
               "<?xml version=\"1.0\" encoding=\"UTF-8\"?><BWFXML><TRACK_LIST><TRACK>"
               "<INTERLEAVE_INDEX>2</INTERLEAVE_INDEX><NAME>output wedge &amp; fill</NAME></TRACK>"
               "</TRACK_LIST></BWFXML>");
}

}  // namespace

void make_text_seeds(const std::string& root) {
  make_targets({root, "target"});
  make_loops({root, "loop_gain"});
  make_scenarios({root, "scenarios"});
  make_books({root, "book"});
  make_analyses({root, "analysis"}, root + "/sound.wav");
  make_kept_files({root, "kept_file"});
  make_channel_names({root, "channel_names"});
}

}  // namespace brink::fuzz
