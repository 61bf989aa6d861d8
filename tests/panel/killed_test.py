"""The window is killed at random instants while a show is noted down: whatever it had said was logged is in the book, and the book
is sound. BRINK_BOOK_KILLS=300 is the long form."""

import os
import random
import sqlite3
import subprocess
import sys
import time

from window import Window, check

PATIENCE_S = 30.0  # only ever spent when something hangs
LONG_NOTE = 150  # a line of text takes 400 letters
KILLS = int(os.environ.get("BRINK_BOOK_KILLS", "8"))

random.seed(20261125)
window = Window(sys.argv[1], pictures=sys.argv[2])


def flow():
    return window.state()["Ring out"]


def begin():
    window.press("2")
    window.wait_for(lambda state: state["pane"] == "Ring out" and not state["Ring out"]["is_looking"], PATIENCE_S, "the book")


def note_on(end):
    """Adds a letter to the note, and again, until the time is over."""
    while time.monotonic() < end:
        subprocess.run(["xdotool", "key", "--delay", "10", "m", "Tab", "End", random.choice("abcdefgh"), "Return"],
                       env=window.environment, check=True)


def kept():
    with sqlite3.connect(f"file:{window.book}?mode=ro", uri=True) as book:
        check(book.execute("PRAGMA integrity_check").fetchall() == [("ok",)], "a sound file")
        shows = book.execute("SELECT note FROM shows").fetchall()
        check(len(shows) == 1, f"one show: {shows}")
        return shows[0][0]


begin()
window.press("n")
window.wait_for(lambda state: state["Ring out"]["form"], PATIENCE_S, "the form for an output")
window.press("Return")
window.wait_for(lambda state: state["Ring out"].get("output") and state["Ring out"]["is_logged"], PATIENCE_S, "the first output")
told = ""
more = count = 0
for _ in range(KILLS):
    note_on(time.monotonic() + random.uniform(0.0, 1.5))
    window.kill()
    said = flow()  # the last that it showed
    if said["is_logged"] and len(said["note"]) > len(told):
        count += len(said["note"]) - len(told)
        told = said["note"]
        more += 1
    note = kept()
    check(note.startswith(told), f"what was said to be logged, {told!r}, is kept: {note!r}")
    told = note
    window.open()
    begin()
    found = flow()
    check(found["was_found"] and found["note"] == note, f"the show is gone on with: {found['note']!r} for {note!r}")
    if len(told) > LONG_NOTE:
        subprocess.run(["xdotool", "key", "--delay", "2", "m", "Tab", "End", *["BackSpace"] * len(told), "Return"],
                       env=window.environment, check=True)
        window.wait_for(lambda state: state["Ring out"]["note"] == "" and state["Ring out"]["is_logged"], PATIENCE_S, "no note")
        told = ""
print(f"{KILLS} kills, {more} after something more was logged, {count} notes")
check(more > KILLS // 4, "most kills came after something was logged")
