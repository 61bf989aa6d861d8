"""A JACK server of the test's own without a sound card, and the room (tests/support/programs/jack_room.cpp) that closes a loop over it."""

import atexit
import cmath
import fcntl
import math
import os
import pathlib
import shutil
import subprocess
import sys
import tempfile
import time

from window import SKIPPED, fail

SAMPLE_RATE_HZ = 48000.0
PERIOD_SAMPLES = 1024
# As in tests/support/small_loop.h.
DELAY_SAMPLES = 1280
CENTRE_HZ = 1500.0
Q = 17.5
NOISE_DBFS = -70.0
STARTED_S = 1.0  # a server that cannot start says so and ends long before
MOST_WAIT_S = 120.0  # for other tests to end


def need_server():
    if shutil.which("jackd") is None:
        print("skipped: jackd is not installed (third_party/install brings it)")
        sys.exit(SKIPPED)


def loop_gain(frequency_hz):
    """Once around, at a gain of 0 dB: the delay and the band-pass of R. Bristow-Johnson's Audio EQ Cookbook (constant peak gain)."""
    turn = 2.0 * math.pi * CENTRE_HZ / SAMPLE_RATE_HZ
    alpha = math.sin(turn) / (2.0 * Q)
    back = cmath.exp(-2j * math.pi * frequency_hz / SAMPLE_RATE_HZ)
    band_pass = alpha * (1.0 - back**2) / (1.0 + alpha - 2.0 * math.cos(turn) * back + (1.0 - alpha) * back**2)
    return band_pass * back**DELAY_SAMPLES


def brink():
    """Frequency and gain, dB, of the loop's brink: the strongest of the frequencies whose phase is a whole turn."""
    best = None
    step_hz = 0.05
    for index in range(int(600.0 / step_hz)):
        low_hz = CENTRE_HZ - 300.0 + index * step_hz
        here, there = loop_gain(low_hz), loop_gain(low_hz + step_hz)
        if here.imag >= 0.0 > there.imag and here.real > 0.0 and (best is None or abs(here) > best[1]):
            best = (low_hz, abs(here))
    return best[0], -20.0 * math.log10(best[1])


class JackLoop:
    """Server and room. Only its own processes are ever ended."""

    def __init__(self, room):
        need_server()
        self.room_program = room
        self.folder = pathlib.Path(tempfile.mkdtemp(prefix="brink-jack-"))
        self.server = self.room = self.lock = None
        self.brink_hz, self.brink_gain_db = brink()
        atexit.register(self.close)
        self._start_under_free_name()
        self.environment = {"JACK_DEFAULT_SERVER": self.name}

    def _start_under_free_name(self):
        """One of the two names that tests share (tests/support/jack_server.cpp says why), as soon as it is free. A server that
        some test left behind without its lock keeps its name; it is not ours to end."""
        end = time.monotonic() + MOST_WAIT_S
        tries = 0
        while time.monotonic() < end:
            self.name = f"brink-test-{tries % 2}"
            tries += 1
            self.lock = open(os.path.join(tempfile.gettempdir(), self.name + ".lock"), "a")
            try:
                fcntl.flock(self.lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
                if self.start_server():
                    return
            except OSError:
                pass
            self.lock.close()
            time.sleep(0.1)
        fail("no server could be started: " + (self.folder / "jackd.log").read_text()[-500:])

    def start_server(self):
        """False when it ends at once, as it does where another has its name."""
        log = open(self.folder / "jackd.log", "a")
        self.server = subprocess.Popen(
            ["jackd", "-R", "-S", "-n", self.name, "-d", "dummy", "-r", "48000", "-p", str(PERIOD_SAMPLES), "-C", "2",
             "-P", "2"], stdout=log, stderr=log, env=dict(os.environ, JACK_NO_AUDIO_RESERVATION="1"))
        try:
            self.server.wait(timeout=STARTED_S)
        except subprocess.TimeoutExpired:
            return True
        return False

    def start_room(self, from_brink_db):
        self.room = subprocess.Popen(
            [self.room_program, "room", str(DELAY_SAMPLES - PERIOD_SAMPLES), str(CENTRE_HZ), str(Q),
             str(self.brink_gain_db + from_brink_db), str(NOISE_DBFS)], stdin=subprocess.PIPE, stdout=subprocess.PIPE,
            stderr=open(self.folder / "room.log", "a"), text=True, env=dict(os.environ, **self.environment))
        if self.room.stdout.readline().strip() != "ready":
            fail("the room did not start: " + (self.folder / "room.log").read_text())

    def tell_room(self, command):
        self.room.stdin.write(command + "\n")
        self.room.stdin.flush()
        return self.room.stdout.readline()

    def set_gain(self, from_brink_db):
        self.tell_room(f"gain {self.brink_gain_db + from_brink_db}")

    def end_room(self):
        self.room.kill()
        self.room.wait()

    def kill_server(self):
        """As a crash would end it; the room goes with it."""
        self.server.kill()
        self.server.wait()
        self.end_room()

    def close(self):
        for process in (self.room, self.server):
            if process is not None and process.poll() is None:
                process.terminate()
                process.wait()
        if self.lock is not None:
            self.lock.close()
        shutil.rmtree(self.folder, ignore_errors=True)
