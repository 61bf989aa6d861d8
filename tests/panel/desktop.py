"""The panel as it stands on a desktop: under a window manager, beside windows of other programs that take the keyboard from it and
drop files on it."""

import os
import shutil
import subprocess
import sys
import time

from window import POLL_S, SKIPPED, Window, fail

# Keys of the test's own: no user's configuration is read. New windows take the keyboard, as on most desktops.
MANAGER_CONFIGURATION = """<openbox_config xmlns="http://openbox.org/3.4/rc">
<focus><focusNew>yes</focusNew></focus>
<keyboard>
<keybind key="A-F9"><action name="Iconify"/></keybind>
<keybind key="A-F10"><action name="ToggleMaximize"/></keybind>
<keybind key="A-Tab"><action name="NextWindow"/></keybind>
</keyboard>
</openbox_config>
"""
MAXIMISE = "alt+F10"  # and back
ICONIFY = "alt+F9"
STARTED_S = 10.0  # only ever spent when something hangs


class Desktop(Window):
    """Ends with close(), as a Window does; `other_window` is the program in tests/support."""

    def __init__(self, brink, other_window, **options):
        if shutil.which("openbox") is None:
            print("skipped: openbox is not installed (third_party/install brings it)")
            sys.exit(SKIPPED)
        self.other_window = other_window
        self.others = []
        super().__init__(brink, **options)

    def _start_display(self, size):
        display = super()._start_display(size)
        configuration = self.folder / "openbox.xml"
        configuration.write_text(MANAGER_CONFIGURATION)
        environment = dict(os.environ, DISPLAY=display)
        # The first key of all makes the server announce a new keyboard, and a manager then takes its keys anew: one that is pressed
        # meanwhile is lost.
        subprocess.run(["xdotool", "key", "shift"], env=environment, check=True)
        self.manager = subprocess.Popen(["openbox", "--sm-disable", "--config-file", str(configuration)],
                                        env=environment, stderr=subprocess.DEVNULL)
        end = time.monotonic() + STARTED_S
        while subprocess.run(["xdotool", "get_desktop"], env=environment, capture_output=True).returncode != 0:
            if time.monotonic() > end or self.manager.poll() is not None:
                fail("the window manager did not start")
            time.sleep(POLL_S)
        return display

    def drop(self, *paths):
        """Files from another program's window; what that was told of them."""
        return subprocess.run([self.other_window, self.xid, "200", "300", *map(str, paths)], env=self.environment,
                              check=True, capture_output=True, text=True).stdout.strip()

    def show_another(self):
        """Another program's window takes the keyboard, until close_another()."""
        self.others.append(subprocess.Popen([self.other_window], env=self.environment))

    def close_another(self):
        other = self.others.pop()
        other.terminate()
        other.wait()

    def activate(self):
        """As a click on it in a task bar does: no icon any more, in front, with the keyboard."""
        self._xdotool("windowactivate", "--sync", self.xid)

    def press_close_button(self):
        """The last button in the title, which the manager draws above the window, as wide as that."""
        extents = subprocess.run(["xprop", "-id", self.xid, "_NET_FRAME_EXTENTS"], env=self.environment, check=True,
                                 capture_output=True, text=True).stdout
        title_height = int(extents.split("=")[1].split(",")[2])
        width = int(self._xdotool("getwindowgeometry", "--shell", self.xid).split("WIDTH=")[1].split()[0])
        self.click(width - title_height // 2, -title_height // 2)

    def close(self):
        while self.others:
            self.close_another()
        self.manager.terminate()
        self.manager.wait()
        super().close()
