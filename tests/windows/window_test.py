"""The window of brink.exe under Wine and a window manager: a sound plays on a sound server while Space is held and is silent after,
and the button in its title line closes it with status 0. `window_test.py BRINK PICTURES SIGNALS`."""

import array
import os
import pathlib
import shutil
import sys
import time

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parent.parent / "panel"))
from desktop import Desktop
from pulse_server import POLL_S, RATE_HZ, PulseServer
from window import SKIPPED, check, fail

PATIENCE_S = 60.0  # only ever spent when something hangs
AUDIBLE_LIN = 0.001
SILENT_SAMPLES = RATE_HZ // 4

if shutil.which("pulseaudio") is None:
    print("skipped: pulseaudio is not installed (third_party/install windows brings it)")
    sys.exit(SKIPPED)
brink, pictures, signals = (pathlib.Path(argument).resolve() for argument in sys.argv[1:4])
clip = signals / "two_rings.flac"
sound = PulseServer()
window = Desktop(brink, None, pictures=pictures, environment=sound.environment)
desk = window.folder / "desk"
recorder = sound.record_desk(desk)


def played():
    raw = desk.read_bytes()
    return array.array("f", raw[:len(raw) // 4 * 4])


def wait_until_played(is_so, what):
    end = time.monotonic() + PATIENCE_S
    while not is_so(played()):
        if time.monotonic() > end:
            fail(f"waited {PATIENCE_S:g} s for {what}")
        time.sleep(POLL_S)


def recording(state):
    return state.get("Recording", {})


window.press("4")
window.press("o")
window.wait_for(lambda state: recording(state)["is_typing"], PATIENCE_S, "the path field")
window.press("ctrl+a")
window.type(str(clip))
window.press("Return")
window.wait_for(lambda state: recording(state).get("file") == clip.name and recording(state)["is_fitted"], 180, "the analysis")
wait_until_played(lambda samples: len(samples) > 0, "the sound server")
check(max(map(abs, played())) == 0.0, "it starts silent")
window._xdotool("keydown", "space")
window.wait_for(lambda state: recording(state)["is_playing"], PATIENCE_S, "the sound while Space is held")
wait_until_played(lambda samples: max(map(abs, samples)) > AUDIBLE_LIN, "the sound at the sound server")
window._xdotool("keyup", "space")
window.wait_for(lambda state: not recording(state)["is_playing"], PATIENCE_S, "silence when Space is let go")
before = len(played())
wait_until_played(lambda samples: len(samples) > before + SILENT_SAMPLES and not any(samples[-SILENT_SAMPLES:]),
                  "silence at the sound server")
recorder.terminate()
recorder.wait()

# The button is at the right end of the title line, which is above the window.
place = dict(line.split("=") for line in window._xdotool("getwindowgeometry", "--shell", window.xid).split() if "=" in line)
window._xdotool("mousemove", str(int(place["X"]) + int(place["WIDTH"]) - 10), str(int(place["Y"]) - 11))
window._xdotool("click", "1")
check(window.program.wait(timeout=PATIENCE_S) == 0, f"the button closes it with {window.program.returncode}, not with 0")
