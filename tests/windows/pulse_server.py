"""A PulseAudio server of the test's own. Wine gives its devices to programs as those of Windows."""

import atexit
import os
import pathlib
import shutil
import subprocess
import tempfile
import time

RATE_HZ = 48000
STARTED_S = 20.0  # only ever spent when something hangs
POLL_S = 0.05

# What is played to the sink `room` is what the microphone hears. The sink `desk` is where programs play.
SETUP = f"""load-module module-null-sink sink_name=desk rate={RATE_HZ} format=float32le
load-module module-null-sink sink_name=room rate={RATE_HZ} format=float32le channels=1
load-module module-remap-source master=room.monitor source_name=mic source_properties=device.description=Microphone
load-module module-native-protocol-unix
set-default-sink desk
set-default-source mic
"""


class PulseServer:
    def __init__(self):
        self.folder = pathlib.Path(tempfile.mkdtemp(prefix="brink-pulse-"))
        atexit.register(shutil.rmtree, self.folder, ignore_errors=True)
        (self.folder / "setup").write_text(SETUP)
        self.environment = {"HOME": str(self.folder), "XDG_RUNTIME_DIR": str(self.folder)}
        self.environment |= {f"PULSE_{name}_PATH": str(self.folder) for name in ("RUNTIME", "STATE")}
        self.server = subprocess.Popen(
            ["pulseaudio", "-n", "-F", str(self.folder / "setup"), "--daemonize=no", "--exit-idle-time=-1", "--use-pid-file=no"],
            env=self._all(), stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        atexit.register(self.close)
        end = time.monotonic() + STARTED_S
        while subprocess.run(["pactl", "info"], env=self._all(), capture_output=True).returncode != 0:
            if time.monotonic() > end or self.server.poll() is not None:
                raise RuntimeError("the sound server did not start")
            time.sleep(POLL_S)

    def _all(self):
        return dict(os.environ, **self.environment)

    def speak(self, path):
        """The microphone hears this file, until its end."""
        subprocess.run(["paplay", "--device=room", str(path)], env=self._all(), check=True)

    def record(self, path):
        """Writes what programs play from now on into this file: 32-bit floats of one channel. It ends with the test."""
        recorder = subprocess.Popen(["parec", "--device=desk.monitor", "--raw", "--format=float32le", f"--rate={RATE_HZ}", "--channels=1",
                                     "--latency-msec=20", str(path)], env=self._all())
        atexit.register(lambda: (recorder.terminate(), recorder.wait()))

    def close(self):
        if self.server.poll() is None:
            self.server.terminate()
            self.server.wait()
