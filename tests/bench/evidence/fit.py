#!/usr/bin/env python3
"""Fits the numbers of the rules of evidence (src/detector/evidence_table.inc) to labelled recordings.

  fit.py --lines build/dev/tests/bench/brink_lines --output src/detector/evidence_table.inc DIR...

Each DIR holds mono recordings and a truth.json as `brink stage` writes it for a list of scenarios. Needs
python3-numpy and python3-sklearn; nothing else of brink does.

Every line that the detector would judge is a row: its rule measures, and whether it lay on a labelled ring
between 0.3 s before the loop became unstable and 1 s after the ring dominated its band (yes), near nothing that
came within 3 dB of the brink (no), or in between (left out). The model is logistic regression on tables: each
rule's measure (6 points) by how loud the line stands among the others (4 points), linear between the points.
It is fitted twice. The first fit says which lines of programme are hard; the second uses all of those and a
sample of the easy ones, so that the numbers are spent on the lines that could be taken for a ring.
"""
import argparse
import json
import os
import re
import subprocess

import numpy as np
from sklearn.linear_model import LogisticRegression

POINTS, LOUDNESS = 6, [.03, .35, .65, .97]
MOST_HARD, MOST_EASY, MOST_YES = 150_000, 60_000, 60_000
HARD = -2.5        # log odds of the first fit
PENALTY = .02      # C of the regression: small, for tables whose neighbouring values belong together
SHARE_OF_YES = .08  # weight of the rings beside that of programme in the second fit; sets where 0 lies


def near(frequency, reference):
    return np.abs(frequency - reference) <= max(6.0, .01 * reference)


class Lines:
    """The rows of one directory, with what they are: 1 a ring, 0 programme, -1 left out."""

    def __init__(self, directory, program):
        truth = json.load(open(os.path.join(directory, 'truth.json')))
        raw = subprocess.run([program] + [os.path.join(directory, clip['clip']) for clip in truth],
                             check=True, stdout=subprocess.PIPE).stdout
        rules = len(re.findall(r'noexcept \{', open(RULES).read().split('kRules{{')[1].split('}};')[0]))
        rows = np.frombuffer(raw, 'f4').reshape(-1, 6 + rules)
        self.loudness, self.measures = rows[:, 5], rows[:, 6:]
        self.is_ring = np.zeros(len(rows), 'i1')
        self.ring = np.full(len(rows), -1)
        self.rings = 0
        for number, clip in enumerate(truth):
            here = np.flatnonzero(rows[:, 0] == number)
            time, frequency = rows[here, 3], rows[here, 4]
            for reference in clip['near_brink_hz']:
                self.is_ring[here[near(frequency, reference)]] = -1
            for ring in clip['rings']:
                low, high = ring.get('range_hz', [ring['frequency_hz']] * 2)
                on = (frequency >= low - max(6, .01 * low)) & (frequency <= high + max(6, .01 * high))
                heard = on & (time >= ring['unstable_s'] - .3) & (time <= ring['dominant_s'] + 1)
                self.is_ring[here[on & (self.is_ring[here] != 1)]] = -1
                self.is_ring[here[heard]] = 1
                self.ring[here[heard]] = self.rings
                self.rings += 1


