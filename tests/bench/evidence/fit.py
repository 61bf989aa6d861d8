#!/usr/bin/env python3
"""Fits the numbers of the rules of evidence (src/detector/evidence_table.inc) to labelled recordings.

  fit.py --lines build/dev/tests/bench/brink_lines --output src/detector/evidence_table.inc [--material DIR [--half a]] [DIR...]
  fit.py --blank --output src/detector/evidence_table.inc

Each DIR holds mono recordings and a truth.json as `brink stage` writes it for a list of scenarios (material.py makes them). Needs
python3-numpy and python3-sklearn; nothing else of brink does.

Every line that the detector would judge is a row: its rule measures, and whether it lay on a labelled ring between 0.3 s before
the loop became unstable and 1 s after the ring dominated its band (yes), near nothing that came within 3 dB of the brink (no), or
in between (left out). The model is logistic regression on tables, linear between their points: each rule's measure (6 points) by
how loud the line stands among the others (4), and by its pitch (4).

brink_lines prints every line that the table it was built with finds hard, and one in 32 of the others. So the fit is done twice
(target `evidence`): from a blank table, to which all are alike, and from the table of that first fit, so that the numbers are
spent on the lines that could be taken for a ring. --blank writes the table of zeros for the rules as they are now.
"""
import argparse
import glob
import json
import os
import re
import subprocess

import numpy as np
from sklearn.linear_model import LogisticRegression

POINTS, LOUDNESS, PITCH = 6, [.03, .35, .65, .97], [.05, .35, .65, .95]
FIXED = 8          # columns before the rules
HARD = -2.5        # log odds, as in brink_lines
MOST_NO, MOST_YES = 100_000, 20_000
PENALTY = .02      # C of the regression: small, for tables whose neighbouring values belong together
# How much a folder counts, by a word of its name. Notes that never end and pure tones are most of the hard lines, and rare on a
# stage; the labelled recordings are few, and carefully made.
COUNTS = {'synthetic': .5, 'soundfont': .3, 'corpus': 20}
TOTAL_WEIGHT = 10   # times a hundred thousand; PENALTY is meant for it
SHARE_OF_YES = .04  # weight of all rings beside that of all hard programme; sets where 0 lies
RULES = os.path.join(os.path.dirname(os.path.abspath(__file__)), '../../../src/detector/rules.cpp')


def rules():
    """(name, unit) of each rule, in its order."""
    text = open(RULES).read().split('kRules{{')[1].split('\n}};')[0]
    return re.findall(r'\{"([^"]*)",\s*"([^"]*)",', text)


def near(frequency, reference):
    return np.abs(frequency - reference) <= max(6.0, .01 * reference)


class Lines:
    """The rows of one directory, with what they are: 1 a ring, 0 programme, -1 left out."""

    def __init__(self, directory, program, every, random):
        truth = json.load(open(os.path.join(directory, 'truth.json')))[::every]
        self.minutes = sum(clip['duration_s'] for clip in truth) / 60
        parts, self.rings = [], 0
        for clip in truth:
            raw = subprocess.run([program, os.path.join(directory, clip['clip'])], check=True, stdout=subprocess.PIPE).stdout
            rows = np.frombuffer(raw, 'f4').reshape(-1, FIXED + len(rules()))
            is_ring, ring = self.label(rows[:, 3], rows[:, 4], clip)
            keep = is_ring >= 0
            parts.append((rows[keep], is_ring[keep], ring[keep]))
        self.rows, self.is_ring, self.ring = (np.concatenate(column) for column in zip(*parts))

    def label(self, time, frequency, clip):
        is_ring, number = np.zeros(len(time), 'i1'), np.full(len(time), -1)
        for reference in clip['near_brink_hz']:
            is_ring[near(frequency, reference)] = -1
        for ring in clip['rings']:
            low, high = ring.get('range_hz') or [ring['frequency_hz']] * 2
            on = (frequency >= low - max(6, .01 * low)) & (frequency <= high + max(6, .01 * high))
            heard = on & (time >= ring['unstable_s'] - .3) & (time <= ring['dominant_s'] + 1)
            is_ring[on & (is_ring != 1)] = -1
            is_ring[heard] = 1
            number[heard] = self.rings
            self.rings += 1
        return is_ring, number


