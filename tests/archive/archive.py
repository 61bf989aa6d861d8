"""An archive of many recordings, and whether each was analysed once."""

import array
import collections
import glob
import json
import math
import os
import pathlib
import random
import shutil
import subprocess
import sys
import time
import wave

COUNT = int(os.environ.get("BRINK_ARCHIVE_FILES", "200"))  # the test preset `archive` takes a thousand
RATE_HZ = 8000
RING_HZ = 1234.0
SKIPPED = 77
PATIENCE_S = 1500.0  # only ever spent when something hangs
POLL_S = 0.05


def need(*programs):
    missing = [program for program in programs if shutil.which(program) is None]
    if missing:
        print(f"skipped: {', '.join(missing)} not here (third_party/install archive brings it)")
        sys.exit(SKIPPED)


def run(*words, **more):
    done = subprocess.run(list(map(str, words)), stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, **more)
    if done.returncode != 0:
        sys.exit(f"failed ({done.returncode}): {' '.join(map(str, words))}\n{done.stdout[-3000:]}")
    return done.stdout


def wait_for(what, condition):
    end = time.monotonic() + PATIENCE_S
    while not condition():
        if time.monotonic() > end:
            sys.exit(f"waited in vain for {what}")
        time.sleep(POLL_S)


def ring_sound():
    """A bed of noise, and a ring that grows out of it by 40 dB a second and is limited."""
    noise = random.Random(1)
    samples = array.array("h")
    for n in range(4 * RATE_HZ):
        now_s = n / RATE_HZ
        level_db = min(-60.0 + 40.0 * (now_s - 1.0), -9.0)
        tone = 10.0 ** (level_db / 20.0) * math.sin(2.0 * math.pi * RING_HZ * now_s)
        samples.append(round(32767.0 * (0.001 * noise.uniform(-1.7, 1.7) + tone)))
    return samples


class Archive:
    """COUNT recordings in two folders, with the same names in both; each has a length of its own, by which its result is known."""

    def __init__(self, work):
        self.work = pathlib.Path(work)
        shutil.rmtree(work, ignore_errors=True)
        self.results = self.work / "results"
        self.list = self.work / "recordings.txt"
        self.samples_of = {}
        sound = ring_sound()
        for index in range(COUNT):
            path = self.work / ("Larkfield Hall" if index % 2 else "Old Tannery") / f"take {index // 2:04}.wav"
            path.parent.mkdir(parents=True, exist_ok=True)
            length = len(sound) - index
            with wave.open(str(path), "wb") as file:
                file.setnchannels(1)
                file.setsampwidth(2)
                file.setframerate(RATE_HZ)
                file.writeframes(sound[:length].tobytes())
            self.samples_of[str(path)] = length
        self.list.write_text("".join(path + "\n" for path in self.samples_of))
        self.results.mkdir()

    def done(self):
        return len(glob.glob(f"{self.results}/*.json"))

    def check(self, brink):
        """Every recording has one result, which is its own; and the book takes all of them, once."""
        seen = collections.Counter()
        for path in glob.glob(f"{self.results}/*.json"):
            lines = pathlib.Path(path).read_text(encoding="utf-8").splitlines()
            assert len(lines) == 1, f"{path}: {len(lines)} lines"
            result = json.loads(lines[0])
            seen[result["file"]] += 1
            assert abs(result["duration_s"] - self.samples_of[result["file"]] / RATE_HZ) < 1e-4, result["file"]
            assert len(result["rings"]) == 1 and abs(result["rings"][0]["frequency_hz"] - RING_HZ) < 1.0, result
        assert seen == collections.Counter(list(self.samples_of)), (len(seen), sum(seen.values()))
        assert not glob.glob(f"{self.results}/*.txt"), "brink said something against a recording"

        book = self.work / "book.sqlite"
        for venue in ("Larkfield Hall", "Old Tannery"):
            results = sorted(path for path in glob.glob(f"{self.results}/*.json") if venue in pathlib.Path(path).read_text())
            for _ in range(2):  # merged again, it is there once
                run(brink, "book", "merge", "--venue", venue, "--show", "Archive", "--book", book, *results)
        shows = [json.loads(line) for line in run(brink, "book", "list", "--format", "json", "--book", book).splitlines()]
        assert len(shows) == 2 and sum(show["outputs"] for show in shows) == COUNT, shows
        assert sum(show["rounds"] for show in shows) == COUNT, shows
        print(f"{COUNT} recordings, {sum(seen.values())} results, {len(shows)} shows")
