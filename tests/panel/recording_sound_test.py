"""A recording sounds on a real sound server while Space is held in its pane, and only then, from a second before its ring."""

import os
import pathlib
import sys

from desktop import ICONIFY, Desktop
from sound_server import start_sound_server
from window import check

BEFORE_RING_S = 1.0
FIRST_LEVEL_DB = -20.0

brink, pictures, signals, other_window = (pathlib.Path(argument).resolve() for argument in sys.argv[1:5])
environment = start_sound_server()
os.chdir(signals.parent)  # pictures show paths as they are typed: short ones
clip = pathlib.Path(signals.name) / "two_rings.flac"
window = Desktop(brink, other_window, pictures=pictures, environment=environment)


def recording(state):
    return state.get("Recording", {})


def is_playing(state):
    return recording(state)["is_playing"]


window.press("4")
window.press("o")
window.wait_for(lambda state: recording(state)["is_typing"], 5, "the path field")
window.press("ctrl+a")
window.type(str(clip))
window.press("Return")
opened = window.wait_for(lambda state: recording(state).get("file") == clip.name and recording(state)["is_fitted"],
                         120, "the analysis")
check(not is_playing(opened), "it starts silent")
check(recording(opened)["level_db"] == FIRST_LEVEL_DB, "it starts low")

window.press("Down")
second = recording(window.wait_for(lambda state: recording(state)["selected"] == 1, 5, "the second ring"))
window._xdotool("keydown", "space")
first_heard = window.wait_for(is_playing, 20, "the sound while Space is held")
later = window.wait_for(lambda state: is_playing(state) and
                        recording(state)["sounding_s"] > recording(first_heard)["sounding_s"], 10, "the place to go on")
check(recording(later)["sound_fault"] == "", "there is a sound output")
# The state file is written ten times a second; a loaded machine may look late, never early.
check(recording(first_heard)["sounding_s"] >= second["onset_s"] - BEFORE_RING_S - 0.001, "not from before that")
check(recording(first_heard)["sounding_s"] < second["onset_s"] + 1.0, "from a second before the ring")
window.picture("recording-sounding")
window._xdotool("keyup", "space")
silent = window.wait_for(lambda state: not is_playing(state), 2, "silence when Space is let go")
check("sounding_s" not in recording(silent), "no place sounds any more")

window._xdotool("keydown", "space")
window.wait_for(lambda state: is_playing(state) and recording(state)["sounding_s"] > second["onset_s"], 10, "the ring again")
window.press("Up")
window.wait_for(lambda state: recording(state)["selected"] == 0 and is_playing(state) and
                recording(state)["sounding_s"] < second["onset_s"], 20, "the other ring's sound, from before it")
window.show_another()
window.wait_for(lambda state: not is_playing(state), 5, "silence when another window takes the keyboard")
window._xdotool("keyup", "space")
window.close_another()
window.activate()
check(not is_playing(window.state()), "it is silent until Space is pressed again")

window._xdotool("keydown", "space")
window.wait_for(is_playing, 10, "the sound again")
window.press(ICONIFY)
window.wait_for(lambda state: not is_playing(state), 5, "silence when the window becomes an icon")
window._xdotool("keyup", "space")
window.activate()

# While the window manager shows its list of windows it has all keys: the window is not told that Space was let go.
window._xdotool("keydown", "space")
window.wait_for(is_playing, 10, "the sound again")
window._xdotool("keydown", "alt", "keydown", "Tab")
window._xdotool("keyup", "space")
window.wait_for(lambda state: not is_playing(state), 5, "silence when Space is let go in the list of windows")
window._xdotool("key", "Escape")
window._xdotool("keyup", "Tab", "keyup", "alt")

window._xdotool("keydown", "space")
window.wait_for(is_playing, 10, "the sound once more")
window.press("e")
window.wait_for(lambda state: not is_playing(state), 5, "silence under the exposure guide")
window._xdotool("keyup", "space")
window.press("Escape")

# The ring alone, and the whole at the same loudness.
window.press("b")
window.wait_for(lambda state: recording(state)["hears_alone"], 5, "the ring alone to be chosen")
window._xdotool("keydown", "space")
alone = recording(window.wait_for(lambda state: is_playing(state) and recording(state)["sound_lufs"] > -100.0, 20, "the ring alone"))
window.picture("recording-ring-alone")
window._xdotool("keyup", "space")
window.press("b")
window.wait_for(lambda state: not recording(state)["hears_alone"] and not is_playing(state), 5, "the whole to be chosen")
window._xdotool("keydown", "space")
whole = recording(window.wait_for(lambda state: is_playing(state) and recording(state)["sound_gain_db"] != alone["sound_gain_db"], 20, "the whole"))
check(abs(whole["sound_lufs"] - alone["sound_lufs"]) < 0.01, f"one loudness: {alone['sound_lufs']}, {whole['sound_lufs']} LUFS")
check(whole["sound_gain_db"] <= 0.0, "the whole is never raised")
window._xdotool("keyup", "space")
window.wait_for(lambda state: not is_playing(state), 5, "silence")

window.press("period", times=3)
window.wait_for(lambda state: recording(state)["level_db"] == FIRST_LEVEL_DB + 6.0, 5, "three steps louder")
window.press("comma")
window.wait_for(lambda state: recording(state)["level_db"] == FIRST_LEVEL_DB + 4.0, 5, "one step quieter")
check(not is_playing(window.state()), "steps of level alone make no sound")