def hats(values, points):
    """Share of each point in a value that lies between two of them."""
    distinct = np.unique(points)
    shares = np.zeros((len(values), len(points)), 'f4')
    for i, unit in enumerate(np.eye(len(distinct))):
        shares[:, i] = np.interp(values, distinct, unit)
    return shares


class Tables:
    def __init__(self, rows):
        self.loudness = np.round(np.quantile(rows[:, 5], LOUDNESS), 1)
        self.pitch = np.round(np.quantile(np.log2(np.maximum(rows[:, 4], 20)), PITCH), 2)
        self.points = []
        for column in rows[:, FIXED:].T:
            points = np.unique(np.round(np.quantile(column, np.linspace(.01, .99, POINTS)), 3))
            self.points.append(np.pad(points, (0, POINTS - len(points)), mode='edge'))

    def columns(self, rows):
        by = np.concatenate([hats(rows[:, 5], self.loudness), hats(np.log2(np.maximum(rows[:, 4], 20)), self.pitch)], axis=1)
        out = np.empty((len(rows), len(self.points) * POINTS * by.shape[1]), 'f4')
        width = POINTS * by.shape[1]
        for i, points in enumerate(self.points):
            own = hats(rows[:, FIXED + i], points)
            out[:, i * width:(i + 1) * width] = (own[:, :, None] * by[:, None, :]).reshape(len(rows), -1)
        return out

    def fit(self, rows, answer, weight):
        model = LogisticRegression(C=PENALTY, max_iter=80).fit(self.columns(rows), answer, weight)
        self.prior = float(model.intercept_[0])
        self.values = model.coef_[0].reshape(len(self.points), POINTS, len(LOUDNESS) + len(PITCH)).round(3)

    def write(self, path):
        def floats(values):
            texts = [f'{float(value):.5g}'.replace('e', 'E') for value in values]
            return ', '.join((text if re.search(r'[.E]', text) else text + '.0') + 'F' for text in texts)

        out = ['// Fitted numbers of the rules; written by tests/bench/evidence/fit.py, not by hand.',
               f'constexpr float kPrior = {self.prior:.4f}F;',
               f'constexpr std::array<float, kLoudnessPoints> kLoudness{{{floats(self.loudness)}}};',
               f'constexpr std::array<float, kPitchPoints> kPitch{{{floats(self.pitch)}}};',
               f'constexpr std::array<Weights, {len(self.points)}> kWeights{{{{']
        for (name, unit), points, table in zip(rules(), self.points, self.values):
            # Points that fell together repeat the last one, and so do their values.
            distinct = len(np.unique(points))
            levels = [np.pad(column[:distinct], (0, POINTS - distinct), mode='edge') for column in table.T]
            out.append(f'    {{"{name}", "{unit}", {{{{{floats(points)}}}}},')
            for group, end in ((levels[:len(LOUDNESS)], ','), (levels[len(LOUDNESS):], '},')):
                out.append('     {{' + ',\n       '.join('{{' + floats(level) + '}}' for level in group) + '}}' + end)
        out.append('}};')
        open(path, 'w').write('\n'.join(out) + '\n')


def blank(path):
    tables = Tables(np.zeros((1, FIXED + len(rules())), 'f4'))
    tables.points = [np.arange(POINTS) for _ in rules()]
    tables.prior, tables.values = 2 * HARD, np.zeros((len(rules()), POINTS, len(LOUDNESS) + len(PITCH)))
    tables.write(path)


