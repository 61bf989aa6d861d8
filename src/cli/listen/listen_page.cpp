#include "cli/listen/listen_page.h"

#include <fmt/format.h>

#include <span>
#include <utility>

#include "base/error.h"
#include "cli/output.h"
#include "cli/standard_streams.h"
#include "cuts/band.h"
#include "desk/page/kept_secret.h"
#include "io/files.h"
#include "io/page/qr_code.h"
#include "report/page/qr_text.h"
#include "show/cut_words.h"

namespace brink::cli {

void add_page(CLI::App& command, PageOptions& options) {
  command
      .add_option_function<std::string>(
          "--page",
          [&options](const std::string& where) {
            options.is_wanted = true;
            options.wish.where = where;
          },
          "Serve a page for a telephone in the local network, at this address of the machine or a "
          "likely one")
      ->type_name("[ADDRESS:PORT]")
      ->expected(0, 1)
      ->trigger_on_parse();
  command.add_flag("--page-new",
                   options.wish.is_new,
                   "With a new secret: addresses of the page from before lead nowhere");
}

void tell_page(const std::string& url, bool is_quiet) {
  if (!is_quiet && is_terminal(io::kStderr)) {
    (void)io::write_all(io::kStderr, report::qr_text(io::make_qr_code(url)));
  }
  say(fmt::format("the page is at {} for everyone in this network who knows that address.", url));
}

ListenPage::ListenPage(const PageOptions& options, const show::ChannelNames& names, bool is_quiet)
    : host_(desk::page_secret_path(), {}) {
  rings_.set_names(names);
  host_.open(options.wish);
  tell_page(host_.url(), is_quiet);
}

void ListenPage::hear(const show::SessionEvent& event) {
  if (!show::is_of_ring(event.kind)) {
    return;
  }
  const std::uint64_t id = rings_.take(event).id;
  if (event.cut) {
    cuts_[id] =
        "cut " + show::cut_words(cuts::to_band(*event.cut), cuts::Target::Kind::kParametric);
  }
  std::erase_if(cuts_, [this](const auto& cut) { return rings_.find(cut.first) == nullptr; });
}

void ListenPage::follow(listen::Session& session) {
  if (!host_.is_due()) {
    return;
  }
  const listen::Snapshot& snapshot = session.newest();
  if (snapshot.serial == 0) {
    return;
  }
  for (const listen::TapSnapshot& tap : snapshot.taps) {
    rings_.follow(tap.tap, tap.tracks);
  }
  report::PageView view;
  view.snapshot = &snapshot;
  view.names = &rings_.names();
  view.source = session.source_name();
  const double stream_s = static_cast<double>(snapshot.samples) / session.sample_rate_hz();
  for (const show::LiveRing* live : rings_.shown(stream_s)) {
    const auto cut = cuts_.find(live->id);
    view.rings.push_back(
        {live->now(), cut == cuts_.end() ? "no cut yet" : cut->second, {}, live->tap});
  }
  host_.show(view);
}

}  // namespace brink::cli
