"""Two channels of a device at once: a loop that comes to ring on the one that is not shown is announced, with its channel."""

import json
import os
import re
import subprocess
import sys

from jack_loop import JackLoop
from window import Window, check

PATIENCE_S = 30.0  # only ever spent when something hangs

FULL_SCALE_DB_SPL = 120.0
loop = JackLoop(sys.argv[3])
loop.start_room(-12.0)
window = Window(sys.argv[1], pictures=sys.argv[2], environment=loop.environment)
environment = dict(os.environ, **loop.environment)


# A microphone that was calibrated is on the second channel.
microphones = window.folder / "config" / "brink" / "microphones.json"
microphones.parent.mkdir(parents=True, exist_ok=True)
microphones.write_text(json.dumps({"schema": "brink/microphones/1", "microphones": [
    {"input": "system (JACK)", "channel": 2, "date": "2026-11-29", "full_scale_db_spl": FULL_SCALE_DB_SPL, "response": []}]}))


def jack(*words):
    return subprocess.run(words, env=environment, check=True, capture_output=True, text=True).stdout.split()


def picker(is_so, what):
    return window.wait_for(lambda state: is_so(state["input_picker"]), PATIENCE_S, what)


window.press("i")
picker(lambda it: not it["is_asking"] and it["input_count"] >= 2, "the devices: the server's own, and the room")
before = set(jack("jack_lsp"))
for _ in range(5):
    if window.state()["input_picker"]["input"].startswith("system"):
        break
    here = window.state()["input_picker"]["input"]
    window.press("Down")
    picker(lambda it: it["input"] != here, "the next device")
window.press("space")
picker(lambda it: it["marked"] == "1", "a mark on the first channel")
window.press("space")
picker(lambda it: it["marked"] == "", "the mark taken away")
window.press("space")
window.press("Right")
picker(lambda it: it["channel"] == 2, "the second channel")
window.press("space")
picker(lambda it: it["marked"] == "1, 2", "both marked")
window.picture("taps-marked")
window.press("Return")
both = window.wait_for(lambda state: state["taps"] == [1, 2] and not state["is_stage"], PATIENCE_S, "both channels")
check(both["shown_tap"] == 0, "all are shown first")
check(both["announcement"] == "", "nothing rings yet")

# All are shown, so both are asked for, one after another.
window.press("n")
window.wait_for(lambda state: state["Listen"]["form"] == "Channel 1", 5, "to be asked for the first name")
window.type("talkback")
window.press("Return")
window.wait_for(lambda state: state["Listen"]["form"] == "Channel 2", 5, "to be asked for the second name")
window.type("vocal left")
window.press("Return")
window.wait_for(lambda state: state["Listen"]["form"] == "", 5, "the form to close")

# The room's output goes to the second channel alone.
inputs = sorted(port for port in jack("jack_lsp") if port not in before)
check(len(inputs) >= 2, f"brink's two inputs: {inputs}")
window.wait_for(lambda state: state["stream_s"] > 0.5, PATIENCE_S, "sound")
jack("jack_connect", "room:out", inputs[1])
window.hear(1.0)  # what rings as it is first heard has no growth to know it by
loop.set_gain(1.0)
window.wait_for(lambda state: any(ring["state"] == "ringing" for ring in state["rings"]), PATIENCE_S, "the ring on the second channel")
together = window.wait_for(lambda state: state["tap_faults"] == "Silent: 1.", PATIENCE_S, "the silent channel to be told")
check(together["shown_tap"] == 0 and together["announcement"] == "", "nothing rings but what is shown")
check(together["level"] not in ("no signal", ""), f"the level is that of the loudest: {together['level']}")
check("is silent" not in together["Ring out"]["instruction"], "one channel of all that are shown has sound")
window.hear(1.5)
window.picture("taps-together")


def sound_pressure(state):
    """LAeq of the last second, and what a sine of that peak gives: 3 dB less as root mean square, 1 dB more by the A-weight at 1.5 kHz."""
    words = re.match(r"(-?\d+) dBFS, (\d+) dBA$", state["level"])
    return words and (int(words[2]), int(words[1]) - 3.0 + 1.0 + FULL_SCALE_DB_SPL)


# Both are rounded, the limiter makes the tone's shape a little fuller, and both follow their own time.
window.wait_for(lambda state: (both := sound_pressure(state)) and abs(both[0] - both[1]) < 3.0, PATIENCE_S, "its sound pressure")
window.press("e")
window.wait_for(lambda state: "% of what one day allows" in state["exposure"], 5, "the dose to be counted")
window.picture("taps-exposure")
window.press("e")
window.press("j")
told = window.wait_for(lambda state: state["shown_tap"] == 1 and state["announcement"] != "", 5, "the ring on the other channel")
check("1.5" in told["announcement"] and "channel 2" in told["announcement"], told["announcement"])
check(told["announcement"].endswith("J shows it"), told["announcement"])
check(told["level"] == "no signal", f"the channel shown has no cable: {told['level']}")
window.wait_for(lambda state: state["Ring out"]["instruction"] == "Pull the fader down: channel 1 is silent.", 5,
                "what to do while the channel shown is silent")
rings = [ring for ring in told["rings"] if ring["state"] == "ringing"]
check(all(ring["tap"] == 2 for ring in rings), "the ring is the second channel's")
# The pole and the limiter bend it by less than 3 Hz.
check(abs(rings[0]["frequency_hz"] - loop.brink_hz) < 3.0, f"{rings[0]['frequency_hz']} Hz, {loop.brink_hz} Hz")
window.picture("taps-announced")

window.press("h")
hidden = window.wait_for(lambda state: state["hides_answers"] and state["announcement"] != "", 5, "answers hidden")
check("channel 2" in hidden["announcement"] and "Hz" not in hidden["announcement"], "no frequency while answers are hidden")
window.press("h")
window.wait_for(lambda state: not state["hides_answers"], 5, "answers shown")
window.press("j")
window.wait_for(lambda state: state["shown_tap"] == 2 and state["announcement"] == "", 5, "the channel that rings to be shown")
window.hear(1.5)
window.picture("taps-second")
window.press("j")
window.wait_for(lambda state: state["shown_tap"] == 0 and state["announcement"] == "", 5, "all channels again")
window.wait_for(lambda state: "vocal left" in state["Listen"]["where"], 5, "the ring to have its channel's name")
window.close_program()
settings = json.loads((window.folder / "config" / "brink" / "settings.json").read_text())
check(settings["channel_names"] == "1 talkback\n2 vocal left\n", "the names are kept")
