#!/usr/bin/env python3
"""Fails when a score on the labelled recordings falls behind its floor. Needs python3 alone.

The floors lie a little under what was reached, so that it can only get better: {kind: {figure:
{"at_least": value}}} or "at_most". A figure that the scoring script does not give is a failure too.
"""

import argparse
import json

import recordings


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
    for kind, figures in floors.items():
        for figure in figures:
            print(f'{kind}: {figure} {recordings.shown(scores.get(kind, {}).get(figure))}')
    found = failures(floors, scores)
    print('\n'.join(found))
    return 1 if found else 0


if __name__ == '__main__':
    recordings.main(work, when_missing=recordings.SKIPPED)
