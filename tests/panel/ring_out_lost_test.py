"""The sound server is killed in every state of a round, and started again: each time the window says that it hears nothing,
goes on where it was, and the book has what was logged. (ring_out_live_test.py kills it once more, while a cut is checked.)"""

import sqlite3
import sys

from live_round import LiveRound
from window import check

flow = LiveRound(sys.argv[1], sys.argv[2], sys.argv[3])
window = flow.window


def lose_in(phase):
    before = window.state()["Ring out"]
    check(before["phase"] == phase, f"{before['phase']} where {phase} was to be")
    gone = flow.lose_server()
    back = flow.regain_server()
    for state in (gone, back):
        check(state["output"] == "Wedge 1" and state["rounds"] == before["rounds"], f"{phase}: the output is as it was")
        check(state["is_logged"], f"{phase}: what was logged is kept")
    return back


lose_in("prepare")
window.press("p", times=5, pause_s=0.1)
flow.wait(lambda it: it["prepared"] == 5 and it["phase"] == "raise", "the checklist to be ticked")
back = lose_in("raise")
check(back["phase"] == "raise" and back["prepared"] == 5, "raised on, with the checklist as it was")

flow.type_fader(-12.0)
flow.raise_fader(-6.0, -3.0, 1.0)
flow.wait_for_catch()
lose_in("catch")
# It was a ring, and can be logged although it is over; here it is caught again.
flow.loop.set_gain(1.0)
flow.wait_for_catch()
window.press("space")
logged = flow.wait(lambda it: it["rounds"] == 1 and it["is_logged"], "the round to be logged")
flow.loop.set_gain(-12.0)
flow.wait(lambda it: it["phase"] == "raise", "the ring to be over")

window.press("b")
flow.wait(lambda it: it["form"], "the form for backing off")
window.press("Return")
flow.wait(lambda it: it["phase"] == "done" and it["is_logged"], "the output to be done")
back = lose_in("done")
check(back["phase"] == "done", f"still done: {back['phase']}")
check(back["show_key"] == logged["show_key"], "it is the same show")
with sqlite3.connect(f"file:{window.book}?mode=ro", uri=True) as book:
    rounds = book.execute("SELECT count(*) FROM rounds WHERE is_cut = 1").fetchone()[0]
    ended = book.execute("SELECT count(*) FROM outputs WHERE is_ended = 1").fetchone()[0]
check((rounds, ended) == (1, 1), f"rounds and outputs that are done, as the book has them: {rounds}, {ended}")
