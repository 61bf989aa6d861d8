"""An exercise sounds on a real sound server while Space is held in the window, and only then."""

import sys

from desktop import Desktop
from sound_server import start_sound_server
from window import check

EAR = lambda state: state["Ear"]

window = Desktop(sys.argv[1], sys.argv[3], pictures=sys.argv[2], environment=start_sound_server())
window.press("3")
window.press("n")
window.type("Mira")
window.press("Return")
ready = window.wait_for(lambda state: EAR(state)["phase"] == "ready", 60, "the first exercise")
check(not EAR(ready)["is_playing"], "it starts silent")

window._xdotool("keydown", "space")
sounding = window.wait_for(lambda state: EAR(state)["is_playing"], 20, "the sound while Space is held")
check(EAR(sounding)["sound_fault"] == "", "there is a sound output")
window.wait_for(lambda state: EAR(state)["phase"] == "sounding", 10, "the exercise to be open once it was heard")
window.picture("ear-sounding")
window._xdotool("keyup", "space")
window.wait_for(lambda state: not EAR(state)["is_playing"], 2, "silence when Space is let go")

window._xdotool("keydown", "space")
window.wait_for(lambda state: EAR(state)["is_playing"], 10, "the sound again")
window.show_another()
window.wait_for(lambda state: not EAR(state)["is_playing"], 5, "silence when another window takes the keyboard")
window._xdotool("keyup", "space")
window.close_another()
window.activate()
check(not EAR(window.state())["is_playing"], "it is silent until Space is pressed again")

window.press("Up", times=3)
window.wait_for(lambda state: EAR(state)["level_db"] == -14.0, 5, "three steps louder")
window.press("Return")
window.wait_for(lambda state: EAR(state)["is_kept"], 20, "the guess in the book")
window.press("Return")
window.wait_for(lambda state: EAR(state).get("number") == 2 and EAR(state)["phase"] == "ready", 60, "the next exercise")
check(EAR(window.state())["level_db"] == -14.0, "the level stays")
