"""Files dropped by another program, by the display's own protocol, open as recordings; of what is none it is said so."""

import pathlib
import shutil
import sys

from desktop import Desktop
from window import check

brink, pictures, signals, other_window = (pathlib.Path(argument).resolve() for argument in sys.argv[1:5])
desktop = Desktop(brink, other_window, pictures=pictures)
folder = desktop.folder / "Bühne 1"
folder.mkdir()
plain = signals / "two_rings.flac"
# What a list of files must write in another way: blanks, a sign that begins a comment, the sign of such writing, letters beyond ASCII.
strange = folder / "# 100 % größer – 音 'laut'.flac"
shutil.copy(plain, strange)
notes = folder / "notes.txt"
notes.write_text("bring two more stands\n")


def recording(state):
    return state.get("Recording", {})


def drop(*paths):
    check(desktop.drop(*paths) == "accepted", "the files are taken")


def opened(name, what):
    return recording(desktop.wait_for(lambda state: state["pane"] == "Recording" and
                                      not recording(state)["is_working"] and not recording(state)["is_choosing"] and
                                      recording(state).get("file") == name, 60, what))


check(desktop.state()["pane"] == "Listen", "the first pane")
drop(plain)
first = opened(plain.name, "the dropped file to be open")
check(first["ring_count"] >= 2 and first["fault"] == "" and first["warnings"] == "", "and analysed")

drop(strange)
second = opened(strange.name, "the file with the strange name to be open")
check(second["ring_count"] == first["ring_count"], "it is the same recording")

drop(notes)
refused = recording(desktop.wait_for(lambda state: recording(state)["fault"], 10, "words on what is no sound"))
check(refused["fault"].startswith(f"{notes}: this is no WAV, W64, FLAC, AIFF, CAF or Ogg file"), refused["fault"])
check(refused["file"] == strange.name, "what was open before is still there")
desktop.picture("drop-no-sound")

drop(notes, plain, strange)
several = opened(plain.name, "the first recording of several")
check(several["warnings"] == f"3 files were dropped; only {plain.name} is opened. Drop the others one at a time.",
      several["warnings"])

drop(folder)
shown = recording(desktop.wait_for(lambda state: recording(state)["is_choosing"] and
                                   recording(state)["chosen"] == strange.name, 10, "the folder's recordings to choose from"))
check(shown["fault"] == "", "a folder is no fault")
desktop.picture("drop-folder")
desktop.activate()
desktop.press("Return")
opened(strange.name, "the folder's recording")
