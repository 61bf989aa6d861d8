"""A recording opened by keys: analysed, its rings listed and jumped to, as `brink analyse` finds them."""

import json
import math
import os
import pathlib
import subprocess
import sys
import time

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
rings, places = analysed["rings"], analysed["places"]
check(len(places) >= 2, "the clip rings at two places")
check(recording(done)["ring_count"] == len(rings), "as many rings as brink analyse finds")
check(recording(done)["row_count"] == len(places), "a row for each place")


def check_row(shown, place):
    """The pane's numbers are the report's, digit by digit."""
    ring = rings[place["loudest"]]
    for name in ("frequency_hz", "onset_s", "growth_db_per_s", "peak_dbfs", "confidence"):
        check(shown[name] == ring[name], f"{name}: {shown[name]} is not {ring[name]}")
    for name in ("left_db", "rank_db"):
        check(shown[name] == place[name], f"{name}: {shown[name]} is not {place[name]}")
    check(shown["folded"] == len(place["folded"]), "as many places under it")
    check(shown["cut"].startswith("cut "), "a cut on the target")


for index, place in enumerate(places):
    check_row(recording(window.wait_for(lambda state: recording(state)["selected"] == index, 5, "the next row")), place)
    window.press("Down")
window.press("Up", times=len(places))
window.picture("recording")

# One key sorts by time, and again by danger; what is selected stays.
window.press("d")
by_time = recording(window.wait_for(lambda state: recording(state)["order"] == "time", 5, "the order of time"))
check_row(by_time, places[0])
window.press("d")
window.wait_for(lambda state: recording(state)["order"] == "danger", 5, "the order of danger")

# The cuts follow the ticks.
both = recording(window.wait_for(lambda state: recording(state)["is_fitted"], 30, "the cuts"))["shared_count"]
window.press("Return")
window.wait_for(lambda state: not recording(state)["is_ticked"] and recording(state)["is_fitted"] and
                recording(state)["shared_count"] < both, 30, "fewer cuts")
window.picture("recording-left-out")
window.press("Return")
window.wait_for(lambda state: recording(state)["is_ticked"] and recording(state)["is_fitted"] and
                recording(state)["shared_count"] == both, 30, "all cuts again")

# Closer by keys, along, and back; closer by the wheel; along by dragging.
window.press("z")
closer = recording(window.wait_for(lambda state: recording(state)["to_s"] - recording(state)["from_s"] < 5.1, 5, "half of it"))
check(closer["from_s"] <= closer["onset_s"] <= closer["to_s"], "the selected ring is in it")
window.press("Next")
window.wait_for(lambda state: recording(state)["from_s"] > closer["from_s"] + 1.0 or recording(state)["to_s"] >= 9.99, 5, "on")
window.press("f")
window.wait_for(lambda state: recording(state)["from_s"] == 0.0 and recording(state)["to_s"] == recording(state)["duration_s"],
                5, "the whole file")
window.wheel(400, 300, 3)
wheeled = recording(window.wait_for(lambda state: recording(state)["to_s"] - recording(state)["from_s"] < 6.0, 5, "the wheel"))
window.drag((500, 300), (300, 300))
window.wait_for(lambda state: recording(state)["from_s"] > wheeled["from_s"] + 0.5, 5, "the drag")
window.picture("recording-closer")
window.press("f")

# The cursor by the mouse and by keys; a click on a ring lights its row.
window._xdotool("mousemove", "--window", window.xid, "420", "260")
first = recording(window.wait_for(lambda state: "cursor_hz" in recording(state), 5, "the cursor"))
window.press("shift+Up")
window.wait_for(lambda state: recording(state)["cursor_hz"] > 1.01 * first["cursor_hz"], 5, "the cursor a step up")
window.press("Down")
other = recording(window.wait_for(lambda state: recording(state)["selected"] == 1, 5, "the other row"))
lead = places[0]["loudest"]
target_hz, target_s = rings[lead]["frequency_hz"], 0.5 * (rings[lead]["flagged_s"] + rings[lead]["ended_s"])


def cursor():
    now = recording(window.state())
    return now.get("cursor_s"), now.get("cursor_hz")


