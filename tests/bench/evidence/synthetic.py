"""Programme that needs no package: scores for a General MIDI sound font, and sounds that are hard to tell from a ring.

Scores: held, swelling and repeated notes, chords, melodies, vibrato, for each instrument; and bands of several. Sounds: bells,
sirens, telephones, hum, sung vowels, organ-like and feedback-like synthesisers. Everything is drawn from a seed.
"""
import random
import struct
import wave

import numpy as np

RATE = 48000
TICKS = 480           # a beat; at 120 beats a minute half a second


class Track:
    """A MIDI track: events at absolute ticks."""

    def __init__(self):
        self.events = []

    def at(self, seconds, *message):
        self.events.append((int(seconds * 2 * TICKS), len(self.events), bytes(message)))

    def note(self, channel, start, length, key, velocity):
        self.at(start, 0x90 | channel, key, velocity)
        self.at(start + length, 0x80 | channel, key, 0)

    def swell(self, channel, start, length, low, high, shape=1.0):
        for i in range(31):
            self.at(start + length * i / 30, 0xB0 | channel, 11, int(low + (high - low) * (i / 30) ** shape))

    def encoded(self):
        out, last = b'', 0
        for tick, _, message in sorted(self.events):
            wait, last = tick - last, tick
            number = [wait & 127]
            while wait := wait >> 7:
                number.insert(0, (wait & 127) | 128)
            out += bytes(number) + message
        out += b'\x00\xff\x2f\x00'
        return b'MTrk' + struct.pack('>I', len(out)) + out


def write_score(path, track):
    with open(path, 'wb') as file:
        file.write(b'MThd' + struct.pack('>IHHH', 6, 0, 1, TICKS) + track.encoded())


def write_solo(path, program, chance):
    """About 50 s of one instrument: what its notes can do that a ring does too."""
    track = Track()
    track.at(0, 0xC0, program)
    t = .2
    scale = [0, 2, 4, 5, 7, 9, 11]
    root = chance.randrange(36, 60)
    for _ in range(4):      # swelling notes, from nothing or half way, with or without vibrato
        length = chance.uniform(1.2, 4)
        track.at(t, 0xB0, 1, chance.choice([0, 0, 40, 100]))
        track.swell(0, t, length * .8, chance.choice([1, 10, 50]), 127, chance.choice([.5, 1, 2]))
        track.note(0, t, length, root + chance.randrange(0, 36), chance.randrange(60, 127))
        t += length + .1
    track.at(t, 0xB0, 11, 110)
    for _ in range(4):      # held notes
        length = chance.uniform(1, 4)
        track.note(0, t, length, root + chance.randrange(-7, 40), chance.randrange(30, 127))
        t += length + chance.uniform(0, .3)
    for _ in range(3):      # chords, the second half swelling
        length = chance.uniform(1.5, 3)
        base = root + chance.randrange(0, 14)
        track.swell(0, t, length, chance.choice([20, 100]), 115)
        for step in (0, chance.choice([3, 4]), 7, chance.choice([10, 12])):
            track.note(0, t, length, base + step, chance.randrange(50, 110))
        t += length
    track.at(t, 0xB0, 11, 115)
    while t < 50:           # a melody
        length = chance.choice([.25, .25, .5, 1, 1.5])
        track.note(0, t, length * chance.uniform(.7, 1.1), root + 12 + chance.choice(scale) + chance.choice([0, 0, 12]), chance.randrange(50, 120))
        t += length
    write_score(path, track)


def write_band(path, programs, chance):
    """A minute of four instruments, and drums half of the time, over chords."""
    track = Track()
    for channel in range(4):
        track.at(0, 0xC0 | channel, chance.choice(programs))
    root, beat = chance.randrange(40, 52), chance.uniform(.35, .8)
    t, drums = .2, chance.random() < .5
    while t < 60:
        bar = 4 * beat
        base = root + chance.choice([0, 5, 7, 9, 2])
        third = chance.choice([3, 4])
        if chance.random() < .4:
            track.swell(0, t, bar, chance.choice([30, 60]), 110)
        for step in (0, third, 7, 12):
            track.note(0, t, bar * .98, base + step, chance.randrange(40, 90))
        track.note(1, t, bar * .9, base - 12, 90)
        for i in range(4):
            track.note(2, t + i * beat, beat * chance.uniform(.4, 1), base + 12 + chance.choice([0, third, 7, 12, 14]), chance.randrange(50, 115))
            if drums:
                track.note(9, t + i * beat, .1, 36 if i % 2 == 0 else 38, 100)
                track.note(9, t + (i + .5) * beat, .1, 42, 80)
        if chance.random() < .5:
            track.note(3, t, 2 * bar, base + 24 + chance.choice([0, 7]), chance.randrange(40, 100))
        t += bar
    write_score(path, track)


def harmonics(phase, weights):
    return sum(weight * np.sin((i + 1) * phase) for i, weight in enumerate(weights))


def envelope(count, attack, release):
    rise, fall = max(1, int(attack * RATE)), max(1, int(release * RATE))
    shape = np.ones(count)
    shape[:rise] = np.linspace(0, 1, rise)[:count] if rise <= count else np.linspace(0, count / rise, count)
    shape[-fall:] *= np.linspace(1, 0, fall)[-count:] if fall <= count else 1
    return shape


def bell(chance, t):
    f = chance.uniform(150, 2500)
    return sum(np.exp(-t / chance.uniform(.2, 4)) * np.sin(2 * np.pi * f * ratio * t) / (1 + i)
               for i, ratio in enumerate((1, 2.0, 2.4 + chance.uniform(-.1, .1), 3.01, 4.1, 5.43))) * .4


