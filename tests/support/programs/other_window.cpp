// Another program's window on the same X display, such as a file manager's.
//
//   other_window                      stays until it is ended
//   other_window WINDOW X Y PATH...   drags the files to that place on the screen and drops them
//
// The drag follows the freedesktop.org drag-and-drop protocol, version 5. WINDOW lies at that
// place. Prints the result: "accepted", "refused" (before or after the drop), "unaware" (the window
// takes no drops), or "no answer".
#include <X11/Xatom.h>
#include <X11/Xlib.h>
#include <poll.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <chrono>
#include <cstdlib>
#include <filesystem>
#include <functional>
#include <iostream>
#include <optional>
#include <string>

namespace {

using Clock = std::chrono::steady_clock;

constexpr std::chrono::seconds kPatience{10};  // used up only when the other side hangs
constexpr long kVersion = 5;
/// More types than the three that fit into an XdndEnter, with files last. So the whole list has to
/// be read.
constexpr std::array kTypes{
    "UTF8_STRING", "text/plain;charset=utf-8", "text/plain", "text/uri-list"};

/// In the form of RFC 3986: every byte except letters, digits and "-._~/" is in hexadecimal.
std::string to_uri(const std::string& path) {
  constexpr const char* kDigits = "0123456789ABCDEF";
  std::string uri = "file://";
  for (const char letter : std::filesystem::absolute(path).string()) {
    const auto byte = static_cast<unsigned char>(letter);
    const bool is_plain = byte < 128 && (std::isalnum(byte) != 0 ||
                                         std::string("-._~/").find(letter) != std::string::npos);
    uri += is_plain ? std::string(1, letter)
                    : std::string{'%', kDigits[byte / 16], kDigits[byte % 16]};
  }
  return uri;
}

class OtherWindow {
 public:
  explicit OtherWindow(Display* display) : display_(display) {
    window_ = XCreateSimpleWindow(display_, DefaultRootWindow(display_), 0, 0, 300, 200, 0, 0, 0);
    XStoreName(display_, window_, "another");
    XSelectInput(display_, window_, PropertyChangeMask);
    XMapWindow(display_, window_);
    XFlush(display_);
  }

  ~OtherWindow() { XCloseDisplay(display_); }

  OtherWindow(const OtherWindow&) = delete;
  OtherWindow& operator=(const OtherWindow&) = delete;
  OtherWindow(OtherWindow&&) = delete;
  OtherWindow& operator=(OtherWindow&&) = delete;

  void stand() {
    while (true) {
      next_event(std::chrono::hours(1));
    }
  }

  std::string drop(Window target, long x, long y, const std::string& uris) {
    if (!is_aware(target)) {
      return "unaware";
    }
    const Time now = server_time();
    XSetSelectionOwner(display_, atom("XdndSelection"), window_, now);
    std::array<Atom, kTypes.size()> types{};
    std::transform(kTypes.begin(), kTypes.end(), types.begin(), [this](const char* type) {
      return atom(type);
    });
    set_property(window_, atom("XdndTypeList"), XA_ATOM, 32, types.data(), types.size());
    constexpr long kHasMoreTypes = 1;
    send(target,
         "XdndEnter",
         {kVersion << 24 | kHasMoreTypes,
          static_cast<long>(types[0]),
          static_cast<long>(types[1]),
          static_cast<long>(types[2])});
    const auto time = static_cast<long>(now);
    send(target, "XdndPosition", {0, x << 16 | y, time, static_cast<long>(atom("XdndActionCopy"))});
    const auto status = answer("XdndStatus", uris);
    if (!status.value_or(false)) {
      send(target, "XdndLeave", {0, 0, 0, 0});
      return status ? "refused" : "no answer";
    }
    send(target, "XdndDrop", {0, time, 0, 0});
    const auto finished = answer("XdndFinished", uris);
    return !finished ? "no answer" : *finished ? "accepted" : "refused";
  }

 private:
  Atom atom(const char* name) { return XInternAtom(display_, name, False); }

  template <typename Item>
  void set_property(
      Window owner, Atom name, Atom type, int bits, const Item* items, std::size_t count) {
    XChangeProperty(display_,
                    owner,
                    name,
                    type,
                    bits,
                    PropModeReplace,
                    reinterpret_cast<const unsigned char*>(items),
                    static_cast<int>(count));
  }

