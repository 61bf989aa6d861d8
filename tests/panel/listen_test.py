"""Start on the stage, raise the gain, see the ring flagged, put the cut in, see it fade."""

import os
import subprocess
import sys

from window import Window, check, loudest_state

# Without a display `brink` says so in one sentence.
bare = {name: value for name, value in os.environ.items() if name not in ("DISPLAY", "WAYLAND_DISPLAY")}
refused = subprocess.run([sys.argv[1]], env=bare, capture_output=True, text=True, timeout=30)
check(refused.returncode == 2 and not refused.stdout, "no display: status 2 and nothing on stdout")
check(refused.stderr.count("\n") == 1 and "no window can be opened" in refused.stderr, "no display: one sentence")

window = Window(sys.argv[1], pictures=sys.argv[2])
start = window.state()
check(start["pane"] == "Listen" and start["is_stage"], "the first run starts on the simulated stage")
check(start["fader_db"] == -12.0, "the fader starts low")
check(not start["rings"], "nothing rings yet")
# The stage's fader by the mouse: its way is 546 pixels for 42 dB, and at -12 dB the handle stands at 938.
window.click(1200, 637)
check(window.state()["fader_db"] == -12.0, "a click beside the handle moves nothing")
window.drag((938, 637), (886, 637))
window.wait_for(lambda state: state["fader_db"] == -16.0, 5, "the fader to be dragged down by 4 dB")
window.wheel(938, 637, 4)
window.wait_for(lambda state: state["fader_db"] == -12.0, 5, "the wheel to step it up again")
# What would ring next is foreseen from the stage's voice while nothing rings. 18 s of sound are the least.
check(start["forecast"] in ("", "next: not enough heard to tell"), "no forecast at once")
window.press("Up", times=8, pause_s=0.2)
window.wait_for(lambda state: state["fader_db"] == -4.0, 10, "the fader at -4 dB")
# The stage's voice does not always tell. What is told is compared with known loops in loop_watch_test.
foreseen = window.wait_for(lambda state: "dB left" in state["forecast"] or "does not tell" in state["forecast"],
                           90, "a forecast, or that there is none")
check(not foreseen["rings"] and foreseen["announcement"] == start["announcement"], "a forecast is no ring")
window.picture("listen-forecast")
window.press("Up", times=5, pause_s=0.2)
window.wait_for(lambda state: state["fader_db"] == 1.0, 10, "the fader at +1 dB")
rung = window.wait_for(lambda state: loudest_state(state, "ringing"), 60, "a ring to be flagged")
window.picture("listen-ringing")
ring = next(ring for ring in rung["rings"] if ring["state"] == "ringing")
check(ring["cuts"], "a ringing row proposes a cut")
for cut in ring["cuts"]:
    check(abs(cut["centre_hz"] / ring["frequency_hz"] - 1.0) < 0.03, "the cut lies at the ring")

window.press("h")
window.wait_for(lambda state: state["hides_answers"], 5, "the answers to be hidden")
window.picture("listen-hidden")
window.press("h")

window.press("space")
window.wait_for(lambda state: state["equaliser"] and state["has_cuts_in"], 5, "the cut to be in")
window.wait_for(lambda state: not any(one["id"] == ring["id"] and one["state"] in ("building", "ringing")
                                      for one in state["rings"]), 20, "the ring to fade")
window.picture("listen-cut")

for key, name in (("question", "help"), ("e", "exposure-guide"), ("t", "targets"), ("i", "inputs")):
    window.press(key)
    window.wait_for(lambda state: state["overlay"] != 0, 5, name)
    window.picture(name)
    window.press("Escape")
    window.wait_for(lambda state: state["overlay"] == 0, 5, name + " to close")

window.press("t")
window.press("Down", times=2)
window.press("Return")
window.wait_for(lambda state: state["target"] == "third-octave", 5, "the graphic to be the target")