def gather(sets, random):
    """Rows, answers and weights: programme by how many lines each row stands for, at most 20; every ring the same; both by COUNTS."""
    rows, number, counts = [], [], []
    first = 0
    for lines in sets:
        programme = np.flatnonzero(lines.is_ring == 0)
        rows.append(lines.rows[programme])
        number.append(np.full(len(programme), -1))
        on = np.flatnonzero(lines.is_ring == 1)
        rows.append(lines.rows[on])
        number.append(lines.ring[on] + first)
        first += lines.rings
        counts.append(np.full(len(programme) + len(on), lines.counts))
    rows, number = np.concatenate(rows), np.concatenate(number)
    no, yes = np.flatnonzero(number < 0), np.flatnonzero(number >= 0)
    hard, easy = no[rows[no, 6] == 1], no[rows[no, 6] > 1]
    weight = np.minimum(rows[:, 6], 20).astype('f8')
    taken = []
    for group, most in ((hard, MOST_NO * 2 // 3), (easy, MOST_NO // 3)):
        some = random.choice(group, most, replace=False) if len(group) > most else group
        weight[some] *= len(group) / max(1, len(some))
        taken.append(some)
    no = np.concatenate(taken)
    each = np.bincount(number[yes], rows[yes, 6], minlength=first)
    weight[yes] = rows[yes, 6] / each[number[yes]]
    weight *= np.concatenate(counts)
    yes = yes[random.permutation(len(yes))[:MOST_YES]]
    weight[yes] = np.minimum(weight[yes], np.percentile(weight[yes], 99))
    weight[no] *= 1e5 / weight[no].sum()
    weight[yes] *= 1e5 * SHARE_OF_YES / weight[yes].sum()
    index = np.concatenate([no, yes])
    return rows[index], (number[index] >= 0).astype(int), weight[index] * TOTAL_WEIGHT


if __name__ == '__main__':
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument('--lines', help='the program brink_lines')
    parser.add_argument('--output', required=True, help='the table to write')
    parser.add_argument('--blank', action='store_true')
    parser.add_argument('--every', type=int, default=1, help='use each so many-th clip, for a trial')
    parser.add_argument('--keep', help='where rows are kept between trials')
    parser.add_argument('--material', help='every folder that material.py made there')
    parser.add_argument('--half', default='*', help='of the material: a or b')
    parser.add_argument('--also', help='one more folder, left out when it is not there')
    parser.add_argument('directories', nargs='*')
    args = parser.parse_args()
    if args.material:
        args.directories += [os.path.dirname(path) for path in sorted(glob.glob(f'{args.material}/{args.half}/*/truth.json'))]
    if args.also and os.path.exists(os.path.join(args.also, 'truth.json')):
        args.directories.append(args.also)
    if args.blank:
        blank(args.output)
        raise SystemExit
    random = np.random.default_rng(1)
    sets = []
    for directory in args.directories:
        kept = args.keep and os.path.join(args.keep, directory.strip('/').replace('/', '_') + '.npz')
        if kept and os.path.exists(kept):
            lines = Lines.__new__(Lines)
            lines.__dict__.update({key: value if value.ndim else value.item() for key, value in np.load(kept).items()})
        else:
            lines = Lines(directory, args.lines, args.every, random)
            if kept:
                np.savez(kept, **lines.__dict__)
        lines.counts = next((counts for word, counts in COUNTS.items() if word in directory), 1.0)
        sets.append(lines)
        print(f'{directory}: {lines.minutes:.1f} minutes, {lines.rings} rings, {np.sum(lines.is_ring == 1)} lines on them, '
              f'{np.sum(lines.is_ring == 0)} of programme, {np.sum((lines.is_ring == 0) & (lines.rows[:, 6] == 1))} hard', flush=True)
    if args.output == 'none':
        raise SystemExit
    chosen = gather(sets, random)
    tables = Tables(chosen[0])
    tables.fit(*chosen)
    tables.write(args.output)
