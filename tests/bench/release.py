"""How long a sweep sounds after its key is let go: from the key to the last sample that the sound server gets.

    release.py BRINK ROOM [TIMES]

The key goes up by X's own extension for tests, without another program between. A real window on a display without a graphics card, and
a JACK server without a sound card: periods of 256 samples at 48 kHz."""

import ctypes
import pathlib
import statistics
import sys
import time

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parent.parent / "panel"))
from jack_loop import JackLoop  # noqa: E402
from window import Window  # noqa: E402

PATIENCE_S = 30.0
SPACE = 0x20  # its keysym in X

loop = JackLoop(sys.argv[2])
loop.start_room(-20.0)
loop.tell_room("open")
loop.set_gain(0.0)
window = Window(sys.argv[1], "--input", "room", environment=loop.environment)


class Keyboard:
    """Of a display, with a connection of its own."""

    def __init__(self, display):
        self.x = ctypes.CDLL("libX11.so.6")
        self.test = ctypes.CDLL("libXtst.so.6")
        self.x.XOpenDisplay.restype = ctypes.c_void_p
        self.connection = ctypes.c_void_p(self.x.XOpenDisplay(display.encode()))
        self.space = self.x.XKeysymToKeycode(self.connection, ctypes.c_ulong(SPACE))

    def space_is(self, is_down):
        """Returns when the server has done it."""
        self.test.XTestFakeKeyEvent(self.connection, self.space, is_down, ctypes.c_ulong(0))
        self.x.XSync(self.connection, 0)


def wait(is_so, what):
    return window.wait_for(lambda state: is_so(state["Sweep"]), PATIENCE_S, what)["Sweep"]


def heard_s():
    return int(loop.tell_room("heard").split()[1]) * 1e-6


window.wait_for(lambda state: not state["is_stage"] and state["health"] == "running", PATIENCE_S, "the room to be listened to")
window.press("7")
window.wait_for(lambda state: state["pane"] == "Sweep", PATIENCE_S, "the pane")
window.press("d")
wait(lambda it: it["form"], "the form")
window.press("Tab", times=3)
window.type("room")
window.press("Return")
wait(lambda it: not it["form"], "the output to be taken")
window.press("c")
wait(lambda it: it["is_shut"], "the user's word")
keyboard = Keyboard(window.display)
times_ms = []
while len(times_ms) < (int(sys.argv[3]) if len(sys.argv) > 3 else 25):
    keyboard.space_is(True)
    begun = wait(lambda it: it["is_playing"] and it["progress"] > 0.02 or "samples were lost" in it["fault"], "the sweep")
    if not begun["is_playing"]:  # a busy machine: brink ended the sweep by itself
        keyboard.space_is(False)
        continue
    released_s = time.clock_gettime(time.CLOCK_MONOTONIC_RAW)
    keyboard.space_is(False)
    wait(lambda it: not it["is_playing"], "silence")
    times_ms.append(1000.0 * (heard_s() - released_s))
window.close()
times_ms.sort()
print(f"from the key to silence: median {statistics.median(times_ms):.1f} ms, largest {times_ms[-1]:.1f} ms, "
      f"{sum(time_ms <= 20.0 for time_ms in times_ms)} of {len(times_ms)} within 20 ms")
