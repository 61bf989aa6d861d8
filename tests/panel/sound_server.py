"""A JACK server of the test's own, so that there is a sound output on a machine without a sound card."""

import atexit
import os
import shutil
import subprocess
import sys
import time

from window import SKIPPED, fail

STARTED_S = 1.5  # one that cannot start ends long before


def start_sound_server():
    """The environment in which the window plays on it."""
    if shutil.which("jackd") is None:
        print("skipped: jackd is not installed (third_party/install brings it)")
        sys.exit(SKIPPED)
    name = f"brink-sound-{os.getpid()}"
    server = subprocess.Popen(
        ["jackd", "-S", "-n", name, "-d", "dummy", "-r", "48000", "-p", "1024", "-C", "2", "-P", "2"],
        env=dict(os.environ, JACK_NO_AUDIO_RESERVATION="1"), stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    atexit.register(lambda: (server.terminate(), server.wait()))
    time.sleep(STARTED_S)
    if server.poll() is not None:
        fail("the sound server did not start")
    return {"JACK_DEFAULT_SERVER": name}
