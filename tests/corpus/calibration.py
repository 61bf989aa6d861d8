#!/usr/bin/env python3
"""Are the confidences true? Of rings flagged with confidence c, about c should be right. Needs python3 alone.

Every ring of `brink analyse --format json --all` counts once, with the confidence that it is reported with:
  right      on a labelled ring, from a second before the loop is unstable on
  brink      on none, but where the loop gain came within 3 dB of the brink: neither right nor wrong, left out
  wrong      everything else
"""

import argparse
import collections

import recordings

EDGES = [0.0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 0.95, 0.99, 1.0]


def reach_hz(frequency_hz):
    """How far from a label still is the label: the scoring script's own rule."""
    return max(6.0, 0.01 * frequency_hz)


def verdict(ring, clip):
    frequency_hz = ring['frequency_hz']
    time_s = ring.get('flagged_s')
    if time_s is None:
        time_s = ring['onset_s']
    for label in clip['rings']:
        low, high = label.get('range_hz', [label['frequency_hz']] * 2)
        if low - reach_hz(low) <= frequency_hz <= high + reach_hz(high) and time_s >= label['unstable_s'] - 1.0:
            return 'right'
    if any(abs(frequency_hz - near_hz) <= reach_hz(near_hz) for near_hz in clip['near_brink_hz']):
        return 'brink'
    return 'wrong'


def bin_of(confidence):
    """Index of the bin [EDGES[i], EDGES[i + 1]) that holds it; 1 belongs to the last."""
    return max(i for i in range(len(EDGES) - 1) if EDGES[i] <= confidence)


def table(judged):
    """Rows (low, high, right, brink, wrong, mean confidence, share right) of [(confidence, verdict)]."""
    bins = collections.defaultdict(list)
    for confidence, word in judged:
        bins[bin_of(confidence)].append((confidence, word))
    rows = []
    for index in sorted(bins):
        words = [word for _, word in bins[index]]
        right, wrong = words.count('right'), words.count('wrong')
        counted = [confidence for confidence, word in bins[index] if word != 'brink']
        mean = sum(counted) / len(counted) if counted else None
        share = right / (right + wrong) if counted else None
        rows.append((EDGES[index], EDGES[index + 1], right, words.count('brink'), wrong, mean, share))
    return rows


def judge(corpus, brink):
    """{'flagged' or 'all': [(confidence, verdict)]}"""
    judged = {'flagged': [], 'all': []}
    for clip in recordings.truth(corpus):
        found = recordings.analysis([brink, 'analyse', '--format', 'json', '--all'], f'{corpus}/{clip["clip"]}')
        for ring in found['rings']:
            entry = (ring['confidence'], verdict(ring, clip))
            judged['all'].append(entry)
            if ring.get('flagged_s') is not None:
                judged['flagged'].append(entry)
    return judged


def lines(judged):
    out = ['| confidence | right | at the brink | wrong | mean confidence | share right |', '|---|---|---|---|---|---|']
    for low, high, right, brink, wrong, mean, share in table(judged):
        shares = ['-' if value is None else f'{value:.2f}' for value in (mean, share)]
        out.append(f'| {low:g} to {high:g} | {right} | {brink} | {wrong} | {shares[0]} | {shares[1]} |')
    return out


def work():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    recordings.add_arguments(parser)
    options = parser.parse_args()
    recordings.require(options.brink, 'program')
    judged = judge(options.corpus, options.brink)
    for name, title in (('flagged', 'Rings that were flagged'), ('all', 'All that were followed, flagged or not')):
        print(f'{title}:\n')
        print('\n'.join(lines(judged[name])), end='\n\n')


if __name__ == '__main__':
    recordings.main(work)
