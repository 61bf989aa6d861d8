"""Drives the panel as a user does: a real window on a display of its own, real keys, and what it
shows read from the state file that it keeps."""

import atexit
import json
import os
import pathlib
import shutil
import subprocess
import sys
import tempfile
import time

SKIPPED = 77  # what ctest takes for "skipped"
KEY_HELD_S = 0.05
POLL_S = 0.05


def need_tools():
    """Ends the test as skipped, with a sentence, where there is nothing to drive a window with."""
    for tool in ("Xvfb", "xdotool"):
        if shutil.which(tool) is None:
            print(f"skipped: {tool} is not installed (third_party/install brings it)")
            sys.exit(SKIPPED)


def enter_own_folder():
    """Works in a new folder from now on, so that a book with a short name lies there and what the window says of files beside it
    is short too. Paths from the command line must be absolute before."""
    folder = tempfile.mkdtemp(prefix="brink-panel-")
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    os.chdir(folder)


class Window:
    """One brink panel on one virtual display; both end with close()."""

    def __init__(self, brink, *arguments, size=(1280, 800), pictures=None, book=None, environment=None):
        need_tools()
        self.folder = pathlib.Path(tempfile.mkdtemp(prefix="brink-panel-"))
        self.pictures = pathlib.Path(pictures).resolve() if pictures else self.folder
        self.pictures.mkdir(parents=True, exist_ok=True)
        self.state_file = self.folder / "state.json"
        self.book = pathlib.Path(book) if book else self.folder / "book.sqlite"
        self.display = self._start_display(size)
        self.environment = dict(os.environ, DISPLAY=self.display, XDG_CONFIG_HOME=str(self.folder / "config"),
                                XDG_DATA_HOME=str(self.folder / "data"), **(environment or {}))
        self.program = None
        self.command = [brink, "panel", "--state", str(self.state_file), "--pictures", str(self.pictures),
                        "--book", str(self.book), *arguments]
        atexit.register(self.close)  # also when the test fails half way
        self.open()

    def _start_display(self, size):
        read_end, write_end = os.pipe()
        self.server = subprocess.Popen(
            ["Xvfb", "-displayfd", str(write_end), "-screen", "0", f"{size[0]}x{size[1]}x24", "-nolisten", "tcp",
             "-noreset"], pass_fds=[write_end], stderr=subprocess.DEVNULL)
        os.close(write_end)
        with os.fdopen(read_end) as pipe:
            return ":" + pipe.readline().strip()

    def open(self):
        """Starts the program (again)."""
        self.state_file.unlink(missing_ok=True)
        self.program = subprocess.Popen(self.command, env=self.environment)
        self.wait_for(lambda state: state["stream_s"] > 0.0, 30, "the stage to run")
        self.xid = self._xdotool("search", "--name", "^brink$").split()[0]
        self._xdotool("windowfocus", "--sync", self.xid)

    def _xdotool(self, *words):
        return subprocess.run(["xdotool", *words], env=self.environment, check=True, capture_output=True,
                              text=True).stdout

    def press(self, key, times=1, pause_s=0.05):
        """`key` as X names it: a, 1, space, Up, question ..."""
        for _ in range(times):
            self._xdotool("keydown", key)
            time.sleep(KEY_HELD_S)
            self._xdotool("keyup", key)
            time.sleep(pause_s)

    def click(self, x, y):
        """At a place of the window, in pixels."""
        self._xdotool("mousemove", "--window", self.xid, str(x), str(y))
        time.sleep(0.2)
        self._xdotool("mousedown", "1")
        time.sleep(KEY_HELD_S)
        self._xdotool("mouseup", "1")

    def drag(self, start, end):
        """Takes what is at `start` and lets it go at `end`, in pixels of the window."""
        self._xdotool("mousemove", "--window", self.xid, str(start[0]), str(start[1]))
        time.sleep(0.2)
        self._xdotool("mousedown", "1")
        time.sleep(0.2)
        for step in range(1, 6):
            self._xdotool("mousemove", "--window", self.xid, *(str(int(a + (b - a) * step / 5)) for a, b in zip(start, end)))
            time.sleep(KEY_HELD_S)
        self._xdotool("mouseup", "1")

    def wheel(self, x, y, steps):
        """Turns the wheel there; up is positive."""
        self._xdotool("mousemove", "--window", self.xid, str(x), str(y))
        time.sleep(0.2)
        for _ in range(abs(steps)):
            self._xdotool("click", "4" if steps > 0 else "5")
            time.sleep(KEY_HELD_S)

    def type(self, text):
        self._xdotool("type", "--delay", "60", "--", text)

    def state(self):
        return json.loads(self.state_file.read_text())

    def wait_for(self, is_so, timeout_s, what):
        """The first state for which `is_so` holds; fails the test when none comes in time."""
        end = time.monotonic() + timeout_s
        state = None
        while time.monotonic() < end:
            if self.program.poll() is not None:
                fail(f"the window closed with status {self.program.returncode} while waiting for {what}")
            if self.state_file.exists():
                state = self.state()
                if is_so(state):
                    return state
            time.sleep(POLL_S)
        fail(f"waited {timeout_s} s for {what}; last seen: {json.dumps(state)}")

    def hear(self, length_s):
        """Until so much more sound was listened to."""
        first_s = self.state()["stream_s"]
        self.wait_for(lambda state: state["stream_s"] >= first_s + length_s, 10.0 + 5.0 * length_s, f"{length_s} s of sound")

    def picture(self, name):
        """What is shown now, as NAME.png among the pictures."""
        before = set(self.pictures.glob("brink-*.png"))
        self.press("F12")
        end = time.monotonic() + 10
        while time.monotonic() < end:
            fresh = set(self.pictures.glob("brink-*.png")) - before
            if fresh:
                path = self.pictures / f"{name}.png"
                fresh.pop().rename(path)
                return path
            time.sleep(POLL_S)
        fail(f"no picture {name}")

    def kill(self):
        """As a crash would end it."""
        self.program.kill()
        self.program.wait()

    def close_program(self):
        """As a user ends it; open() starts it again on the same display."""
        self.program.terminate()
        self.program.wait(timeout=20)

    def close(self):
        if self.program is not None and self.program.poll() is None:
            self.program.terminate()
            self.program.wait(timeout=20)
        self.server.terminate()
        self.server.wait()
        shutil.rmtree(self.folder, ignore_errors=True)


def fail(sentence):
    print("FAILED: " + sentence, file=sys.stderr)
    sys.exit(1)


def check(is_so, sentence):
    if not is_so:
        fail(sentence)


def loudest_state(state, word):
    """Whether some ring shown is in that state."""
    return any(ring["state"] == word for ring in state["rings"])