def seen_at(x, y):
    """What the cursor reads there: the first reading that is another than before the move, and stays."""
    before = last = cursor()
    window._xdotool("mousemove", "--window", window.xid, str(int(x)), str(int(y)))
    end = time.monotonic() + 10
    while time.monotonic() < end:
        now = cursor()
        if now == last and now != before:
            return now
        last = now
        time.sleep(0.25)
    return last


# Two readings of the cursor tell where the ring is drawn: time is linear across, frequency logarithmic up.
(x1, y1), (x2, y2) = (300, 480), (600, 240)
(s1, f1), (s2, f2) = seen_at(x1, y1), seen_at(x2, y2)
x = x1 + (target_s - s1) / (s2 - s1) * (x2 - x1)
y = y1 + math.log(target_hz / f1) / math.log(f2 / f1) * (y2 - y1)
window.click(int(x), int(y))
window.wait_for(lambda state: recording(state)["selected"] == 0, 5, "the click to light the ring's row")
loud = recording(window.state())
check(loud["cursor_dbfs"] > -20.0, f"the ring's level under the cursor, not {loud['cursor_dbfs']}")
window.picture("recording-cursor")

# Written out: the same bytes as the command's.
def write_out(row):
    before = recording(window.state())["written"]
    window.press("w")
    window.wait_for(lambda state: recording(state)["is_writing_out"], 5, "the list of what can be written")
    window.press("Up", times=8)
    window.press("Down", times=row)
    if row == 2:
        window.picture("recording-write-out")
    window.press("Return")
    return pathlib.Path(recording(window.wait_for(lambda state: recording(state)["written"] not in ("", before), 10,
                                                  "the file to be written"))["written"])


for row, options in enumerate((["--order", "danger"], ["--format", "json"], ["--format", "csv"], ["--format", "labels"],
                              ["--format", "svg"])):
    command = subprocess.run([brink, "analyse", str(clip), "--quiet", *options], check=True, capture_output=True, text=True)
    check(write_out(row).read_text() == command.stdout, f"the same as analyse {' '.join(options)}")

# A note on the row and one on the recording, and a tick, are found again when it is opened again under another name.
window.press("m")
window.wait_for(lambda state: recording(state)["form"], 5, "the form for notes")
window.type("wedge too near")
window.press("Tab")
window.type("soundcheck")
window.press("Return")
window.wait_for(lambda state: recording(state)["row_note"] == "wedge too near" and recording(state)["note"] == "soundcheck" and
                recording(state)["is_ticked"], 5, "the notes")
window.press("Down")
window.wait_for(lambda state: recording(state)["selected"] == 1, 5, "the other row")
window.press("Return")
window.wait_for(lambda state: not recording(state)["is_ticked"] and recording(state)["is_kept"], 5, "it to be left out and kept")
sheet = write_out(5).read_text()
check("wedge too near" in sheet and "soundcheck" in sheet, "the notes are on the sheet")
check("3706" not in sheet and "3707" not in sheet and "2060" in sheet, "what is left out is not on the sheet")
window.press("w")
window.wait_for(lambda state: recording(state)["is_writing_out"], 5, "the list")
window.press("Down")
window.press("Return")
window.type("Larkfield Hall")
window.press("Tab")
window.type("Quiet Levers")
window.picture("recording-into-book")
window.press("Return")
window.wait_for(lambda state: recording(state)["out_words"].startswith("Kept in the book"), 10, "it to be kept")
kept = json.loads(subprocess.run([brink, "book", "export", "--book", str(window.book)], check=True, capture_output=True,
                                 text=True).stdout.splitlines()[-1])
check(kept["venue"] == "Larkfield Hall" and len(kept["outputs"][0]["rounds"]) == 1, "the show has the row that is ticked")
window.picture("recording-kept")
window.close_program()
copy = window.folder / "renamed.flac"
copy.write_bytes(clip.read_bytes())
window.open()
window.press("4")
window.press("o")
window.wait_for(lambda state: recording(state)["is_typing"], 5, "the path field")
window.press("ctrl+a")
window.type(str(copy))
window.press("Return")
again = recording(window.wait_for(lambda state: recording(state).get("left_out") == 1 and recording(state)["is_fitted"], 60,
                                  "what was left out before"))
check(again["row_note"] == "wedge too near" and again["note"] == "soundcheck", "the notes of before")
check([path.name for path in copy.parent.glob("renamed*")] == [copy.name], "nothing was written beside the recording")

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
