"""What belongs to Wine: a folder of the test's own that it keeps its files in, and which programs run in it."""

import atexit
import os
import pathlib
import shutil
import subprocess
import tempfile
import time

STARTED_S = 120.0  # only ever spent when something hangs
POLL_S = 0.05


class Wine:
    """Programs started with `environment` share nothing with other programs under Wine."""

    def __init__(self, brink):
        """`brink`: the program's starter."""
        self.folder = pathlib.Path(tempfile.mkdtemp(prefix="brink-wine-"))
        self.environment = {"WINEPREFIX": str(self.folder)}
        # The first program of all makes the folder, which takes its time. Wine's own processes know no display then: while they run,
        # no window can be opened.
        without_display = {name: value for name, value in os.environ.items() if name != "DISPLAY"}
        subprocess.run([brink, "--version"], env=without_display | self.environment, check=True, timeout=STARTED_S,
                       stdout=subprocess.DEVNULL)
        atexit.register(self._clear)
        end = time.monotonic() + STARTED_S
        while self.programs():
            if time.monotonic() > end:
                raise RuntimeError(f"Wine did not come to rest: {self.programs()}")
            time.sleep(POLL_S)

    def settings_file(self):
        """Where brink keeps its settings."""
        users = self.folder / "drive_c" / "users"
        mine = next(user for user in users.iterdir() if user.name != "Public")
        return mine / "AppData" / "Roaming" / "brink" / "settings.json"

    def programs(self):
        """What runs now, as it was started. Wine's own are among them for some seconds."""
        mine = f"WINEPREFIX={self.folder}".encode()
        return [_read(process / "cmdline").replace(b"\0", b" ").decode().strip() for process in pathlib.Path("/proc").iterdir()
                if process.name.isdigit() and mine in _read(process / "environ").split(b"\0")]

    def _clear(self):
        server = shutil.which("wineserver") or "/usr/lib/wine/wineserver"
        subprocess.run([server, "-k"], env=os.environ | self.environment, stderr=subprocess.DEVNULL)
        shutil.rmtree(self.folder, ignore_errors=True)


def _read(path):
    try:
        return path.read_bytes()
    except OSError:
        return b""  # it has ended
