"""Two recordings compared in the window: by keys, and in the very words of `brink compare`."""

import os
import pathlib
import subprocess
import sys

from window import Window, check

brink, pictures, signals = (pathlib.Path(argument).resolve() for argument in sys.argv[1:4])
os.chdir(signals.parent)  # pictures show paths as they are typed: short ones
now, before, other = (pathlib.Path(signals.name) / name for name in ("two_rings.flac", "cut_goes_in.flac", "plain_voice.flac"))
window = Window(brink, pictures=pictures)
PATIENCE_S = 120


def recording(state):
    return state.get("Recording", {})


def command(earlier):
    return subprocess.run([brink, "compare", str(earlier), str(now), "--quiet"], check=True, capture_output=True, text=True).stdout


def type_path(path):
    window.press("ctrl+a")
    window.type(str(path))
    window.press("Return")


window.press("4")
window.press("o")
window.wait_for(lambda state: recording(state)["is_typing"], 5, "the path field")
type_path(now)
window.wait_for(lambda state: recording(state).get("file") == now.name and recording(state)["is_fitted"], PATIENCE_S, "the analysis")

window.press("c")
window.wait_for(lambda state: recording(state)["is_comparing"], 5, "the choice of the earlier recording")
window.press("o")
window.wait_for(lambda state: recording(state)["compare_is_typing"], 5, "its path field")
type_path(before.parent / "no-such-file.wav")
window.wait_for(lambda state: "no-such-file" in recording(state)["compare_fault"], 10, "a missing file to be said so")
window.picture("recording-compare-missing")
window.press("o")
window.wait_for(lambda state: recording(state)["compare_is_typing"], 5, "its path field again")
type_path(before)
told = recording(window.wait_for(lambda state: recording(state)["comparison"] != "", PATIENCE_S, "the comparison"))
check(told["comparison"] == command(before), f"the words of brink compare, not {told['comparison']}")
check(told["file"] == now.name, "the recording shown stays")
window.picture("recording-compared")
window.press("Escape")
window.wait_for(lambda state: not recording(state)["is_comparing"], 5, "back to the recording")
window.press("c")
window.wait_for(lambda state: recording(state)["is_comparing"] and recording(state)["comparison"] != "", 5, "it to be kept")
window.press("c")
window.wait_for(lambda state: recording(state)["comparison"] == "" and recording(state)["compare_is_typing"], 5, "another to be chosen")
type_path(other)
told = recording(window.wait_for(lambda state: recording(state)["comparison"] != "", PATIENCE_S, "the other comparison"))
check(told["comparison"] == command(other), "the words of brink compare of the other")
window.press("h")
window.wait_for(lambda state: state["hides_answers"], 5, "the answers to be hidden")
window.picture("recording-compared-hidden")