  bool is_aware(Window target) {
    Atom type = None;
    int bits = 0;
    unsigned long count = 0;
    unsigned long left = 0;
    unsigned char* version = nullptr;
    XGetWindowProperty(display_,
                       target,
                       atom("XdndAware"),
                       0,
                       1,
                       False,
                       XA_ATOM,
                       &type,
                       &bits,
                       &count,
                       &left,
                       &version);
    const bool is_spoken =
        count == 1 && bits == 32 && *reinterpret_cast<const Atom*>(version) >= Atom{kVersion};
    XFree(version);
    return is_spoken;
  }

  /// Sends a client message with this window first and four more numbers.
  void send(Window target, const char* type, const std::array<long, 4>& words) {
    XEvent event{};
    event.xclient.type = ClientMessage;
    event.xclient.window = target;
    event.xclient.message_type = atom(type);
    event.xclient.format = 32;
    event.xclient.data.l[0] = static_cast<long>(window_);
    std::copy(words.begin(), words.end(), &event.xclient.data.l[1]);
    XSendEvent(display_, target, False, NoEventMask, &event);
    XFlush(display_);
  }

  std::optional<XEvent> next_event(Clock::duration longest) {
    if (XPending(display_) == 0) {
      pollfd from{ConnectionNumber(display_), POLLIN, 0};
      const auto ms = std::chrono::duration_cast<std::chrono::milliseconds>(longest).count();
      poll(&from, 1, static_cast<int>(ms));
      if (XPending(display_) == 0) {
        return std::nullopt;
      }
    }
    XEvent event;
    XNextEvent(display_, &event);
    return event;
  }

  std::optional<XEvent> wait_for(const std::function<bool(const XEvent&)>& is_it) {
    const auto end = Clock::now() + kPatience;
    while (Clock::now() < end) {
      const auto event = next_event(std::chrono::milliseconds(100));
      if (event && is_it(*event)) {
        return event;
      }
    }
    return std::nullopt;
  }

  /// The server's present time, from a change that it reports.
  Time server_time() {
    set_property(window_, atom("NOW"), XA_STRING, 8, "", 0);
    const auto changed = wait_for([this](const XEvent& event) {
      return event.type == PropertyNotify && event.xproperty.atom == atom("NOW");
    });
    return changed ? changed->xproperty.time : CurrentTime;
  }

  /// Whether the target says yes in that message. Hands out the files in the meantime.
  std::optional<bool> answer(const char* type, const std::string& uris) {
    const auto message = wait_for([&](const XEvent& event) {
      if (event.type == SelectionRequest) {
        hand_out(event.xselectionrequest, uris);
      }
      return event.type == ClientMessage && event.xclient.message_type == atom(type);
    });
    // Yes is the lowest bit. In an XdndFinished, GLFW 3.3 puts the length of the list there.
    constexpr long kAnyBit = -1;
    const long bits = type == std::string("XdndFinished") ? kAnyBit : 1;
    return message ? std::optional((message->xclient.data.l[1] & bits) != 0) : std::nullopt;
  }

  void hand_out(const XSelectionRequestEvent& asked, const std::string& uris) {
    XEvent event{};
    event.xselection.type = SelectionNotify;
    event.xselection.requestor = asked.requestor;
    event.xselection.selection = asked.selection;
    event.xselection.target = asked.target;
    event.xselection.time = asked.time;
    if (asked.target == atom("text/uri-list")) {
      event.xselection.property = asked.property;
      set_property(asked.requestor, asked.property, asked.target, 8, uris.data(), uris.size());
    }
    XSendEvent(display_, asked.requestor, False, NoEventMask, &event);
    XFlush(display_);
  }

  Display* display_;
  Window window_ = None;
};

}  // namespace

int main(int argc, char** argv) {
  Display* const display = XOpenDisplay(nullptr);
  if (display == nullptr) {
    std::cerr << "other_window: there is no display.\n";
    return 2;
  }
  OtherWindow other(display);
  if (argc == 1) {
    other.stand();
  }
  if (argc < 5) {
    std::cerr << "other_window: WINDOW X Y PATH... are wanted, or nothing.\n";
    return 2;
  }
  std::string uris;
  for (int i = 4; i < argc; ++i) {
    uris += to_uri(argv[i]) + "\r\n";
  }
  std::cout << other.drop(std::strtoul(argv[1], nullptr, 10),
                          std::strtol(argv[2], nullptr, 10),
                          std::strtol(argv[3], nullptr, 10),
                          uris)
            << '\n';
  return 0;
}
