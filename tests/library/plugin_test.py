"""The Vamp plugin in the SDK's own host tells the same rings as `brink analyse` on the same file.

    plugin_test.py BRINK PLUGIN_FILE TEST_SIGNALS WORK_DIR

Exits with 77 (skipped) where there is no vamp-simple-host (Debian: vamp-examples).
"""

import array
import json
import math
import os
import random
import re
import shutil
import subprocess
import sys
import wave

RATE_HZ = 44100


def write_two_channels(path):
    """5 s: another ring on each channel, 500 Hz slow on the left, 2 kHz fast and louder on the right; both sound to the end."""
    noise = random.Random(3)
    samples = array.array("h")
    for n in range(5 * RATE_HZ):
        now_s = n / RATE_HZ
        for frequency_hz, growth_db_per_s, limit_db in ((500.0, 25.0, -12.0), (2000.0, 60.0, -6.0)):
            level_db = min(-60.0 + growth_db_per_s * (now_s - 1.5), limit_db)
            tone = 10.0 ** (level_db / 20.0) * math.sin(2.0 * math.pi * frequency_hz * now_s)
            samples.append(round(32000 * (tone + 0.001 * noise.uniform(-1.7, 1.7))))
    with wave.open(path, "wb") as file:
        file.setnchannels(2)
        file.setsampwidth(2)
        file.setframerate(RATE_HZ)
        file.writeframes(samples.tobytes())


def regions(plugin, recording):
    """What the host prints: one line for each region, `onset, duration: values label`."""
    host = subprocess.run(["vamp-simple-host", "brink:rings:rings", recording], capture_output=True, text=True,
                          env=dict(os.environ, VAMP_PATH=os.path.dirname(plugin)))
    assert host.returncode == 0, host.stderr
    found = []
    for line in host.stdout.splitlines():
        onset, duration, values = re.fullmatch(r"\s*([\d.]+), ([\d.]+): ((?:[-\d.e+]+ ){7}).*cut .*", line).groups()
        found.append([float(onset), float(onset) + float(duration), *map(float, values.split())])
    return sorted(found)


def rings(brink, recording):
    report = json.loads(subprocess.run([brink, "analyse", "--quiet", "--format", "json", recording], check=True,
                                       stdout=subprocess.PIPE).stdout)
    found = []
    for ring in report["rings"]:
        cut = ring["cut"]
        found.append([ring["onset_s"], ring["ended_s"], ring["frequency_hz"], ring["growth_db_per_s"], ring["confidence"],
                      cut["centre_hz"], cut["q"], cut["depth_db"], ring["channel"]])
    return sorted(found)


def main():
    if shutil.which("vamp-simple-host") is None:
        print("skipped: there is no vamp-simple-host here (Debian: vamp-examples)")
        sys.exit(77)
    brink, plugin, signals, work = map(os.path.abspath, sys.argv[1:])
    os.makedirs(work, exist_ok=True)
    two_channels = os.path.join(work, "two_channels.wav")
    write_two_channels(two_channels)
    # Times are rounded to 0.1 ms in the report; values are 32-bit floats in the host, printed with six figures.
    tolerances = [6e-5, 1.1e-4, 0.02, 0.01, 6e-4, 0.06, 0.006, 0.06, 0.0]
    count = 0
    for recording in [two_channels] + [os.path.join(signals, name) for name in
                                       ("cut_goes_in.flac", "two_rings.flac", "swung_microphone.flac", "plain_music.flac")]:
        told, truth = regions(plugin, recording), rings(brink, recording)
        assert len(told) == len(truth), f"{recording}: {told}\n{truth}"
        for region, ring in zip(told, truth):
            for got, want, tolerance in zip(region, ring, tolerances):
                assert abs(got - want) <= tolerance, f"{recording}: {region}\n{ring}"
        count += len(told)
    assert {ring[-1] for ring in rings(brink, two_channels)} == {1, 2}
    assert count >= 8
    print(f"{count} regions as brink analyse tells them")


main()
