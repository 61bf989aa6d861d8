"""How long a sweep sounds after its key is let go: from the key to the last sample that the sound server gets.

    release.py BRINK ROOM [TIMES]

The key goes up while xdotool runs, so each figure lies between two: counted from before it starts, and from after it ended. A real
window on a display without a graphics card, and a JACK server without a sound card: periods of 256 samples at 48 kHz."""

import pathlib
import statistics
import sys
import time

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parent.parent / "panel"))
from jack_loop import JackLoop  # noqa: E402
from window import Window  # noqa: E402

PATIENCE_S = 30.0

loop = JackLoop(sys.argv[2])
loop.start_room(-20.0)
loop.tell_room("open")
loop.set_gain(0.0)
window = Window(sys.argv[1], "--input", "room", environment=loop.environment)


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
at_most, at_least = [], []
for _ in range(int(sys.argv[3]) if len(sys.argv) > 3 else 25):
    window._xdotool("keydown", "space")
    wait(lambda it: it["is_playing"] and it["progress"] > 0.02, "the sweep")
    before_s = time.clock_gettime(time.CLOCK_MONOTONIC_RAW)
    window._xdotool("keyup", "space")
    after_s = time.clock_gettime(time.CLOCK_MONOTONIC_RAW)
    wait(lambda it: not it["is_playing"], "silence")
    at_most.append(heard_s() - before_s)
    at_least.append(heard_s() - after_s)
window.close()
for name, times_s in (("since before the key", at_most), ("since after the key", at_least)):
    times_ms = sorted(1000.0 * time_s for time_s in times_s)
    print(f"{name}: median {statistics.median(times_ms):.1f} ms, largest {times_ms[-1]:.1f} ms, {len(times_ms)} times")
