"""A console of our own on the loopback: it speaks Open Sound Control 1.0 over UDP, keeps what it is told and answers what it is asked."""

import socket
import struct
import threading


def _padded(text):
    return text.encode() + b"\0" * (4 - len(text) % 4)


class OscConsole:
    """Four bands and a fader, as in docs/console-link.md. The numbers are the console's own."""

    def __init__(self, fader):
        self.numbers = {"/out/1/level": fader}
        for band in range(1, 5):
            for what in ("hz", "q", "db"):
                self.numbers[f"/out/1/eq/{band}/{what}"] = 0.5
        self.told = []
        self.asked = 0
        self.is_on = True
        self.socket = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
        self.socket.bind(("127.0.0.1", 0))
        self.port = self.socket.getsockname()[1]
        threading.Thread(target=self._run, daemon=True).start()

    def target_text(self):
        return f"""name = Lantern 24
kind = parametric
bands = 4
q = 0.7:10
deepest = -15
link = osc
console = 127.0.0.1:{self.port}
fader = /out/1/level
fader_scale = table 0:-90 0.25:-30 0.5:-10 0.75:0 1:10
band_frequency = /out/1/eq/<1>/hz
band_frequency_scale = logarithmic 0:1 is 20:20000
band_q = /out/1/eq/<1>/q
band_q_scale = logarithmic 0:1 is 20:0.3
band_depth = /out/1/eq/<1>/db
band_depth_scale = linear 0:1 is -15:15
"""

    def set_fader_db(self, level_db):
        """By hand; from -10 dB on, and from -30 to -10 dB, as the scale has it."""
        self.numbers["/out/1/level"] = 0.5 + level_db / 40.0 + 0.25 if level_db >= -10.0 else 0.5 + (level_db + 10.0) / 80.0

    def band(self, number):
        """Frequency, Q and depth as this console shows them."""
        hz, q, db = (self.numbers[f"/out/1/eq/{number}/{what}"] for what in ("hz", "q", "db"))
        return 20.0 * 1000.0**hz, 20.0 * (0.3 / 20.0)**q, 30.0 * db - 15.0

    def _run(self):
        while True:
            packet, sender = self.socket.recvfrom(65536)
            if not self.is_on:
                continue
            address = packet[:packet.index(b"\0")].decode()
            types = packet[len(_padded(address)):]
            if types[:2] == b",f":
                number = struct.unpack(">f", types[4:8])[0]
                self.numbers[address] = number
                self.told.append((address, number))
            else:
                self.asked += 1
                if address in self.numbers:
                    self.socket.sendto(_padded(address) + _padded(",f") + struct.pack(">f", self.numbers[address]), sender)
