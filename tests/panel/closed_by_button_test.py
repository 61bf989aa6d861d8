"""The button in the window's title closes it: with status 0, settings kept, and the whole book in its one file."""

import sys

from closing import check_closed, choose_target, log_output
from desktop import Desktop

window = Desktop(sys.argv[1], None, pictures=sys.argv[2])
log_output(window)
target = choose_target(window, 1)
window.press_close_button()
check_closed(window, window.folder / "config" / "brink" / "settings.json", target, "the button")
