"""brink.exe under Wine listens to a sound server, and Ctrl-C ends it: it has every sample that the microphone heard, and tells the
ring in it. `sound_test.py BRINK`: the program's starter."""

import array
import fcntl
import json
import math
import os
import pathlib
import pty
import random
import shutil
import struct
import subprocess
import sys
import tempfile
import termios
import time
import wave

from pulse_server import POLL_S, RATE_HZ, PulseServer

SKIPPED = 77  # what ctest takes for "skipped"
PATIENCE_S = 60.0  # only ever spent when something hangs
CTRL_C = b"\x03"

RING_HZ = 2100.0
RING_FROM_S, RING_TO_S, LENGTH_S = 3.0, 5.0, 8.0
GROWTH_DB_PER_S = 20.0
LOUDEST_LIN = 0.2
NOISE_LIN = 0.003


def check(is_so, sentence):
    if not is_so:
        print("FAILED: " + sentence, file=sys.stderr)
        sys.exit(1)


def wait_for(is_so, what):
    end = time.monotonic() + PATIENCE_S
    while not is_so():
        check(time.monotonic() < end, f"waited {PATIENCE_S:g} s for {what}")
        time.sleep(POLL_S)


def ring_in_noise():
    """16-bit samples: noise, and a tone in it that grows as a ring does, then stays."""
    chance = random.Random(1)
    samples = array.array("h")
    for n in range(int(LENGTH_S * RATE_HZ)):
        seconds = n / RATE_HZ
        level_db = GROWTH_DB_PER_S * (min(seconds, RING_TO_S) - RING_TO_S)
        ring = LOUDEST_LIN * 10.0 ** (level_db / 20.0) * math.sin(2.0 * math.pi * RING_HZ * seconds) if seconds > RING_FROM_S else 0.0
        samples.append(round(32767.0 * (ring + chance.gauss(0.0, NOISE_LIN))))
    return samples


def write_wave(path, samples):
    with wave.open(str(path), "wb") as file:
        file.setparams((1, 2, RATE_HZ, len(samples), "NONE", ""))
        file.writeframes(samples.tobytes())


def kept_samples(path):
    """The first channel of 32-bit floats; the 16 bits that were played must come back as they were."""
    whole = path.read_bytes()
    form, data = whole.index(b"fmt ") + 8, whole.index(b"data") + 8
    channels, rate_hz = struct.unpack_from("<HI", whole, form + 2)
    step, bits = struct.unpack_from("<HH", whole, form + 12)
    width = 4
    check(bits == 8 * width and rate_hz == RATE_HZ and step == channels * width, f"floats at the server's rate are kept: {channels} {rate_hz} {step} {bits}")
    return [32768.0 * struct.unpack_from("<f", whole, at)[0] for at in range(data, len(whole) - step + 1, step)]


def events(path):
    return [json.loads(line) for line in path.read_text().splitlines() if line.endswith("}")]


def find(path, kind):
    return next((event for event in events(path) if event["event"] == kind), None)


if not all(shutil.which(tool) for tool in ("pulseaudio", "paplay", "pactl")):
    print("skipped: pulseaudio is not installed (third_party/install windows brings it)")
    sys.exit(SKIPPED)
brink = sys.argv[1]
folder = pathlib.Path(tempfile.mkdtemp(prefix="brink-windows-"))
sound = PulseServer()
environment = dict(os.environ, **sound.environment)

listed = json.loads(subprocess.run([brink, "inputs", "--format", "json"], env=environment, stdout=subprocess.PIPE, check=True).stdout)
microphones = [one for one in listed["inputs"] if "Microphone" in one["name"]]
check(len(microphones) == 1, f"the microphone is listed once: {listed['inputs']}")
check(any(one["is_default"] for one in listed["inputs"]), "one is taken when none is named")

played = ring_in_noise()
# Silence behind it, so that its last samples are kept before Ctrl-C ends the recording.
write_wave(folder / "played.wav", played + array.array("h", bytes(2 * RATE_HZ)))
told, kept = folder / "told", folder / "kept.wav"
keyboard, terminal = pty.openpty()


def take_terminal():
    fcntl.ioctl(sys.stdin.fileno(), termios.TIOCSCTTY, 0)  # Ctrl-C goes to who has it


with open(told, "wb") as out:
    listener = subprocess.Popen([brink, "listen", "--input", "Microphone", "--levels", "4", "--record", str(kept)], env=environment,
                                stdin=terminal, stdout=out, stderr=sys.stderr, start_new_session=True, preexec_fn=take_terminal)
wait_for(lambda: find(told, "levels") or listener.poll() is not None, "the first sound")
check(listener.poll() is None, f"it listens, and does not end with {listener.returncode}")
sound.speak(folder / "played.wav")
wait_for(lambda: find(told, "ringing"), "the ring to be told")
ring = find(told, "ringing")["ring"]
check(abs(ring["frequency_hz"] / RING_HZ - 1.0) < 0.002, f"at its frequency: {ring['frequency_hz']}")
check(not find(told, "samples-lost"), "no sample was lost")
os.write(keyboard, CTRL_C)
check(listener.wait(timeout=PATIENCE_S) == 0, f"Ctrl-C ends it with {listener.returncode}, not with 0")

def without_silence(samples):
    """From the first sample that is not zero to the last."""
    sounding = [n for n, sample in enumerate(samples) if sample != 0]
    return samples[sounding[0]:sounding[-1] + 1]


heard, played = without_silence(kept_samples(kept)), without_silence(played)
check(len(heard) == len(played), f"{len(heard)} samples were kept of {len(played)}")
wrong = sum(1 for a, b in zip(heard, played) if a != b)
check(wrong == 0, f"{wrong} of {len(played)} samples are not those that were played")
shutil.rmtree(folder, ignore_errors=True)
