"""A signal closes the window as its own button does: with status 0, settings kept, and the whole book in its one file."""

import signal
import sys

from closing import check_closed, choose_target, log_output
from window import Window

window = Window(sys.argv[1], pictures=sys.argv[2])
settings_file = window.folder / "config" / "brink" / "settings.json"

for row, number in enumerate((signal.SIGINT, signal.SIGTERM, signal.SIGHUP), start=1):
    if number == signal.SIGINT:
        log_output(window)
    target = choose_target(window, row)
    window.program.send_signal(number)
    check_closed(window, settings_file, target, number.name)
    window.open()
