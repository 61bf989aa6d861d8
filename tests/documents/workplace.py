"""A folder with everything that the commands of the pages name: recordings, targets, names, guesses, a book with two visits."""

import array
import math
import os
import pathlib
import random
import shutil
import stat
import subprocess
import sys
import wave

from pages import blocks

RATE_HZ = 48000


def block_of(page, first_line):
    """The block of a page that begins so."""
    for _, lines in blocks(page.read_text(encoding="utf-8")):
        if lines[0].startswith(first_line):
            return "\n".join(lines) + "\n"
    sys.exit(f"{page}: no block begins with {first_line!r}")


def write_wave(path, samples, channels=1):
    with wave.open(str(path), "wb") as file:
        file.setnchannels(channels)
        file.setsampwidth(2)
        file.setframerate(RATE_HZ)
        file.writeframes(array.array("h", (round(32000.0 * max(-1.0, min(1.0, s))) for s in samples)).tobytes())


def impulse_response():
    """A direct sound, and a room that dies away with a T60 of half a second."""
    noise = random.Random(1)
    tail = (0.1 * noise.gauss(0.0, 1.0) * 10.0 ** (-3.0 * n / (0.5 * RATE_HZ)) for n in range(RATE_HZ // 2))
    return [0.0] * 240 + [0.8] + [0.0] * 200 + list(tail)


# In place of a sound card's program: two channels of faint noise for two seconds.
ARECORD = """#!/usr/bin/env python3
import random, struct, sys
noise = random.Random(1)
sys.stdout.buffer.write(b"".join(struct.pack("<h", noise.randint(-30, 30)) for _ in range(4 * 48000)))
"""


class Workplace:
    """`folder` is where the commands are run. No sound system, no display and no settings of the user are seen from it."""

    def __init__(self, folder):
        self.folder = pathlib.Path(folder)
        programs, home = self.folder / "programs", self.folder / "home"
        self.environment = {"PATH": f"{programs}:/usr/bin:/bin", "HOME": str(home), "XDG_RUNTIME_DIR": str(home / "run"),
                            "JACK_DEFAULT_SERVER": "none-of-this-test", "JACK_NO_START_SERVER": "1", "LC_ALL": "C.UTF-8"}

    def copy(self, folder):
        """The same, untouched by what other pages do."""
        shutil.copytree(self.folder, folder, symlinks=True)
        return Workplace(folder)

    def fill(self, brink, source):
        programs = self.folder / "programs"
        home = self.folder / "home"
        for path in (programs, home, home / "run", self.folder / "archive" / "Larkfield Hall"):
            path.mkdir(parents=True)
        os.chmod(home / "run", 0o700)
        os.symlink(brink, programs / "brink")
        (programs / "arecord").write_text(ARECORD)
        (programs / "arecord").chmod(stat.S_IRWXU)
        for name in ("examples", "test-signals"):
            os.symlink(pathlib.Path(source) / name, self.folder / name)
        signals = pathlib.Path(source) / "test-signals"
        shutil.copy(signals / "wedge.flac", self.folder / "soundcheck.wav")
        shutil.copy(signals / "wedge.flac", self.folder / "wedge.wav")
        shutil.copy(signals / "two_rings.flac", self.folder / "show.wav")
        shutil.copy(signals / "wedge.flac", self.folder / "archive" / "Larkfield Hall" / "wedge.wav")
        write_wave(self.folder / "measured.wav", impulse_response())
        docs = pathlib.Path(source) / "docs"
        for name in ("desk.txt", "monitor-desk.txt"):
            (self.folder / name).write_text(block_of(docs / "targets.md", "# The monitor desk"))
        (self.folder / "names.txt").write_text(block_of(docs / "taps.md", "3 vocal left"))
        (self.folder / "mic.txt").write_text("".join(f"{hz} {math.log10(hz / 1000.0):.2f}\n" for hz in (20, 1000, 20000)))
        (self.folder / "guesses.txt").write_text("1k\n2.5k\nA4\n630 Hz\nq\n")
        for year in ("2025", "2026"):
            self.must(f"brink analyse wedge.wav --format json | brink book merge - --venue 'Larkfield Hall' --show 'Concert {year}' "
                      f"--output 'wedge 1' --started {year}-05-01T19:00+02:00")
        self.must("brink ear --trainee Ada --silent lesson --seed 7 --difficulty 3 < guesses.txt")

    def run(self, command):
        return subprocess.run(["bash", "-o", "pipefail", "-c", command], cwd=self.folder, env=self.environment, text=True,
                              stdin=subprocess.DEVNULL, capture_output=True, errors="replace", check=False)

    def must(self, command):
        done = self.run(command)
        if done.returncode != 0:
            sys.exit(f"failed ({done.returncode}): {command}\n{done.stdout[-1500:]}{done.stderr[-1500:]}")
        return done.stdout
