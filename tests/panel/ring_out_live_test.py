"""One round over a loop that really closes, on a sound server that is killed in the middle of it and started again."""

import sqlite3
import sys

from live_round import LiveRound
from window import check

flow = LiveRound(sys.argv[1], sys.argv[2], sys.argv[3])
loop, window = flow.loop, flow.window
check("fader_db" not in window.state()["Ring out"], "on a device brink does not know where the fader stands")
flow.type_fader(-12.0)
flow.raise_fader(-6.0, -3.0, 1.0)
caught = flow.wait_for_catch()
# The neighbours, whole turns apart, stay 0.8 dB under their brink. Equal but for the bend of the pole and of the limiter: 3 Hz.
check(abs(caught["offered_hz"] - loop.brink_hz) < 3.0, f"{caught['offered_hz']} Hz where the loop says {loop.brink_hz}")
window.press("space")
logged = flow.wait(lambda it: it["rounds"] == 1 and it["is_logged"], "the round to be logged")
window.picture("ring-out-live")

# The server dies before the cut is in.
lost = flow.lose_server()
window.picture("ring-out-live-lost")
check(lost["rounds"] == 1 and lost["is_logged"], "the round is there while the input is gone")
check("faded" not in lost["round_1"], f"a ring that went with its server was not seen to fade: {lost['round_1']}")
flow.regain_server()
loop.set_gain(1.0)

# The same round goes on: it rings as before, the cut goes in, the ring fades, and what was won is told.
again = flow.wait(lambda it: it["phase"] in ("catch", "check"), "the loop to ring again")
centre_hz, q, depth_db = (float(word) for word in again["round_1"].split(" dB:")[0].replace(" Hz Q", "").split())
loop.tell_room(f"cut {centre_hz} {q} {depth_db}")
window.wait_for(lambda state: not any(ring["state"] in ("building", "ringing") for ring in state["rings"]), 30.0,
                "the cut to end the ring")
flow.type_fader(4.0)
window.press("r")
done = flow.wait(lambda it: "came back 3.0 dB later" in it["round_1"] and it["is_logged"], "the round to be checked")
check(done["show_key"] == logged["show_key"], "it is the same show")
with sqlite3.connect(f"file:{window.book}?mode=ro", uri=True) as book:
    rows = book.execute("SELECT frequency_hz, rang_at_db, returned_at_db, is_cut FROM rounds").fetchall()
check(len(rows) == 1 and rows[0][1:] == (1.0, 4.0, 1), f"the round as the book has it: {rows}")
