"""The window opens where and as large as it was left, with the letters that were chosen, and always where one can see it."""

import json
import sys

from window import Window, check

SCREEN = (1920, 1080)
SMALLEST = (960, 600)

window = Window(sys.argv[1], pictures=sys.argv[2], size=SCREEN)
settings_file = window.folder / "config" / "brink" / "settings.json"


def geometry():
    lines = window._xdotool("getwindowgeometry", "--shell", window.xid).splitlines()
    words = dict(line.split("=") for line in lines)
    return int(words["X"]), int(words["Y"]), int(words["WIDTH"]), int(words["HEIGHT"])


def kept(width):
    """Whether the file has that width already."""
    return settings_file.exists() and json.loads(settings_file.read_text())["window"]["width"] == width


def check_on_screen(what):
    x, y, width, height = geometry()
    check(x >= 0 and y >= 0 and x + width <= SCREEN[0] and y + height <= SCREEN[1], f"{what}: wholly on the screen")
    check(width >= SMALLEST[0] and height >= SMALLEST[1], f"{what}: not too small")


start = window.state()
check((start["width"], start["height"], start["scale"]) == (1280, 800, 1.0), "the first run has the first size")
window._xdotool("windowmove", window.xid, "300", "120")
window._xdotool("windowsize", window.xid, "1500", "900")
window.wait_for(lambda state: (state["width"], state["height"]) == (1500, 900), 10, "the size to be taken")
window.press("plus")
window.wait_for(lambda state: state["scale"] == 1.25, 10, "larger letters")
window.wait_for(lambda _: kept(1500), 10, "the place to be remembered")
window.close_program()

window.open()
again = window.state()
check(geometry() == (300, 120, 1500, 900), "the same place and size")
check(again["scale"] == 1.25, "the same letters")
window.close_program()

command = window.command
window.command = [*command, "--scale", "1"]
window.open()
check(window.state()["scale"] == 1.0, "--scale goes first")
window.close_program()
window.command = command
check(json.loads(settings_file.read_text())["interface_scale"] == 1.25, "and is not remembered")

for x, y, width, height in ((50000, -9000, 1100, 700), (-5000, 20, 400, 330), (1900, 1060, 16000, 12000)):
    settings = json.loads(settings_file.read_text())
    settings["window"].update(x=x, y=y, width=width, height=height)
    settings_file.write_text(json.dumps(settings))
    window.open()
    check_on_screen(f"left at {x}, {y}")
    window.close_program()

settings_file.unlink()
window.command = [*command, "--scale", "1.5"]
window.open()
state = window.state()
check((state["width"], state["height"], state["scale"]) == (1920, 1080, 1.5), "large letters get a large window")
window.picture("window-scale")
