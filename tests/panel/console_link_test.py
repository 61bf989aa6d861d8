"""A round with a link to a console: its fader is read, a cut goes there and is read back, an undo is left to the hand."""

import pathlib
import sys
import tempfile

from jack_loop import JackLoop
from osc_console import OscConsole
from window import Window, check

PATIENCE_S = 30.0  # only ever spent when something hangs

console = OscConsole(fader=0.0)
console.set_fader_db(-12.0)
folder = tempfile.TemporaryDirectory(prefix="brink-console-")
target = pathlib.Path(folder.name) / "lantern.txt"
target.write_text(console.target_text())
loop = JackLoop(sys.argv[3])
loop.start_room(-12.0)
window = Window(sys.argv[1], "--input", "room", "--target", str(target), pictures=sys.argv[2], environment=loop.environment)


def wait(is_so, what):
    return window.wait_for(lambda state: is_so(state["Ring out"]), PATIENCE_S, what)["Ring out"]


window.wait_for(lambda state: not state["is_stage"] and state["health"] == "running" and state["stream_s"] > 0.5, PATIENCE_S,
                "sound from the room")
window.press("2")
window.press("n")
wait(lambda it: it["form"], "the form for an output")
window.press("Return")
found = wait(lambda it: it.get("output") == "Wedge 1", "the output")
check(found["target"] == "Lantern 24", f"the output's equaliser: {found['target']}")
wait(lambda it: it["console_can_link"], "a link to be offered")
check(console.asked == 0 and not console.told, "nothing goes to a console before the key")
window.press("k")
read = wait(lambda it: it["console_is_alive"] and "fader_db" in it, "the console to answer")
check(abs(read["fader_db"] + 12.0) < 0.05, f"where the console's fader stands: {read['fader_db']} dB")
wait(lambda it: it["console_says"] == "Linked to the console.", "the link to be said")

# The hand goes up at the console, and nobody types anything.
for fader_db in (-6.0, -3.0, 1.0):
    console.set_fader_db(fader_db)
    wait(lambda it, at_db=fader_db: abs(it["fader_db"] - at_db) < 0.05, "the fader as the console has it")
    loop.set_gain(fader_db)
caught = wait(lambda it: it["phase"] == "catch" and it.get("is_fitted") and it["is_certain"] and it["takes_keys"],
              "the ring of the loop")
check(not console.told, "nothing was sent without a key")
window.press("space")
done = wait(lambda it: it["rounds"] == 1 and it["console_says"].endswith("read back."), "the cut to be read back")
window.picture("console-read-back")
hz, q, depth_db = console.band(1)
logged_hz, logged_q, logged_db = (float(word) for word in done["round_1"].split(" dB:")[0].replace(" Hz Q", "").split())
check(abs(hz / logged_hz - 1.0) < 0.001 and abs(q / logged_q - 1.0) < 0.01 and abs(depth_db - logged_db) < 0.01,
      f"the console has {hz} Hz Q {q} {depth_db} dB; logged is {done['round_1']}")
check(done["console_says"].startswith("Console, band 1: "), done["console_says"])
depths = [0.5] + [number for address, number in console.told if address == "/out/1/eq/1/db"]
check(all(0.0 <= before - after <= 1.0 / 30.0 + 1e-4 for before, after in zip(depths, depths[1:])),
      f"only downwards, at most 1 dB at once: {depths}")
check(all(not address.startswith("/out/1/level") for address, _ in console.told), "a fader is never sent")
loop.tell_room(f"cut {hz} {q} {depth_db}")
wait(lambda it: it["phase"] in ("raise", "check"), "the ring to be dealt with")

# An undo is the hand's; after the hand has set it the console says so.
sent = len(console.told)
window.press("z")
undone = wait(lambda it: it["console_says"].startswith("Set band 1 by hand: "), "the undo to be left to the hand")
check(undone["console_says"].endswith("brink never takes a cut out."), undone["console_says"])
window.picture("console-by-hand")
check(len(console.told) == sent, "nothing is sent for an undo")
console.numbers["/out/1/eq/1/db"] = 0.5
wait(lambda it: it["console_says"].endswith("read back."), "what the hand did to be read")

# What was typed and what the console reads.
window.press("f")
wait(lambda it: it["form"], "the form for the fader")
window.type("-20")
window.press("Return")
differs = wait(lambda it: it["console_disagreement"], "the difference to be said")
check("reads +1.0 dB, but -20.0 dB was typed" in differs["console_disagreement"], differs["console_disagreement"])
console.set_fader_db(-5.0)
wait(lambda it: abs(it["fader_db"] + 5.0) < 0.05 and not it["console_disagreement"], "the fader to count again when it moves")

# The console is gone, and every pane says so.
console.is_on = False
wait(lambda it: it["console_alarm"], "the loss of the console to be noticed")
lost = window.wait_for(lambda state: state["trouble"].startswith("The link to the console is lost"), PATIENCE_S, "the head to say it")
check("console_fader_db" not in lost["Ring out"], "no fader is told of a console that is gone")
window.picture("console-lost")
console.is_on = True
window.wait_for(lambda state: state["trouble"] == "" and state["Ring out"]["console_is_alive"], PATIENCE_S, "the console to be back")
check(len(console.told) == sent, "nothing is sent when it comes back")
window.press("k")
wait(lambda it: not it["console_is_on"], "the link to be off")
window.close()
print("a fader was read, a cut sent and read back, an undo left to the hand")
