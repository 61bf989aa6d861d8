"""A recording opened by keys: analysed, its rings listed and jumped to, as `brink analyse` finds them."""

import json
import os
import pathlib
import subprocess
import sys

from window import Window, check

brink, pictures, signals = (pathlib.Path(argument).resolve() for argument in sys.argv[1:4])
os.chdir(signals.parent)  # pictures show paths as they are typed: short ones
clip = pathlib.Path(signals.name) / "two_rings.flac"
window = Window(brink, pictures=pictures)


def recording(state):
    return state.get("Recording", {})


window.press("4")
window.wait_for(lambda state: state["pane"] == "Recording" and recording(state)["is_choosing"], 5, "the pane")
window.press("o")
window.wait_for(lambda state: recording(state)["is_typing"], 5, "the path field")
window.press("ctrl+a")
window.type(str(clip.parent) + "/no-such-file.wav")
window.press("Return")
window.wait_for(lambda state: "no-such-file" in recording(state)["fault"], 10, "a missing file to be said so")
window.picture("recording-missing")
check(window.state()["pane"] == "Recording", "letters of the path are no keys")

window.press("o")
window.wait_for(lambda state: recording(state)["is_typing"], 5, "the path field again")
window.press("ctrl+a")
window.type(str(clip.parent) + "/")
window.wait_for(lambda state: recording(state)["chosen"], 5, "the folder's files")
window.picture("recording-files")
for _ in range(30):
    if recording(window.state())["chosen"] == clip.name:
        break
    before = recording(window.state())["chosen"]
    window.press("Down")
    window.wait_for(lambda state: recording(state)["chosen"] != before, 5, "the next file")
check(recording(window.state())["chosen"] == clip.name, "the arrows reach the clip")
window.press("Return")
done = window.wait_for(lambda state: recording(state).get("file") == clip.name and recording(state)["is_fitted"],
                       120, "the analysis")

analysed = json.loads(subprocess.run([brink, "analyse", str(clip), "--format", "json", "--quiet"], check=True,
                                     capture_output=True, text=True).stdout)
rings = analysed["rings"]
check(len(rings) >= 2, "the clip rings twice")
check(recording(done)["ring_count"] == len(rings), "as many rings as brink analyse finds")
for index, ring in enumerate(rings):
    shown = recording(window.wait_for(lambda state: recording(state)["selected"] == index, 5, "the next ring"))
    # The report rounds to a thousandth of a hertz, a tenth of a millisecond, a hundredth of a dB/s.
    check(abs(shown["frequency_hz"] - ring["frequency_hz"]) <= 0.0006, "the same frequency")
    check(abs(shown["onset_s"] - ring["onset_s"]) <= 0.00006, "the same onset")
    check(abs(shown["growth_db_per_s"] - ring["growth_db_per_s"]) <= 0.006, "the same growth")
    check(shown["cut"].startswith("cut "), "a cut on the target")
    window.press("Down")
window.picture("recording")

# Without a sound output the pane says so, and with one it sounds; either way the key is answered.
window._xdotool("keydown", "space")
window.wait_for(lambda state: recording(state)["is_playing"] or recording(state)["sound_fault"], 30, "an answer to Space")
window.picture("recording-no-sound")
window._xdotool("keyup", "space")
window.wait_for(lambda state: not recording(state)["is_playing"], 5, "silence")

# The field that a whole path was typed into begins with that file's folder the next time.
for typed in (str(clip), "wedge.flac"):
    window.press("o")
    window.wait_for(lambda state: recording(state)["is_typing"], 5, "the path field")
    if typed == str(clip):
        window.press("ctrl+a")
    window.type(typed)
    window.press("Return")
    window.wait_for(lambda state: not recording(state)["is_choosing"] and not recording(state)["is_working"] and
                    recording(state)["file"] == typed.rpartition("/")[2] and recording(state)["is_fitted"],
                    120, f"{typed} to be analysed")

window.press("t")
window.press("Down", times=2, pause_s=0.2)
window.press("Return")
window.wait_for(lambda state: state["target"] == "third-octave", 5, "another target")
graphic = window.wait_for(lambda state: recording(state)["is_fitted"] and " Q " not in recording(state)["cut"],
                          30, "the cuts on it")
check(recording(graphic)["shared_count"] >= 1, "cuts for the whole file on it")
window.picture("recording-graphic")
window.press("h")
window.wait_for(lambda state: state["hides_answers"], 5, "the answers to be hidden")
window.picture("recording-hidden")
