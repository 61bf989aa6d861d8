"""The list of inputs while it is open: what comes appears, what goes disappears, and the arrows stay at the same input."""

import sys

from jack_loop import JackLoop
from window import Window, check

PATIENCE_S = 30.0  # only ever spent when something hangs

loop = JackLoop(sys.argv[3])
window = Window(sys.argv[1], pictures=sys.argv[2], environment=loop.environment)


def picker(is_so, what):
    return window.wait_for(lambda state: is_so(state["input_picker"]), PATIENCE_S, what)["input_picker"]


def go_to(name):
    for _ in range(6):
        here = window.state()["input_picker"]["input"]
        if here.startswith(name):
            return
        window.press("Down")
        picker(lambda it: it["input"] != here, "the next device")


window.press("i")
alone = picker(lambda it: not it["is_asking"] and it["input_count"] >= 1, "the server's own input")["input_count"]
go_to("system")
for _ in range(2):
    loop.start_room(-12.0)
    here = picker(lambda it: it["input_count"] == alone + 1, "the room, which came while the list was open")
    check(here["input"].startswith("system"), f"the arrows are still at the server's input: {here['input']}")
    window.picture("inputs-came")
    loop.end_room()
    here = picker(lambda it: it["input_count"] == alone, "the room gone again")
    check(here["input"].startswith("system"), f"the arrows are still there: {here['input']}")

# An input that goes while the arrows are at it takes them to the stage, which is always there.
loop.start_room(-12.0)
picker(lambda it: it["input_count"] == alone + 1, "the room")
go_to("room")
loop.end_room()
here = picker(lambda it: it["input_count"] == alone, "the room gone")
check(here["input"] == "", f"the arrows are at the stage: {here['input']}")
