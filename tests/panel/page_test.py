"""The page for the hand from the window: its code is read from a picture of the window, and a telephone's thumb logs a cut, says that
it came back, and undoes both, in the round of the simulated stage."""

import http.client
import pathlib
import re
import shutil
import socket
import subprocess
import sys
import time
import urllib.parse

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parent.parent / "page"))
from browser import Browser
from window import SKIPPED, Window, check, fail

PATIENCE_S = 30.0  # only ever spent when something hangs
LISTEN_S = 1.5  # after each step of the fader, as an engineer would
LOOK = (pathlib.Path(__file__).resolve().parent.parent / "page" / "look.js").read_text(encoding="utf-8")

if not shutil.which("zbarimg"):
    print("skipped: zbarimg is not installed (third_party/install brings it)")
    sys.exit(SKIPPED)


def free_port():
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return one.getsockname()[1]


def flow():
    return window.state()["Ring out"]


def wait(is_so, what):
    return window.wait_for(lambda state: is_so(state["Ring out"]), PATIENCE_S, what)["Ring out"]


def wait_page(is_so, what):
    return window.wait_for(lambda state: is_so(state["page"]), PATIENCE_S, what)["page"]


def raise_until_caught():
    for _ in range(60):
        if flow()["phase"] == "catch":
            return wait(lambda it: it.get("is_fitted") or it["phase"] != "catch", "a cut to be fitted")
        window.press("Right")
        end = time.monotonic() + LISTEN_S
        while time.monotonic() < end and flow()["phase"] != "catch":
            time.sleep(0.05)
    fail(f"nothing rings at {flow().get('fader_db')} dB")


def key(word):
    return f"[...document.querySelectorAll('#keys button')].find(one => one.textContent.startsWith('{word}'))"


def tap(word, is_so, what):
    """A thumb on the key until it is taken: a key that has just changed is not."""
    phone.wait_for(f"!!{key(word)}", f"the key {word}")
    for _ in range(20):
        if phone.value(f"!!{key(word)} && !{key(word)}.disabled"):
            phone.tap(key(word))
        end = time.monotonic() + 1.5
        while time.monotonic() < end:
            if is_so(flow()):
                return flow()
            time.sleep(0.05)
    return wait(is_so, what)


def post(name):
    parts = urllib.parse.urlparse(url)
    connection = http.client.HTTPConnection(parts.netloc, timeout=PATIENCE_S)
    connection.request("POST", f"{parts.path}key/{name}")
    return connection.getresponse().status


def url_in(picture):
    read = subprocess.run(["zbarimg", "--quiet", "--raw", picture], capture_output=True, text=True)
    if read.returncode:
        fail(f"no code can be read in {picture}")
    return read.stdout.strip()


where = f"127.0.0.1:{free_port()}"
window = Window(sys.argv[1], "--page", where, "--page-keys", pictures=sys.argv[2])
check(window.state()["page"]["is_open"], "--page opens it at once")
window.press("0")
wait_page(lambda page: page["is_shown"], "the sheet with the code")
url = url_in(window.picture("page-code"))
check(re.fullmatch(rf"http://{re.escape(where)}/[0-9a-hjkmnp-tv-z]{{26}}/", url), f"the address is {url}")
window.press("Escape")

browser = Browser()
phone = browser.open(url, 390, 844, is_dark=True)
phone.wait_for("document.getElementById('rings')?.textContent === 'Nothing rings'", "the stage to be quiet")
wait_page(lambda page: page["readers"] == 1, "the reader to be counted")
check(phone.value("document.querySelectorAll('#keys button').length") == 0, "no round, no keys")

# A round, with the fader at the laptop and the keys at the telephone.
window.press("2")
wait(lambda it: not it["is_looking"], "the book to be looked into")
window.press("n")
wait(lambda it: it["form"], "the form for an output")
window.press("Return")
wait(lambda it: it["outputs"] == 1, "the first output")
window.press("p", times=5, pause_s=0.1)
wait(lambda it: it["phase"] == "raise", "the checklist to be ticked")
window.press("Up", times=9, pause_s=0.1)
raise_until_caught()
phone.wait_for(f"!!{key('log this cut')}", "the cut to be on offer")
window.press("Down", times=3, pause_s=0.1)
wait(lambda it: it["offered"] == 1, "the ring to be offered alone")
look = phone.value(LOOK)
check(look["keys"] >= 1 and not look["small"] and not look["faint"] and not look["wide"], f"keys for a thumb: {look}")
check(look["sizes"]["#instruction"] >= 26, f"large letters: {look}")
phone.picture(pathlib.Path(sys.argv[2]) / "page-catch.png")
cut = tap("log ", lambda it: it["rounds"] == 1, "the cut to be logged")
wait(lambda it: it["is_logged"] and it["cuts"] == 1, "the cut on the disk")
phone.wait_for("document.getElementById('answer').textContent.startsWith('Logged: cut ')", "the page to say so")
tap("undo", lambda it: it["rounds"] == 0 and it["cuts"] == 0, "the cut to be undone")
phone.wait_for("document.getElementById('answer').textContent.startsWith('Undone: ')", "the page to say so")
tap("log ", lambda it: it["rounds"] == 1, "the cut to be logged again")
tap("came back", lambda it: it["round_1"].find("came back") > 0, "the return to be noted")
phone.picture(pathlib.Path(sys.argv[2]) / "page-round.png")
tap("undo", lambda it: it["round_1"].find("came back") < 0, "the return to be undone")

# What is not on offer does nothing; and nothing at all while the laptop types.
check(post("undo-0") == 204, "a key comes through")
wait_page(lambda page: page["answer"].startswith("Not done"), "a stale key to be refused")
check(flow()["rounds"] == 1, "and nothing was undone")
window.press("m")
wait(lambda it: it["form"], "the notes")
phone.wait_for("document.querySelectorAll('#keys button').length === 0", "the keys to go")
window.press("Escape")
phone.wait_for("document.querySelectorAll('#keys button').length > 0", "the keys to be there again")

# Hidden answers are hidden on the telephone.
window.press("h")
phone.wait_for("!/\\d k?Hz/.test(document.body.innerText)", "every frequency to be hidden")
window.press("h")

# Closed, the page is gone; opened again, it is back by itself; with a new address it is locked out.
window.press("0")
window.press("x")
wait_page(lambda page: not page["is_open"], "the page to be closed")
phone.wait_for("document.getElementById('link').textContent.startsWith('Connection gone')", "the page to say so")
window.press("0")
wait_page(lambda page: page["is_open"], "the page to be open again")
phone.wait_for("document.body.classList.contains('is-live')", "the page to come back")
window.press("n")
phone.wait_for("document.getElementById('link').textContent.includes('Scan its code again')", "the old address to be told")
fresh = url_in(window.picture("page-code-new"))
check(fresh != url and fresh.startswith(f"http://{where}/"), "another secret at the same place")
window.close()

# Without --page-keys nobody may do anything.
window = Window(sys.argv[1], "--page", where, pictures=sys.argv[2])
window.press("0")
wait_page(lambda page: page["is_shown"], "the sheet with the code")
url = url_in(window.picture("page-code-plain"))
check(post("undo-0") == 405, "there are no keys to post to")
browser.close()
window.close()
