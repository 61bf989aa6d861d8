"""The equaliser at hand, told in the user's own file, is chosen once: cuts are fitted to it, and it is remembered."""

import json
import sys

from window import Window, check, loudest_state

GRID_HZ = [100.0 * 2 ** step for step in range(7)]  # 100 Hz to 6.4 kHz, one centre to an octave

window = Window(sys.argv[1], pictures=sys.argv[2])
folder = window.folder / "config" / "brink" / "targets"
folder.mkdir(parents=True)
(folder / "broken.txt").write_text("kind = parametric\nbands = many\n")
(folder / "old desk.txt").write_text("about = The old desk: one centre to an octave\nkind = parametric\nbands = 3\n"
                                     "frequency = 100:6400\nfrequency_steps_per_octave = 1\n")

window.press("t")
window.wait_for(lambda state: state["target_picker"]["target_count"] == 6, 5, "the user's own files to be offered")
window.press("Down", times=4)
window.wait_for(lambda state: "line 2" in state["target_picker"]["words"], 5, "the faulty one to say why")
window.press("Return")
window.press("Down")
window.picture("target-own")
window.press("Return")
window.wait_for(lambda state: state["target"] == "old desk", 5, "the user's own to be the target")

window.press("Up", times=13, pause_s=0.05)
state = window.wait_for(lambda state: loudest_state(state, "ringing"), 40, "a ring")
ring = next(ring for ring in state["rings"] if ring["state"] == "ringing")
check(len(ring["cuts"]) == 1, "one cut for it")
centre_hz = ring["cuts"][0]["centre_hz"]
check(min(abs(centre_hz / hz - 1) for hz in GRID_HZ) < 0.001, f"{centre_hz} Hz is a centre of the old desk")
window.close_program()

window.open()
check(window.state()["target"] == "old desk", "chosen once, it is the target of the next run too")
window.close_program()

command = window.command
window.command = [*command, "--target", "octave"]
window.open()
check(window.state()["target"] == "octave", "--target goes first")
window.close_program()
window.command = command

desk = (folder / "old desk.txt").read_text()
(folder / "old desk.txt").unlink()
window.open()
check(window.state()["target"] == "parametric", "without its file cuts are fitted to what is at hand")
window.picture("target-gone")
settings = json.loads((window.folder / "config" / "brink" / "settings.json").read_text())
check(settings["target"].endswith("old desk.txt"), "and the file is not forgotten: it may come back")

(folder / "old desk.txt").write_text(desk)
window.close_program()
window.open()
window.press("2")
window.press("n")
window.wait_for(lambda state: state["Ring out"]["form"], 5, "the form for an output")
window.press("Return")
window.wait_for(lambda state: state["Ring out"].get("target") == "old desk", 5, "a new output to have the target in use")
(folder / "old desk.txt").unlink()
window.close_program()
window.open()
check(window.state()["Ring out"]["target"] == "old desk", "a show under way keeps its target without the file")
