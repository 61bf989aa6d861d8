"""One round over a loop that really closes, on a sound server that is killed in the middle of it and started again."""

import sqlite3
import sys
import time

from jack_loop import JackLoop
from window import Window, check

PATIENCE_S = 30.0  # only ever spent when something hangs

loop = JackLoop(sys.argv[3])
loop.start_room(-12.0)
window = Window(sys.argv[1], "--input", "room", pictures=sys.argv[2], environment=loop.environment)


def wait(is_so, what):
    return window.wait_for(lambda state: is_so(state["Ring out"]), PATIENCE_S, what)["Ring out"]


def wait_for_sound():
    before = window.state()["stream_s"]
    window.wait_for(lambda state: not state["is_stage"] and state["health"] == "running" and state["stream_s"] > before + 0.5,
                    PATIENCE_S, "sound from the room")


window.wait_for(lambda state: not state["is_stage"], PATIENCE_S, "the room to be listened to")
wait_for_sound()
window.press("2")
window.press("n")
wait(lambda it: it["form"], "the form for an output")
window.press("Return")
wait(lambda it: it.get("output") == "Wedge 1", "the output")
check("fader_db" not in window.state()["Ring out"], "on a device brink does not know where the fader stands")
window.press("f")
wait(lambda it: it["form"], "the form for the fader")
window.type("-12")
window.press("Return")
wait(lambda it: it.get("fader_db") == -12.0, "the fader as it was typed")

# The hand goes up, and says so.
for fader_db in (-6.0, -3.0, 1.0):
    window.press("f")
    wait(lambda it: it["form"], "the form for the fader")
    window.type(f"{fader_db:g}")
    window.press("Return")
    wait(lambda it, at_db=fader_db: it["fader_db"] == at_db, "the fader")
    loop.set_gain(fader_db)
    time.sleep(0.8)
caught = wait(lambda it: it["phase"] == "catch" and it.get("is_fitted") and it["is_certain"] and it["takes_keys"],
              "the ring of the loop")
# The neighbours, whole turns apart, stay 0.8 dB under their brink. Equal but for the bend of the pole and of the limiter: 3 Hz.
check(abs(caught["offered_hz"] - loop.brink_hz) < 3.0, f"{caught['offered_hz']} Hz where the loop says {loop.brink_hz}")
window.press("space")
logged = wait(lambda it: it["rounds"] == 1 and it["is_logged"], "the round to be logged")
window.picture("ring-out-live")

# The server dies before the cut is in.
loop.kill_server()
window.wait_for(lambda state: state["health"] != "running", PATIENCE_S, "the input to be gone")
window.picture("ring-out-live-lost")
gone = window.wait_for(lambda state: state["level"] == "no input", PATIENCE_S, "the meter to say that nothing comes")
lost = gone["Ring out"]
check(lost["instruction"] == "Pull the fader down: brink hears nothing.", f"what to do while deaf: {lost['instruction']}")
check(lost["no_rings"] == "brink hears nothing", f"silence is no sign that nothing rings: {lost['no_rings']}")
check(lost["rounds"] == 1 and lost["is_logged"], "the round is there while the input is gone")
check("faded" not in lost["round_1"], f"a ring that went with its server was not seen to fade: {lost['round_1']}")
check(loop.start_server(), "the server starts again")
loop.start_room(-12.0)  # what rang already before it is heard has no growth to know it by
wait_for_sound()
loop.set_gain(1.0)

# The same round goes on: it rings as before, the cut goes in, the ring fades, and what was won is told.
again = wait(lambda it: it["phase"] in ("catch", "check"), "the loop to ring again")
check("hears nothing" not in again["instruction"], f"what to do once it is heard again: {again['instruction']}")
centre_hz, q, depth_db = (float(word) for word in again["round_1"].split(" dB:")[0].replace(" Hz Q", "").split())
loop.tell_room(f"cut {centre_hz} {q} {depth_db}")
window.wait_for(lambda state: not any(ring["state"] in ("building", "ringing") for ring in state["rings"]), PATIENCE_S,
                "the cut to end the ring")
window.press("f")
wait(lambda it: it["form"], "the form for the fader")
window.type("4")
window.press("Return")
window.press("r")
done = wait(lambda it: "came back 3.0 dB later" in it["round_1"] and it["is_logged"], "the round to be checked")
check(done["show_key"] == logged["show_key"], "it is the same show")
with sqlite3.connect(f"file:{window.book}?mode=ro", uri=True) as book:
    rows = book.execute("SELECT frequency_hz, rang_at_db, returned_at_db, is_cut FROM rounds").fetchall()
check(len(rows) == 1 and rows[0][1:] == (1.0, 4.0, 1), f"the round as the book has it: {rows}")
