"""The QR code that `brink listen --page` draws on a terminal, read by a program that knows nothing of brink.

Called with the program. Status 77 (skipped) where there is no zbarimg."""

import os
import pathlib
import pty
import re
import shutil
import subprocess
import sys
import tempfile

SKIPPED = 77
MODULE = 6  # pixels across one module of the picture

brink = sys.argv[1]
if not shutil.which("zbarimg"):
    print("skipped: zbarimg is not installed (third_party/install brings it)")
    sys.exit(SKIPPED)


def terminal_text(folder):
    """What the program writes to a terminal until it has told the address."""
    ours, theirs = pty.openpty()
    program = subprocess.Popen([brink, "listen", "--stdin", "--rate", "48000", "--page", "127.0.0.1:0"], stdin=subprocess.PIPE,
                               stdout=subprocess.DEVNULL, stderr=theirs, env=dict(os.environ, XDG_CONFIG_HOME=folder))
    os.close(theirs)
    text = b""
    while not re.search(rb"http://\S+/\s", text):
        text += os.read(ours, 4096)
    program.terminate()
    program.wait()
    program.stdin.close()
    os.close(ours)
    return text.decode().replace("\r\n", "\n")


def read_code(text, folder):
    """Each character is two modules, one above the other, black on white."""
    rows = []
    for line in re.findall(r"\x1b\[30;107m(.*?)\x1b\[0m", text):
        rows.append([c in "\u2588\u2580" for c in line])
        rows.append([c in "\u2588\u2584" for c in line])
    width = len(rows[0])
    assert all(len(row) == width for row in rows)
    pixels = b"".join(bytes(0 if dark else 255 for dark in row for _ in range(MODULE)) * MODULE for row in rows)
    picture = pathlib.Path(folder) / "code.pgm"
    picture.write_bytes(b"P5 %d %d 255\n" % (width * MODULE, len(rows) * MODULE) + pixels)
    read = subprocess.run(["zbarimg", "--quiet", "--raw", picture], capture_output=True, text=True, check=True)
    return read.stdout.strip(), width


with tempfile.TemporaryDirectory() as folder:
    text = terminal_text(folder)
    told = re.search(r"http://\S+", text).group()
    read, width = read_code(text, folder)
    assert read == told, (read, told)
    assert re.fullmatch(r"http://127\.0\.0\.1:\d+/[0-9a-hjkmnp-tv-z]{26}/", told), told
    assert width < 80, width  # the usual terminal
