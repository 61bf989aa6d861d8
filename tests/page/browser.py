"""A browser without a window that a test operates through its DevTools, over a pipe: no port is opened."""

import atexit
import base64
import json
import os
import pathlib
import select
import shutil
import subprocess
import sys
import tempfile
import time

SKIPPED = 77  # what ctest takes for "skipped"
PATIENCE_S = 30.0  # only ever spent when something hangs


def find_browser():
    """Ends the test as skipped, with a sentence, where there is none."""
    for name in ("chromium-headless-shell", "chromium"):
        if shutil.which(name):
            return name
    print("skipped: chromium-headless-shell is not installed (third_party/install brings it)")
    sys.exit(SKIPPED)


class Browser:
    def __init__(self):
        self.profile = tempfile.mkdtemp(prefix="brink-browser-")
        to_browser, self.write_end = os.pipe()
        self.read_end, from_browser = os.pipe()
        words = [find_browser(), "--headless", "--no-sandbox", "--disable-gpu", "--hide-scrollbars", "--remote-debugging-pipe",
                 f"--user-data-dir={self.profile}", "about:blank"]
        # It reads what it is told from descriptor 3 and answers on 4.
        self.program = subprocess.Popen(["sh", "-c", f'exec "$@" 3<&{to_browser} 4>&{from_browser}', "sh", *words],
                                        pass_fds=[to_browser, from_browser], stderr=subprocess.DEVNULL)
        os.close(to_browser)
        os.close(from_browser)
        atexit.register(self.close)
        self.count = 0
        self.unread = b""
        self.events = []

    def close(self):
        if self.program.poll() is None:
            self.program.terminate()
            self.program.wait()
        shutil.rmtree(self.profile, ignore_errors=True)

    def _receive(self, end):
        while b"\0" not in self.unread:
            if not select.select([self.read_end], [], [], max(0.0, end - time.monotonic()))[0]:
                raise TimeoutError("the browser does not answer")
            more = os.read(self.read_end, 1 << 16)
            if not more:
                raise EOFError("the browser has ended")
            self.unread += more
        message, self.unread = self.unread.split(b"\0", 1)
        return json.loads(message)

    def ask(self, method, session=None, **parameters):
        """The answer to one command of the DevTools protocol."""
        self.count += 1
        number = self.count
        message = {"id": number, "method": method, "params": parameters}
        if session:
            message["sessionId"] = session
        os.write(self.write_end, json.dumps(message).encode() + b"\0")
        end = time.monotonic() + PATIENCE_S
        while True:
            answer = self._receive(end)
            if answer.get("id") == number:
                assert "error" not in answer, (method, answer)
                return answer["result"]
            self.events.append(answer)

    def open(self, url, width, height, is_dark=False):
        return Phone(self, url, width, height, is_dark)


class Phone:
    """One page at the size of a telephone, with a finger for a mouse."""

    def __init__(self, browser, url, width, height, is_dark):
        self.browser = browser
        target = browser.ask("Target.createTarget", url="about:blank")["targetId"]
        self.target = target
        self.session = browser.ask("Target.attachToTarget", targetId=target, flatten=True)["sessionId"]
        for domain in ("Page", "Runtime", "Log", "Network"):
            self.ask(f"{domain}.enable")
        self.ask("Emulation.setDeviceMetricsOverride", width=width, height=height, deviceScaleFactor=2, mobile=True)
        self.ask("Emulation.setTouchEmulationEnabled", enabled=True)
        self.set_dark(is_dark)
        self.ask("Page.navigate", url=url)

    def ask(self, method, **parameters):
        return self.browser.ask(method, self.session, **parameters)

    def set_dark(self, is_dark):
        self.ask("Emulation.setEmulatedMedia",
                 features=[{"name": "prefers-color-scheme", "value": "dark" if is_dark else "light"}])

    def value(self, script):
        """What a script in the page gives."""
        answer = self.ask("Runtime.evaluate", expression=script, returnByValue=True, awaitPromise=True)
        assert "exceptionDetails" not in answer, answer
        return answer["result"].get("value")

    def wait_for(self, script, what, timeout_s=PATIENCE_S):
        """The first value of the script that counts as true; the test fails when none comes."""
        end = time.monotonic() + timeout_s
        while time.monotonic() < end:
            value = self.value(script)
            if value:
                return value
            time.sleep(0.05)
        raise AssertionError(f"waited {timeout_s} s for {what}; it shows: {self.value('document.body.innerText')}")

    def tap(self, script):
        """A finger on the middle of the element that the script gives."""
        x, y = self.value(f"(() => {{ const b = ({script}).getBoundingClientRect();"
                          " return [b.x + b.width / 2, b.y + b.height / 2]; })()")
        self.ask("Input.dispatchTouchEvent", type="touchStart", touchPoints=[{"x": x, "y": y}])
        self.ask("Input.dispatchTouchEvent", type="touchEnd", touchPoints=[])

    def picture(self, path):
        data = self.ask("Page.captureScreenshot", format="png")["data"]
        pathlib.Path(path).write_bytes(base64.b64decode(data))

    def faults(self):
        """What the page did wrong: exceptions, refusals of its policy, resources of elsewhere."""
        found = []
        for event in self.browser.events:
            if event.get("sessionId") != self.session:
                continue
            if event["method"] == "Runtime.exceptionThrown":
                found.append(event["params"]["exceptionDetails"])
            if event["method"] == "Log.entryAdded" and event["params"]["entry"]["source"] in ("security", "javascript"):
                found.append(event["params"]["entry"])
        return found

    def asked(self):
        """The addresses that it asked for."""
        return {event["params"]["request"]["url"] for event in self.browser.events
                if event.get("sessionId") == self.session and event["method"] == "Network.requestWillBeSent"}

    def close(self):
        self.browser.ask("Target.closeTarget", targetId=self.target)
