"""What a window that was closed must have kept: the settings in their file, and the whole book in its one file."""

import json
import pathlib
import shutil
import sqlite3

from window import check

PATIENCE_S = 30.0  # only ever spent when something hangs


def log_output(window):
    """Puts an output into the book, and waits until it is there."""
    window.press("2")
    window.wait_for(lambda state: state["pane"] == "Ring out" and not state["Ring out"]["is_looking"], PATIENCE_S, "the book")
    window.press("n")
    window.wait_for(lambda state: state["Ring out"]["form"], PATIENCE_S, "the form for an output")
    window.press("Return")
    window.wait_for(lambda state: state["Ring out"].get("output") and state["Ring out"]["is_logged"], PATIENCE_S, "the output")


def choose_target(window, row):
    """Chooses another target, which is a setting: the one in that row of the list. Returns its name."""
    window.press("1")
    window.wait_for(lambda state: state["pane"] == "Listen", PATIENCE_S, "the pane with the target")
    before = window.state()["target"]
    window.press("t")
    window.wait_for(lambda state: state["target_picker"]["target_count"] > 1, PATIENCE_S, "the list of targets")
    window.press("Down", times=row)
    window.press("Return")
    return window.wait_for(lambda state: state["target"] != before, PATIENCE_S, "another target")["target"]


def check_closed(window, settings_file, target, how):
    """The window was told to close in some way, `how`: it ends as it should, and has kept that target and its one output."""
    status = window.program.wait(timeout=PATIENCE_S)
    check(status == 0, f"{how}: the status is {status}")
    kept = json.loads(settings_file.read_text())["target"]
    check(kept == target, f"{how}: the target is kept as {target}, not {kept}")
    log = pathlib.Path(f"{window.book}-wal")
    check(not log.exists() or log.stat().st_size == 0, f"{how}: nothing is left in the log")
    check(_outputs_in_a_copy(window) == 1, f"{how}: a copy of the file has the output")


def _outputs_in_a_copy(window):
    copy = shutil.copy(window.book, window.folder / "copy.sqlite")
    with sqlite3.connect(f"file:{copy}?immutable=1", uri=True) as book:
        check(book.execute("PRAGMA integrity_check").fetchall() == [("ok",)], "a sound file")
        return book.execute("SELECT count(*) FROM outputs").fetchone()[0]
