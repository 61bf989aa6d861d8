#!/usr/bin/env python3
"""Fails when a score on the labelled recordings falls behind its floor. Needs python3 alone.

The floors lie a little under what was reached, so that it can only get better: {kind: {figure:
{"at_least": value}}} or "at_most". A figure that the scoring script does not give is a failure too.

The script counts a ring as late that was flagged more than a second before its label begins. Some labels begin with a cut, though
the loop rang before. So one more figure is counted here, of the kind "all": "told", the share of labelled rings that were flagged by a
second after they dominate and were not over when their label begins.
"""

import argparse
import json
import os

import recordings
from calibration import reach_hz


def failures(floors, scores):
    """One sentence for each figure behind its floor."""
    found = []
    for kind, figures in floors.items():
        for figure, floor in figures.items():
            value = scores.get(kind, {}).get(figure)
            if value is None or value != value:
                found.append(f'{kind}: {figure} was not measured')
            elif 'at_least' in floor and value < floor['at_least']:
                found.append(f'{kind}: {figure} {value} is under {floor["at_least"]}')
            elif 'at_most' in floor and value > floor['at_most']:
                found.append(f'{kind}: {figure} {value} is over {floor["at_most"]}')
    return found


def is_told(label, rings):
    low, high = label.get('range_hz', [label['frequency_hz']] * 2)
    return any(low - reach_hz(low) <= ring['frequency_hz'] <= high + reach_hz(high) and
               ring['flagged_s'] <= label['dominant_s'] + 1.0 and
               (ring.get('ended_s') is None or ring['ended_s'] > label['unstable_s']) for ring in rings)


def told(corpus, brink):
    """Share of the labelled rings; None where there is none."""
    counted = [is_told(label, rings) for clip in recordings.truth(corpus) if clip['rings']
               for rings in [recordings.analysis([brink, 'analyse', '--quiet', '--format', 'json'],
                                                 os.path.join(corpus, clip['clip']))['rings']]
               for label in clip['rings']]
    return round(sum(counted) / len(counted), 3) if counted else None


def work():
    parser = argparse.ArgumentParser(description=__doc__)
    recordings.add_arguments(parser)
    parser.add_argument('--score', required=True, help='scoring script')
    parser.add_argument('--floors', required=True, help='JSON of floors')
    options = parser.parse_args()
    with open(options.floors, encoding='utf-8') as file:
        floors = json.load(file)
    scores = recordings.score(options.score, options.corpus,
                              [options.brink, 'analyse', '--format', 'json'])
    scores.setdefault('all', {})['told'] = told(options.corpus, options.brink)
    for kind, figures in floors.items():
        for figure in figures:
            print(f'{kind}: {figure} {recordings.shown(scores.get(kind, {}).get(figure))}')
    found = failures(floors, scores)
    print('\n'.join(found))
    return 1 if found else 0


if __name__ == '__main__':
    recordings.main(work, when_missing=recordings.SKIPPED)
