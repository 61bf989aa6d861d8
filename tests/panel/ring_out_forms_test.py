"""What is typed while a show is rung out: names of any length are kept whole and have their place at both sizes of the window, and
a fader position that cannot be meant is refused."""

import pathlib
import sqlite3
import sys
import tempfile

from window import Window, check

PATIENCE_S = 20.0  # only ever spent when something hangs
NAMES = {"venue": "Municipal hall beside the river mill, upper room with the wooden gallery",
         "show": "Harvest night of the four choirs and the brass band from over the valley",
         "output": "Stage left side fill number two, flown above the drum riser at the back",
         "microphone": "condenser overhead pair of the drum riser behind the choir, left of two",
         "position": "downstage left corner, one metre from the edge, pointing at the curtain"}
check(all(len(name) >= 70 for name in NAMES.values()), "names of 70 letters")

folder = tempfile.TemporaryDirectory(prefix="brink-names-")
book_path = pathlib.Path(folder.name) / "book.sqlite"
window = Window(sys.argv[1], pictures=sys.argv[2], book=book_path)


def wait(is_so, what):
    return window.wait_for(lambda state: is_so(state["Ring out"]), PATIENCE_S, what)["Ring out"]


def type_all(texts):
    for index, text in enumerate(texts):
        if index > 0:
            window.press("Tab")
        window.type(text)
    window.press("Return")
    wait(lambda it: not it["form"], "the form to be taken")


def take_pictures(size):
    """Of whatever shows a name."""
    window.press("2")
    window.picture(f"names-{size}-ring-out")
    for key, page in (("o", "outputs"), ("b", "back-off"), ("m", "notes")):
        window.press(key)
        window.picture(f"names-{size}-{page}")
        window.press("Escape")
    window.press("6")
    window.wait_for(lambda state: state["Book"]["shown"], PATIENCE_S, "the show in the Book pane")
    window.picture(f"names-{size}-book")
    window.press("2")


window.press("2")
wait(lambda it: not it["is_looking"], "the book to be looked into")
window.press("v")
wait(lambda it: it["form"], "the form for venue and show")
type_all([NAMES["venue"], NAMES["show"]])
window.press("n")
wait(lambda it: it["form"], "the form for an output")
type_all([NAMES["output"], NAMES["microphone"], NAMES["position"]])
kept = wait(lambda it: it.get("output") == NAMES["output"] and it["is_logged"], "the output")
check(kept["venue"] == NAMES["venue"] and kept["show"] == NAMES["show"], "names that are shown short are kept whole")


def type_fader(text):
    window.press("f")
    wait(lambda it: it["form"], "the form for the fader")
    window.type(text)
    window.press("Return")


# The stage's fader stands at -12 dB and goes up to +12.
for typed, said in (("9999", "between -30 and +12 dB"), ("-31", "between -30 and +12 dB"), ("6", "18.0 dB up at once")):
    type_fader(typed)
    refused = wait(lambda it: it["fault"], f"{typed} to be refused")
    check(said in refused["fault"], f"what is said of {typed}: {refused['fault']}")
    window.picture("ring-out-refused")
    window.press("Escape")
    wait(lambda it: not it["form"], "the form to be given up")
    check(window.state()["fader_db"] == -12.0, f"the fader where it was after {typed}")
type_fader("-6.5")
wait(lambda it: not it["form"] and it.get("fader_db") == -6.5, "a position that can be meant")
window.wait_for(lambda state: state["fader_db"] == -6.5, PATIENCE_S, "the stage's fader to follow")

take_pictures("1280x800")
window.close()
with sqlite3.connect(f"file:{book_path}?mode=ro", uri=True) as book:
    rows = book.execute("SELECT venues.name, shows.name, outputs.name, microphone, position FROM outputs JOIN shows ON"
                        " shows.id = show_id JOIN venues ON venues.id = venue_id").fetchall()
check(rows == [tuple(NAMES.values())], f"the names as the book has them: {rows}")

window = Window(sys.argv[1], pictures=sys.argv[2], book=book_path, size=(960, 600))
window.press("2")
wait(lambda it: it.get("output") == NAMES["output"], "the show to be gone on with")
take_pictures("960x600")
