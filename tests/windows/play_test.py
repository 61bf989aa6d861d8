"""brink.exe under Wine plays a recording on a sound server: it starts silent, rises by its ramp, and ends by its ramp when Space is
let go, and when the program is killed. `play_test.py BRINK`: the program's starter."""

import array
import math
import pathlib
import random
import sys
import time
import wave

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parent.parent / "panel"))
from desktop import Desktop  # noqa: E402
from pulse_server import POLL_S, RATE_HZ, PulseServer  # noqa: E402
from window import check, enter_own_folder  # noqa: E402
from wine import Wine  # noqa: E402

PATIENCE_S = 60.0  # only ever spent when something hangs
RAMP_UP_S, RAMP_DOWN_S = 0.3, 0.008  # src/io/live/play_memory.h
LEVEL_LIN = 0.1  # -20 dB, the level at the start
# Noise of one strength, and a ring that grows in it and stays. It is heard from a second before the ring on; the ring adds less than a
# quarter to the noise while the ramp rises.
NOISE_LIN, RING_LIN = 0.1, 0.2
RING_HZ, RING_FROM_S, RING_TO_S, LENGTH_S = 2100.0, 3.0, 5.0, 20.0
GROWTH_DB_PER_S = 20.0
STRETCH_S = 0.03  # the noise comes near its peak in it
SILENCE_S = 0.5


def write_ring(path):
    chance = random.Random(1)
    samples = array.array("h")
    for n in range(count(LENGTH_S)):
        time_s = n / RATE_HZ
        ring_db = GROWTH_DB_PER_S * (min(time_s, RING_TO_S) - RING_TO_S)
        ring = RING_LIN * 10.0 ** (ring_db / 20.0) * math.sin(2.0 * math.pi * RING_HZ * time_s) if time_s > RING_FROM_S else 0.0
        samples.append(round(32767.0 * (ring + chance.uniform(-NOISE_LIN, NOISE_LIN))))
    with wave.open(str(path), "wb") as file:
        file.setparams((1, 2, RATE_HZ, len(samples), "NONE", ""))
        file.writeframes(samples.tobytes())


def heard():
    whole = record.read_bytes() if record.exists() else b""
    samples = array.array("f")
    samples.frombytes(whole[:len(whole) // samples.itemsize * samples.itemsize])
    return samples


def peak(samples):
    return max(map(abs, samples), default=0.0)


def count(seconds):
    return round(seconds * RATE_HZ)


def wait_until(is_so, what):
    end = time.monotonic() + PATIENCE_S
    while not is_so(heard()):
        check(time.monotonic() < end, f"waited {PATIENCE_S:g} s for {what}")
        time.sleep(POLL_S)


def wait_for_silence(begin):
    wait_until(lambda samples: len(samples) - begin > count(SILENCE_S) and peak(samples[-count(SILENCE_S):]) == 0.0, "silence")


def play(begin, least_s):
    """Holds Space until that much was heard."""
    window._xdotool("keydown", "space")
    wait_until(lambda samples: sum(1 for sample in samples[begin:] if sample != 0.0) > count(least_s), "the sound")


def check_ramps(begin, how):
    """The sound from there on; what follows it is silence. Where the machine was late the server puts holes of zeros into it. They
    count for nothing: the sound goes on behind them where it was."""
    samples = heard()[begin:]
    first = next(n for n, sample in enumerate(samples) if sample != 0.0)
    last = max(n for n, sample in enumerate(samples) if sample != 0.0)
    played = array.array("f", (sample for sample in samples[first:last + 1] if sample != 0.0))
    noise = peak(played[count(RAMP_UP_S):count(RAMP_UP_S + 5 * STRETCH_S)])
    check(abs(noise / (LEVEL_LIN * NOISE_LIN) - 1.0) < 0.25, f"{how}: as loud as was asked for: {noise}")
    for step in range(round(RAMP_UP_S / STRETCH_S)):
        highest = peak(played[count(step * STRETCH_S):count((step + 1) * STRETCH_S)])
        most = 1.25 * LEVEL_LIN * NOISE_LIN * (step + 1) * STRETCH_S / RAMP_UP_S
        check(0.5 * most < highest <= most, f"{how}: {highest} in stretch {step} of the ramp up, {most} at most")
    full = peak(played[-count(2 * STRETCH_S):-count(RAMP_DOWN_S)])
    just_before = peak(played[-count(2 * RAMP_DOWN_S):-count(RAMP_DOWN_S)])
    check(just_before > 0.7 * full, f"{how}: {just_before} of {full} just before the ramp down")
    for part in (0.25, 0.5):
        rest = peak(played[-count(part * RAMP_DOWN_S):])
        check(rest <= 1.1 * part * full, f"{how}: {rest} of {full} in the last {part:g} of the ramp down")
    print(f"{how}: {len(played) / RATE_HZ:.2f} s of sound, and {last + 1 - first - len(played)} zeros in it")


brink = str(pathlib.Path(sys.argv[1]).resolve())
enter_own_folder()
write_ring("ring.wav")
wine, sound = Wine(brink), PulseServer()
record = pathlib.Path("heard").resolve()
sound.record(record)
window = Desktop(brink, None, environment=wine.environment | sound.environment)
window.press("4")
window.press("o")
window.wait_for(lambda state: state["Recording"]["is_typing"], PATIENCE_S, "the path field")
window.press("ctrl+a")
window.type("ring.wav")
window.wait_for(lambda state: state["Recording"]["chosen"] == "ring.wav", PATIENCE_S, "the recording in the list")
window.press("Return")
window.wait_for(lambda state: state["Recording"].get("file") == "ring.wav" and state["Recording"]["is_fitted"] and
                state["Recording"].get("selected") == 0, PATIENCE_S, "its ring")
wait_until(lambda samples: len(samples) > count(1.0), "what is heard")
check(peak(heard()) == 0.0, "it starts silent")

begin = len(heard())
play(begin, 1.0)
window._xdotool("keyup", "space")
let_go = len(heard())
wait_for_silence(let_go)
check_ramps(begin, "Space let go")

begin = len(heard())
play(begin, 1.0)
window.kill()
wait_for_silence(len(heard()))
check_ramps(begin, "killed")
window._xdotool("keyup", "space")
check(not any("play-child" in program for program in wine.programs()), "the process that played has ended")
