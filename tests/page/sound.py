"""Samples for `brink listen --stdin`: a ring on a floor of noise, in real time, for as long as the test runs."""

import array
import math
import random
import threading
import time

RATE_HZ = 48000
BLOCK = RATE_HZ // 20  # 50 ms


class RingingLoop:
    """Writes to `pipe`, on a thread, until stop(): after a second of noise alone a tone that grows in a straight line of dB up to
    its limit, as a ring does."""

    def __init__(self, pipe, frequency_hz, growth_db_per_s=25.0, start_dbfs=-62.0, limit_dbfs=-8.0):
        self.pipe = pipe
        self.frequency_hz = frequency_hz
        self.growth_db_per_s = growth_db_per_s
        self.start_dbfs = start_dbfs
        self.limit_dbfs = limit_dbfs
        self.is_over = threading.Event()
        self.thread = threading.Thread(target=self._run, daemon=True)
        self.thread.start()

    def _run(self):
        noise = random.Random(7)
        start = time.monotonic()
        block = 0
        while not self.is_over.is_set():
            samples = array.array("f")
            for i in range(block * BLOCK, (block + 1) * BLOCK):
                t = i / RATE_HZ
                level = min(self.start_dbfs + self.growth_db_per_s * (t - 1.0), self.limit_dbfs) if t > 1.0 else -200.0
                tone = 10 ** (level / 20) * math.sin(2 * math.pi * self.frequency_hz * t)
                samples.append(tone + noise.gauss(0.0, 0.0005))
            try:
                self.pipe.write(samples.tobytes())
                self.pipe.flush()
            except (BrokenPipeError, ValueError):
                return
            block += 1
            self.is_over.wait(max(0.0, start + block * BLOCK / RATE_HZ - time.monotonic()))

    def stop(self):
        self.is_over.set()
        self.thread.join()