def siren(chance, t):
    low, width = chance.uniform(400, 900), chance.uniform(100, 900)
    wave_ = np.sin(2 * np.pi * chance.uniform(.1, 3) * t)
    if chance.random() < .4:
        wave_ = np.sign(wave_)
    return .5 * harmonics(2 * np.pi * np.cumsum(low + width * (1 + wave_) / 2) / RATE, [1, chance.uniform(0, .5), chance.uniform(0, .3)])


def telephone(chance, t):
    kind = chance.randrange(3)
    if kind == 0:        # dialling: two tones (ITU-T Q.23)
        low, high = [697, 770, 852, 941], [1209, 1336, 1477, 1633]
        out = np.zeros_like(t)
        for i in range(int(t[-1] / .3)):
            on = (t >= i * .3) & (t < i * .3 + .2)
            out[on] = (np.sin(2 * np.pi * chance.choice(low) * t) + np.sin(2 * np.pi * chance.choice(high) * t))[on] * .3
        return out
    if kind == 1:        # ringing and engaged tones of 400 to 480 Hz
        period, on = chance.choice([(1, .5), (5, 1), (6, 2), (.5, .25)])
        return .5 * np.sin(2 * np.pi * chance.choice([400, 425, 440, 480]) * t) * ((t % period) < on)
    period = chance.uniform(.3, 2)
    return .5 * np.sin(2 * np.pi * chance.uniform(700, 3800) * t) * ((t % period) < period * chance.uniform(.3, .7))


def hum(chance, t):
    f = chance.choice([50, 60]) * chance.choice([1, 1, 2])
    swell = 1 + chance.uniform(0, .5) * np.sin(2 * np.pi * chance.uniform(.05, .5) * t)
    return .3 * swell * harmonics(2 * np.pi * f * t, [chance.uniform(0, 1) / (1 + i) for i in range(14)])


def sung(chance, t):
    """Glottal pulses through three formants, with vibrato that begins late."""
    f = chance.uniform(90, 800)
    depth, rate = chance.uniform(.002, .03), chance.uniform(4.5, 7)
    phase = 2 * np.pi * np.cumsum(f * (1 + depth * np.minimum(1, t / .6) * np.sin(2 * np.pi * rate * t))) / RATE
    formants = chance.choice([(730, 1090, 2440), (270, 2290, 3010), (300, 870, 2240), (530, 1840, 2480), (570, 840, 2410)])
    weights = []
    for i in range(1, max(2, min(30, int(8000 / f)))):
        weights.append(sum(1 / (1 + ((i * f - c) / (60 + .06 * c)) ** 2) for c in formants) / i ** .5)
    return .4 * harmonics(phase, np.array(weights) / max(weights)) * envelope(len(t), chance.uniform(.03, 1.5), chance.uniform(.05, .6))


def held(chance, t):
    """Synthesiser: a plain tone with partials that swells, tremolo or beating at times."""
    f = chance.uniform(70, 1800)
    out = harmonics(2 * np.pi * f * t, [1] + [chance.uniform(0, .6) / (1 + i) for i in range(chance.randrange(1, 8))])
    if chance.random() < .5:
        out = out + harmonics(2 * np.pi * f * (1 + chance.uniform(.0003, .006)) * t, [chance.uniform(.2, 1), chance.uniform(0, .5)])
    if chance.random() < .4:
        out = out * (1 + chance.uniform(.05, .5) * np.sin(2 * np.pi * chance.uniform(1, 7) * t))
    return .25 * out * envelope(len(t), chance.choice([.02, .1, .5, 1, 2, 3]), chance.uniform(.05, 1.5))


def feedback_like(chance, t):
    """What players do on purpose: the note of a string gives way to one of its partials, which wavers."""
    f, partial = chance.uniform(80, 500), chance.randrange(2, 6)
    waver = 1 + chance.uniform(.001, .01) * np.sin(2 * np.pi * chance.uniform(3, 7) * t)
    phase = 2 * np.pi * np.cumsum(f * waver) / RATE
    over = 1 / (1 + np.exp(-(t - t[-1] * chance.uniform(.3, .6)) / chance.uniform(.05, .4)))
    string = np.tanh(3 * harmonics(phase, [1, .5, .3, .2, .1]))
    return .35 * (string * (1 - .8 * over) + over * harmonics(phase * partial, [1, chance.uniform(.05, .4)])) * envelope(len(t), .02, .3)


KINDS = [('bells', bell), ('sirens', siren), ('telephones', telephone), ('hum', hum), ('sung', sung), ('held', held), ('feedback', feedback_like)]


def write_clips(folder, seed, scale, clips=10, seconds=60):
    for name, make in KINDS:
        for number in range(max(1, int(clips * scale))):
            chance = random.Random(f'{name} {seed} {number}')
            noise = np.random.default_rng(seed * 1000 + number)
            out = noise.standard_normal(seconds * RATE) * 10 ** (chance.uniform(-90, -50) / 20)
            at = 0
            while at < seconds * RATE - RATE // 4:
                count = min(int(chance.uniform(.6, 6) * RATE), seconds * RATE - at)
                out[at:at + count] += make(chance, np.arange(count) / RATE) * chance.uniform(.1, 1)
                at += int(count * chance.choice([.5, 1, 1.2]))
            out *= 10 ** (-chance.uniform(3, 24) / 20)
            with wave.open(f'{folder}/{name}{number:02}.wav', 'wb') as file:
                file.setparams((1, 2, RATE, 0, 'NONE', ''))
                file.writeframes((np.clip(out, -1, 1) * 32767).astype('<i2').tobytes())
