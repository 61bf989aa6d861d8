"""The page of `brink listen --page` in a real browser without a window, at the sizes of telephones: what it shows of a ring, its
letters, contrast and light; the server that is taken away and comes back.

Called with the program and a folder for pictures. Look at them after a change of the page."""

import http.client
import json
import os
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile
import time
import urllib.parse

from browser import PATIENCE_S, Browser
from sound import RingingLoop

RING_HZ = 2631.4
SAYS_GONE_S = 2.0
SIZES = ((360, 640), (390, 844))
LOOK = (pathlib.Path(__file__).parent / "look.js").read_text(encoding="utf-8")

brink, pictures = sys.argv[1], pathlib.Path(sys.argv[2]).resolve()
pictures.mkdir(parents=True, exist_ok=True)


class Listening:
    """`brink listen` on samples of a loop that rings, with its page."""

    def __init__(self, folder, where):
        environment = dict(os.environ, XDG_CONFIG_HOME=str(folder))
        self.program = subprocess.Popen([brink, "listen", "--stdin", "--rate", "48000", "--page", where], env=environment,
                                        stdin=subprocess.PIPE, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE)
        line = self.program.stderr.readline().decode()
        self.url = re.search(r"http://\S+", line).group()
        self.loop = RingingLoop(self.program.stdin, RING_HZ)

    def end(self):
        self.program.terminate()
        self.loop.stop()
        self.program.stdin.close()
        assert self.program.wait(PATIENCE_S) == 0
        self.program.stderr.close()


def reader(url):
    """Somebody else who reads the states; comes back once it has a place."""
    parts = urllib.parse.urlparse(url)
    end = time.monotonic() + PATIENCE_S
    while time.monotonic() < end:
        connection = http.client.HTTPConnection(parts.netloc, timeout=PATIENCE_S)
        connection.request("GET", parts.path + "states")
        answer = connection.getresponse()
        if answer.status == 200:
            return answer
        answer.close()  # whoever left before has not been noticed yet
    raise AssertionError("no place among the readers")


def check_look(phone, width, is_dark):
    found = phone.value(LOOK)
    assert found["texts"] >= 6, found
    assert found["dark"] == is_dark, found
    assert not found["faint"] and not found["wide"] and not found["small"] and found["scroll"] <= width, found
    # At arm's length, 0.6 m, a capital of 20 minutes of arc (ISO 9241-303, from memory) is 3.5 mm high, 0.7 of its letter. A
    # CSS pixel of these telephones is about 0.165 mm (common practice: 154 to an inch).
    least = 3.5 / 0.7 / 0.165
    assert found["sizes"][".ring strong"] >= 1.5 * least and found["sizes"][".ring b"] >= 0.75 * least, found
    return found


def pixels_differ(phone):
    """The map is drawn, and moves: two looks at its points have other pixels."""
    probe = "(() => { const c = document.getElementById('map'); return c.toDataURL(); })()"
    before = phone.value(probe)
    phone.wait_for(f"{probe} !== {json.dumps(before)}", "the map to move")


def main():
    browser = Browser()
    folder = tempfile.mkdtemp(prefix="brink-page-")
    try:
        listening = Listening(folder, "127.0.0.1:0")
        where = urllib.parse.urlparse(listening.url).netloc
        phone = browser.open(listening.url, *SIZES[0])
        phone.wait_for("document.querySelector('.ring.ringing strong')?.textContent === '2.63 kHz'", "the ring")
        cut = phone.value("document.querySelector('.ring b').textContent.trim()")
        assert re.fullmatch(r"cut 2\.6\d kHz Q [\d.]+ -\d+\.\d dB", cut), cut
        assert re.search(r"-?\d+ dBFS|clips", phone.value("document.querySelector('.level span').textContent"))
        phone.wait_for("document.getElementById('down').textContent === 'Down now: 2.63 kHz'", "the loud ring to be urgent")
        pixels_differ(phone)

        for width, height in SIZES:
            for is_dark in (False, True):
                one = browser.open(listening.url, width, height, is_dark)
                one.wait_for("!!document.querySelector('.ring b')", "the ring")
                check_look(one, width, is_dark)
                one.picture(pictures / f"listen-{width}-{'dark' if is_dark else 'light'}.png")
                one.close()
        wide = browser.open(listening.url, 844, 390)
        wide.wait_for("!!document.querySelector('.ring b')", "the ring")
        check_look(wide, 844, False)
        wide.picture(pictures / "listen-landscape.png")
        wide.close()

        # The page speaks to its own address alone, and does nothing that its policy forbids.
        assert {urllib.parse.urlparse(url).netloc for url in phone.asked()} - {""} == {where}, phone.asked()
        assert not phone.faults(), phone.faults()

        # Ten a second, as far as the machine keeps up: at least four.
        states = phone.value("""new Promise(done => { let count = 0, seen = lastState; const from = performance.now();
          const timer = setInterval(() => { if (lastState !== seen) { seen = lastState; ++count; }
            if (performance.now() - from > 3000) { clearInterval(timer); done(count / 3); } }, 5); })""")
        print(f"{states:.1f} states a second")
        assert states >= 4.0, states

        # The server goes, by a kill that says nothing to anybody, and comes back at the same address with the same secret.
        url = listening.url
        phone.value("""(() => { window.goneAfter = null; const from = performance.now();
          window.watch = setInterval(() => { if (!document.body.classList.contains('is-live') && window.goneAfter === null)
            window.goneAfter = performance.now() - from; }, 20); })()""")
        listening.program.kill()
        gone_ms = phone.wait_for("window.goneAfter", "the page to say that the connection is gone")
        phone.picture(pictures / "gone.png")
        check_look(phone, SIZES[0][0], False)
        assert phone.value("document.getElementById('link').textContent").startswith("Connection gone.")
        print(f"said after {gone_ms / 1000:.2f} s that the connection is gone")
        assert gone_ms <= 1000 * SAYS_GONE_S, gone_ms
        listening.loop.stop()
        listening.program.wait()
        listening = Listening(folder, where)
        assert listening.url == url, "the same secret"
        phone.wait_for("document.body.classList.contains('is-live')", "the page to come back")
        phone.wait_for("document.querySelector('.ring.ringing strong')?.textContent === '2.63 kHz'", "the ring again")

        # With eight others there is no place, and it says so until one leaves. A browser opens six connections at most.
        phone.close()
        others = [reader(listening.url) for _ in range(8)]
        ninth = browser.open(listening.url, *SIZES[0])
        ninth.wait_for("document.getElementById('link')?.textContent.startsWith('Eight others')", "the ninth to be refused")
        others.pop().close()
        ninth.wait_for("document.body?.classList.contains('is-live')", "a place to be free")
        for one in others:
            one.close()

        # With a wrong secret there is nothing.
        stranger = browser.open(listening.url[:-2] + ("0" if listening.url[-2] != "0" else "1") + "/", *SIZES[0])
        assert not stranger.value("document.body ? document.body.innerText.trim() : ''").startswith("Looking")
        listening.end()
    finally:
        browser.close()
        shutil.rmtree(folder, ignore_errors=True)


main()
