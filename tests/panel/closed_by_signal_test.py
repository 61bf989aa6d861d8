"""A signal closes the window as its own button does: with status 0, settings kept, and the whole book in its one file."""

import json
import pathlib
import shutil
import signal
import sqlite3
import sys

from window import Window, check

PATIENCE_S = 30.0  # only ever spent when something hangs

window = Window(sys.argv[1], pictures=sys.argv[2])
settings_file = window.folder / "config" / "brink" / "settings.json"


def to_ring_out():
    window.press("2")
    window.wait_for(lambda state: state["pane"] == "Ring out" and not state["Ring out"]["is_looking"], PATIENCE_S, "the book")


def shows_in_a_copy():
    copy = shutil.copy(window.book, window.folder / "copy.sqlite")
    with sqlite3.connect(f"file:{copy}?immutable=1", uri=True) as book:
        check(book.execute("PRAGMA integrity_check").fetchall() == [("ok",)], "a sound file")
        return book.execute("SELECT count(*) FROM outputs").fetchone()[0]


for row, number in enumerate((signal.SIGINT, signal.SIGTERM, signal.SIGHUP), start=1):
    to_ring_out()
    if number == signal.SIGINT:
        window.press("n")
        window.wait_for(lambda state: state["Ring out"]["form"], PATIENCE_S, "the form for an output")
        window.press("Return")
        window.wait_for(lambda state: state["Ring out"].get("output") and state["Ring out"]["is_logged"], PATIENCE_S, "the output")
    window.press("1")
    window.wait_for(lambda state: state["pane"] == "Listen", PATIENCE_S, "the pane with the target")
    target = window.state()["target"]
    window.press("t")
    window.wait_for(lambda state: state["target_picker"]["target_count"] > 1, PATIENCE_S, "the list of targets")
    window.press("Down", times=row)
    window.press("Return")
    chosen = window.wait_for(lambda state: state["target"] != target, PATIENCE_S, "another target, which is a setting")["target"]
    window.program.send_signal(number)
    check(window.program.wait(timeout=PATIENCE_S) == 0, f"{number.name}: the status of a window that was closed")
    kept = json.loads(settings_file.read_text())["target"]
    check(kept == chosen, f"{number.name}: the target is kept as {chosen}, not {kept}")
    log = pathlib.Path(f"{window.book}-wal")
    check(not log.exists() or log.stat().st_size == 0, f"{number.name}: nothing is left in the log")
    check(shows_in_a_copy() == 1, f"{number.name}: a copy of the file has the output")
    window.open()
