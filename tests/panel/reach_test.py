"""Whether the gain is enough: values changed by keys, the answer that of `brink reach`."""

import json
import subprocess
import sys

from window import Window, check

brink = sys.argv[1]
window = Window(brink, pictures=sys.argv[2])


def reach(state):
    return state["Reach"]


def choose(field):
    """Goes down the form to a field."""
    while (here := reach(window.state())["field"]) != field:
        window.press("Down")
        window.wait_for(lambda state: reach(state)["field"] != here, 5, f"the field after {here}, on the way to {field}")


def enter(field, number):
    choose(field)
    window.press("Return")
    window.wait_for(lambda state: reach(state)["is_editing"], 5, "the number to be open")
    window.press("ctrl+a")
    window.type(number)
    window.press("Return")
    window.wait_for(lambda state: not reach(state)["is_editing"] or reach(state)["refusal"], 5, f"{field}")


window.press("5")
window.wait_for(lambda state: state["pane"] == "Reach", 5, "the pane")
start = reach(window.state())
check(start["field"] == "talker to microphone" and start["value"] == "0.3 m", "the form starts at its top")
window.picture("reach")
window.press("Right")
window.wait_for(lambda state: reach(state)["value"] == "0.35 m", 5, "a step up")
window.press("Left")
window.wait_for(lambda state: reach(state)["value"] == "0.3 m", 5, "a step down")

enter("talker to microphone", "near")
refused = window.wait_for(lambda state: reach(state)["refusal"], 5, "nonsense to be refused")
check("alker to microphone" in reach(refused)["refusal"], "the refusal names the field")
window.picture("reach-refused")
window.press("Escape")
window.wait_for(lambda state: not reach(state)["is_editing"] and reach(state)["value"] == "0.3 m", 5, "the old value")

VALUES = {"talker to microphone": "0.5", "talker to listener": "14", "microphone to loudspeaker": "6",
          "loudspeaker to listener": "10", "good hearing distance": "2.5", "number of open microphones": "4",
          "margin": "6"}
for field, number in VALUES.items():
    enter(field, number)
    window.wait_for(lambda state: not reach(state)["is_editing"] and reach(state)["value"].split()[0] == number,
                    5, field)
choose("room")
window.press("Right", times=2)
window.wait_for(lambda state: reach(state)["value"] == "by volume and T60", 5, "the room")
enter("volume", "900")
enter("T60", "1.4")
enter("directivity", "5")
window.wait_for(lambda state: reach(state)["value"] == "5", 5, "the last value")
shown = reach(window.state())
window.picture("reach-room")

arguments = []
for field, number in VALUES.items():
    name = {"good hearing distance": "good-hearing", "number of open microphones": "open-microphones"}.get(field, field)
    arguments += ["--" + name.replace(" ", "-"), number]
asked = [brink, "reach", *arguments, "--volume", "900", "--t60", "1.4", "--directivity", "5"]
answer = json.loads(subprocess.run(asked + ["--format", "json"], check=True, capture_output=True, text=True).stdout)
for key in ("potential_db", "needed_db", "spare_db"):
    check(abs(shown[key] - answer[key]) <= 0.005, f"{key} is that of brink reach")  # it rounds to hundredths
check(shown["works"] == answer["works"], "the same verdict")
text = subprocess.run(asked, check=True, capture_output=True, text=True).stdout
check(shown["sentence"] in text, "the same sentence")
check(shown["best_move"] in text.split("\n")[3], "the same best move")

window.press("Up", times=14)
window.wait_for(lambda state: reach(state)["field"] == "talker to microphone", 5, "the top")
enter("talker to listener", "900")
lost = window.wait_for(lambda state: not reach(state)["has_answer"], 5, "distances that do not meet")
check("talker to listener" in reach(lost)["fault"], "the field that is too long is named")
window.picture("reach-apart")
