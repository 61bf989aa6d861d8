"""A sweep of a room whose brink is known, on a sound server, by a key that is held."""

import sys

from jack_loop import DELAY_SAMPLES, SAMPLE_RATE_HZ, JackLoop
from window import Window, check

SOUND_M_PER_S = 343.2  # as loop::kSoundSpeedMps

loop = JackLoop(sys.argv[3])
loop.start_room(-20.0)
loop.tell_room("open")  # the microphone's way to the loudspeaker
loop.set_gain(0.0)
window = Window(sys.argv[1], "--input", "room", pictures=sys.argv[2], environment=loop.environment)


def wait(is_so, seconds, what):
    return window.wait_for(lambda state: is_so(state["Sweep"]), seconds, what)["Sweep"]


def fill(text):
    window.type(text)
    window.press("Tab")


window.wait_for(lambda state: not state["is_stage"] and state["health"] == "running", 30, "the room to be listened to")
window.press("7")
window.wait_for(lambda state: state["pane"] == "Sweep", 5, "the pane")
window.picture("sweep-device-before")
window.press("d")
wait(lambda it: it["form"], 5, "the form")
fill("0")  # the console's delay
fill("")  # its gain
fill(f"{DELAY_SAMPLES / SAMPLE_RATE_HZ * SOUND_M_PER_S:.4f}")
fill("room")
window.press("Tab", times=3)
window.press("BackSpace")
fill("2")  # seconds of each sweep
window.press("BackSpace")
window.type("0.5")
window.press("Return")
set_up = wait(lambda it: not it["form"] or it["form_fault"], 5, "what is known to be taken")
check(abs(set_up["length_s"] - 5.5) < 1e-9, f"the lengths: {set_up}")
window.press("c")
wait(lambda it: it["is_shut"], 5, "the user's word")


def hold(is_so, seconds, what):
    """Holds the key until it is so. A machine under load loses samples; the pane says so, and the user holds again."""
    for _ in range(5):
        window._xdotool("keydown", "space")
        wait(lambda it: "samples were lost" not in it["fault"], 5, "the key to be taken")
        it = wait(lambda it: is_so(it) or "samples were lost" in it["fault"], seconds, what)
        if is_so(it):
            return it
        window._xdotool("keyup", "space")
        wait(lambda it: not it["is_playing"], 5, "silence")
    check(False, f"{what}: the machine lost samples five times")


hold(lambda it: it["is_playing"] and it["progress"] > 0.1, 30, "the sweep")
window._xdotool("keyup", "space")
early = wait(lambda it: not it["is_playing"] and it["fault"], 5, "silence")
check(early["reports"] == 0, "what was let go early is not measured")

done = hold(lambda it: it["reports"] == 1, 60, "the measurement")
window._xdotool("keyup", "space")
check(done["delay_known"], "distance and console delay tell all of the delay")
# The limits of `brink sweep` in tests/live/sweep_live_test.cpp.
check(abs(done["stable_gain_db"]) < 0.5, f"the room stands at its brink: {done['stable_gain_db']} dB")
check(abs(done["first_hz"] / loop.brink_hz - 1.0) < 0.005, f"{done['first_hz']} Hz where the loop says {loop.brink_hz}")
window.picture("sweep-device")
