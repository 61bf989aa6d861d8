"""What one acts on is read from two metres: its sizes at 1280 x 800, a ring announced in every pane, and the key that fills the window."""

import sys

from window import Window, check, loudest_state

LEAST_ARC_MIN = 16.0  # of what one acts on
FIRST_ARC_MIN = 30.0  # the frequency of the first ring
PATIENCE_S = 20.0

window = Window(sys.argv[1], pictures=sys.argv[2])


def check_sizes(state, least, where):
    """`least`: minutes of arc for each thing that must be there."""
    for what, arc_min in least.items():
        told = state["seen"].get(what)
        check(told is not None, f"{where}: {what} is there, among {state['seen']}")
        check(told["arc_min"] >= arc_min, f"{where}: {what} is {told['arc_min']:.1f} minutes of arc high, at least {arc_min}")


# Nothing rings yet: what to do first stands there.
quiet = window.state()
check_sizes(quiet, {"instruction": LEAST_ARC_MIN, "fader": LEAST_ARC_MIN, "level": LEAST_ARC_MIN}, "nothing rings")
check("frequency" not in quiet["seen"], "no frequency while nothing rings")
window.picture("afar-quiet")
for number in "34567":
    window.press(number)
    window.wait_for(lambda state: state["pane"] != "Listen", PATIENCE_S, f"pane {number}")
    window.picture(f"afar-empty-{number}")
window.press("2")
window.wait_for(lambda state: state["pane"] == "Ring out" and not state["Ring out"]["is_looking"], PATIENCE_S, "Ring out")
window.picture("afar-empty-2")

# An output, up to its first ring.
window.press("n")
window.wait_for(lambda state: state["Ring out"]["form"], PATIENCE_S, "the form")
window.press("Return")
window.wait_for(lambda state: state["Ring out"].get("phase") == "prepare", PATIENCE_S, "the checklist")
window.picture("afar-prepare")
check_sizes(window.wait_for(lambda state: "instruction" in state["seen"], PATIENCE_S, "what to do"), {"instruction": LEAST_ARC_MIN, "fader": LEAST_ARC_MIN}, "the checklist")
window.press("p", times=5, pause_s=0.1)
window.press("Up", times=13, pause_s=0.15)
ALL = {"frequency": FIRST_ARC_MIN, "cut": LEAST_ARC_MIN, "instruction": LEAST_ARC_MIN, "fader": LEAST_ARC_MIN, "level": LEAST_ARC_MIN}
caught = window.wait_for(lambda state: state["Ring out"].get("is_fitted") and loudest_state(state, "ringing") and state["Ring out"]["offered"] == 1,
                         60, "a ring with its cut")
check_sizes(caught, ALL, "Ring out")
window.picture("afar-ring-out")
check(caught["announcement"] == "", "Ring out shows the ring itself")
window.press("1")
check_sizes(window.wait_for(lambda state: state["pane"] == "Listen" and "frequency" in state["seen"], PATIENCE_S, "Listen"), ALL, "Listen")
window.picture("afar-listen")

# A ring that nobody tends rings on, and every pane says so.
for number, pane in (("3", "Ear"), ("4", "Recording"), ("5", "Reach"), ("6", "Book"), ("7", "Sweep")):
    window.press(number)
    # What was seen is of the pass before when a key has just changed the pane.
    told = window.wait_for(lambda state: state["pane"] == pane and state["announcement"] != "" and "announcement" in state["seen"], PATIENCE_S,
                           f"the ring to be announced in {pane}")
    check("Hz" in told["announcement"] and "1 shows it" in told["announcement"], f"{pane}: {told['announcement']}")
    check_sizes(told, {"announcement": LEAST_ARC_MIN, "level": LEAST_ARC_MIN}, pane)
    window.picture(f"afar-announced-{number}")
window.press("question")
paged = window.wait_for(lambda state: state["overlay"] != 0 and "Esc shows it" not in state["announcement"], PATIENCE_S, "the page of help")
check("1 shows it" in paged["announcement"], "over a page, too")
window.press("Escape")
window.press("1")
window.wait_for(lambda state: state["pane"] == "Listen" and state["announcement"] == "", PATIENCE_S, "Listen again")
window.press("question")
window.wait_for(lambda state: state["overlay"] != 0 and state["announcement"].endswith("Esc shows it"), PATIENCE_S, "the ring over help")
window.picture("afar-announced-help")
window.press("Escape")
window.wait_for(lambda state: state["overlay"] == 0, PATIENCE_S, "help to close")
window.press("7")
window.wait_for(lambda state: state["pane"] == "Sweep", PATIENCE_S, "Sweep")

# One key, and what one acts on fills the window; keys do what they did.
window.press("9")
afar = window.wait_for(lambda state: state["is_from_afar"] and "cut" in state["seen"], PATIENCE_S, "the whole window")
check(afar["pane"] == "Ring out", "it is that of the output that is rung out")
check_sizes(afar, {"frequency": FIRST_ARC_MIN, "cut": 22.0, "instruction": 22.0, "fader": 22.0}, "from afar")
check("level" not in afar["seen"], "nothing else stands there")
window.picture("afar-whole")
fader_db = afar["fader_db"]
window.press("Down")
window.wait_for(lambda state: state["fader_db"] == fader_db - 1.0, PATIENCE_S, "the fader to go down by its key")
for _ in range(20):
    window.press("space")
    if window.state()["Ring out"]["rounds"] == 1:
        break
window.wait_for(lambda state: state["Ring out"]["rounds"] == 1, PATIENCE_S, "the cut to be logged by its key")
window.picture("afar-whole-cut")
window.press("Escape")
window.wait_for(lambda state: not state["is_from_afar"] and state["pane"] == "Ring out", PATIENCE_S, "Esc to go back")
window.picture("afar-equaliser")
window.press("9")
window.wait_for(lambda state: state["is_from_afar"], PATIENCE_S, "the whole window again")
window.press("6")
window.wait_for(lambda state: not state["is_from_afar"] and state["pane"] == "Book", PATIENCE_S, "a pane's key to go there")