class Tables:
    def __init__(self, loudness, measures):
        self.loudness_points = np.round(np.quantile(loudness, LOUDNESS), 1)
        self.points = []
        for column in measures.T:
            points = np.unique(np.round(np.quantile(column, np.linspace(.01, .99, POINTS)), 3))
            self.points.append(np.pad(points, (0, POINTS - len(points)), mode='edge'))

    @staticmethod
    def hats(values, points):
        """Share of each point in a value that lies between two of them."""
        distinct = np.unique(points)
        hats = np.zeros((len(values), len(points)), 'f4')
        for i, unit in enumerate(np.eye(len(distinct))):
            hats[:, i] = np.interp(values, distinct, unit)
        return hats

    def columns(self, loudness, measures):
        level = self.hats(loudness, self.loudness_points)
        return np.concatenate([(self.hats(column, points)[:, :, None] * level[:, None, :]).reshape(len(loudness), -1)
                               for column, points in zip(measures.T, self.points)], axis=1)

    def fit(self, loudness, measures, answer, weight):
        self.model = LogisticRegression(C=PENALTY, max_iter=200).fit(self.columns(loudness, measures), answer, weight)

    def log_odds(self, loudness, measures, step=200_000):
        return np.concatenate([self.model.decision_function(self.columns(loudness[i:i + step], measures[i:i + step]))
                               for i in range(0, len(loudness), step)])

    def write(self, path):
        def row(values):
            return ', '.join(f'{float(value):.5g}'.replace('e', 'E') for value in values)

        def floats(values):
            return ', '.join((text if re.search(r'[.E]', text) else text + '.0') + 'F' for text in row(values).split(', '))

        values = self.model.coef_[0].reshape(len(self.points), POINTS, len(LOUDNESS)).round(3)
        out = ['// Fitted numbers of the rules; written by tests/bench/evidence/fit.py, not by hand.',
               f'constexpr float kPrior = {self.model.intercept_[0]:.4f}F;',
               f'constexpr std::array<float, kLoudnessPoints> kLoudness{{{floats(self.loudness_points)}}};',
               f'constexpr std::array<Weights, {len(self.points)}> kWeights{{{{']
        for points, table in zip(self.points, values):
            # Points that fell together repeat the last one, and so do their values.
            distinct = len(np.unique(points))
            levels = [np.pad(table[:distinct, j], (0, POINTS - distinct), mode='edge') for j in range(len(LOUDNESS))]
            out.append(f'    {{{{{{{floats(points)}}}}},')
            out.append('     {{' + ',\n       '.join('{{' + floats(level) + '}}' for level in levels) + '}}},')
        out.append('}};')
        open(path, 'w').write('\n'.join(out) + '\n')


def sample(random, indices, most):
    return random.choice(indices, most, replace=False) if len(indices) > most else indices


def gather(sets, tables, random):
    """Rows and weights for one fit: per directory the same total, per ring the same, per programme line one."""
    parts = []
    for lines in sets:
        programme = np.flatnonzero(lines.is_ring == 0)
        if tables is None:
            hard, easy = programme[:0], programme
        else:
            odds = tables.log_odds(lines.loudness[programme], lines.measures[programme])
            hard, easy = programme[odds > HARD], programme[odds <= HARD]
        chosen, weights = [], []
        for group, most in ((hard, MOST_HARD), (easy, MOST_EASY if tables else 2 * MOST_EASY)):
            if len(group):
                taken = sample(random, group, most)
                chosen.append(taken)
                weights.append(np.full(len(taken), min(20.0, len(group) / len(taken))))
        yes = sample(random, np.flatnonzero(lines.is_ring == 1), MOST_YES)
        if len(yes):
            share = (SHARE_OF_YES if tables else .3) * sum(map(np.sum, weights)) / max(lines.rings, 1)
            each = share / np.bincount(lines.ring[yes], minlength=lines.rings)[lines.ring[yes]]
            chosen.append(yes)
            weights.append(np.minimum(each, np.percentile(each, 99)))
        index, weight = np.concatenate(chosen), np.concatenate(weights)
        parts.append((lines.loudness[index], lines.measures[index], (lines.is_ring[index] == 1).astype(int),
                      weight * 1e5 / weight.sum()))
    return [np.concatenate(column) for column in zip(*parts)]


if __name__ == '__main__':
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument('--lines', required=True, help='the program brink_lines')
    parser.add_argument('--output', required=True, help='the table to write')
    parser.add_argument('directories', nargs='+')
    args = parser.parse_args()
    RULES = os.path.join(os.path.dirname(os.path.abspath(__file__)), '../../../src/detector/rules.cpp')
    random = np.random.default_rng(1)
    sets = [Lines(directory, args.lines) for directory in args.directories]
    loudness, measures, answer, weight = gather(sets, None, random)
    tables = Tables(loudness, measures)
    tables.fit(loudness, measures, answer, weight)
    tables.fit(*gather(sets, tables, random))
    tables.write(args.output)
    for directory, lines in zip(args.directories, sets):
        print(f'{directory}: {lines.rings} rings, {np.sum(lines.is_ring == 1)} lines on them, '
              f'{np.sum(lines.is_ring == 0)} lines of programme')
