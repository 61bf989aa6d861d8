"""The button in the window's title closes brink.exe under Wine: on the stage, and while it listens to a sound server. The status is 0,
the settings and the whole book are kept, and no process stays. `closed_by_button_test.py BRINK`: the program's starter."""

import pathlib
import sys
import time

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parent.parent / "panel"))
from closing import PATIENCE_S, check_closed, choose_target, log_output  # noqa: E402
from desktop import Desktop  # noqa: E402
from pulse_server import POLL_S, PulseServer  # noqa: E402
from window import check  # noqa: E402
from wine import Wine  # noqa: E402

LEFT_S = 60.0  # only ever spent when something stays


def check_nothing_stays(how):
    end = time.monotonic() + LEFT_S
    while wine.programs() and time.monotonic() < end:
        time.sleep(POLL_S)
    check(not wine.programs(), f"{how}: these still run: {wine.programs()}")


brink = sys.argv[1]
wine = Wine(brink)
sound = PulseServer()
window = Desktop(brink, None, environment=wine.environment | sound.environment)
log_output(window)
target = choose_target(window, 1)
window.press_close_button()
check_closed(window, wine.settings_file(), target, "the button, on the stage")
check_nothing_stays("the button, on the stage")

window.command += ["--input", "Microphone"]
window.open()
window.wait_for(lambda state: not state["is_stage"] and state["health"] == "running", PATIENCE_S, "the microphone to be listened to")
check(any("capture-child" in program for program in wine.programs()), "a process of its own captures")
target = choose_target(window, 2)
window.press_close_button()
check_closed(window, wine.settings_file(), target, "the button, while it listens")
check_nothing_stays("the button, while it listens")
