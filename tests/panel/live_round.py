"""An output that is rung out in the window, over a loop that really closes, on a sound server that may die."""

import time

from jack_loop import JackLoop
from window import Window, check

PATIENCE_S = 30.0  # only ever spent when something hangs


class LiveRound:
    def __init__(self, brink, pictures, room):
        self.loop = JackLoop(room)
        self.loop.start_room(-12.0)
        self.window = Window(brink, "--input", "room", pictures=pictures, environment=self.loop.environment)
        self.window.wait_for(lambda state: not state["is_stage"], PATIENCE_S, "the room to be listened to")
        self.wait_for_sound()
        self.window.press("2")
        self.window.press("n")
        self.wait(lambda it: it["form"], "the form for an output")
        self.window.press("Return")
        self.wait(lambda it: it.get("output") == "Wedge 1", "the output")

    def wait(self, is_so, what):
        return self.window.wait_for(lambda state: is_so(state["Ring out"]), PATIENCE_S, what)["Ring out"]

    def wait_for_sound(self):
        before = self.window.state()["stream_s"]
        self.window.wait_for(
            lambda state: not state["is_stage"] and state["health"] == "running" and state["stream_s"] > before + 0.5,
            PATIENCE_S, "sound from the room")

    def type_fader(self, fader_db):
        self.window.press("f")
        self.wait(lambda it: it["form"], "the form for the fader")
        self.window.type(f"{fader_db:g}")
        self.window.press("Return")
        self.wait(lambda it: it.get("fader_db") == fader_db, "the fader as it was typed")

    def raise_fader(self, *faders_db):
        """The hand goes up, and says so."""
        for fader_db in faders_db:
            self.type_fader(fader_db)
            self.loop.set_gain(fader_db)
            time.sleep(0.8)

    def wait_for_catch(self):
        return self.wait(lambda it: it["phase"] == "catch" and it.get("is_fitted") and it["is_certain"] and it["takes_keys"],
                         "the ring of the loop")

    def lose_server(self):
        """As the window says it once it is noticed."""
        self.loop.kill_server()
        self.window.wait_for(lambda state: state["health"] != "running", PATIENCE_S, "the input to be gone")
        gone = self.window.wait_for(lambda state: state["level"] == "no input", PATIENCE_S,
                                    "the meter to say that nothing comes")["Ring out"]
        check(gone["instruction"] == "Pull the fader down: brink hears nothing.",
              f"what to do while deaf: {gone['instruction']}")
        if gone["offered"] == 0:
            check(gone["no_rings"] == "brink hears nothing", f"silence is no sign that nothing rings: {gone['no_rings']}")
        return gone

    def regain_server(self):
        check(self.loop.start_server(), "the server starts again")
        self.loop.start_room(-12.0)  # what rang already before it is heard has no growth to know it by
        self.wait_for_sound()
        return self.wait(lambda it: "hears nothing" not in it["instruction"], "another instruction than while deaf")
